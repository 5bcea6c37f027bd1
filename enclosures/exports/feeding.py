"""Tables of food and meals."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import F, Q

from enclosures.exports.columns import (
    code,
    day,
    entry,
    log_columns,
    number,
    occurred_at,
    text,
    units,
    whole,
    yes_no,
)
from enclosures.exports.table import Table
from enclosures.models import Feeding, FoodItem, FoodUnit


class FoodTable(Table):
    """One row a recipe. The recipes of a food are numbered by their dates, and its units gathered into one cell."""

    def values(self, *, where: Q | None = None, chunk_size: int = 2000) -> Iterator[tuple[Any, ...]]:
        units_of: dict[int, dict[str, float]] = {}
        for food, name, grams in FoodUnit.objects.values_list("food_item", "name", "grams"):
            units_of.setdefault(food, {})[name] = grams
        at = {name: place for place, name in enumerate(self.header)}
        food, recipe = "", 0
        for values in super().values(where=where, chunk_size=chunk_size):
            row = list(values)
            recipe = recipe + 1 if row[at["food_item"]] == food else 1
            food = row[at["food_item"]]
            row[at["recipe"]] = recipe if row[at["moisture_percent"]] is not None else 0
            row[at["units"]] = units_of.get(row[at["units"]], {})
            yield tuple(row)

    def _order(self, alias: str) -> list[Any]:
        return [super()._order(alias)[0], F("compositions__valid_from").asc(nulls_first=True)]


FOOD_ITEMS = FoodTable(
    name="food_items",
    title="Food items, one row a recipe",
    model=FoodItem,
    key=("food_item", "recipe"),
    part="compositions",
    number="recipe",
    columns=(
        code("food_item", "Its code.", field="code", is_required=True),
        text("name", "Its name."),
        code("food_class", "What kind of food.", is_required=True),
        day(
            "valid_from",
            "This recipe from this day; empty: from the beginning.",
            field="compositions__valid_from",
            may_be_later=True,
        ),
        number("moisture_percent", "%", "Water, as fed.", field="compositions__moisture_percent", is_required=True),
        number("protein_percent", "%", "Protein, as fed.", field="compositions__protein_percent", is_required=True),
        number("fat_percent", "%", "Fat, as fed.", field="compositions__fat_percent"),
        number("ash_percent", "%", "Ash, as fed.", field="compositions__ash_percent"),
        text("source", "Where the numbers come from.", field="compositions__source"),
        whole("recipe", "", "1 for its first recipe; 0: no recipe is known.", field="compositions__id", is_said=False),
        units("units", "Keepers' units and their grams as fed, like piece=1.2; cube=3.2.", field="id"),
        yes_no("is_retired", "True: no longer used."),
    ),
)

FEEDINGS = Table(
    name="feedings",
    title="Feedings, one row a line",
    model=Feeding,
    key=("entry", "line"),
    part="lines",
    number="line",
    columns=(
        entry(),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        code(
            "food_item",
            "What was offered; empty only where nothing was fed.",
            field="lines__food_item__code",
            is_required=True,
        ),
        number("offered_g", "g", "Offered, as fed.", field="lines__offered_g", is_required=True),
        code("eaten", "How much of it was eaten; empty: not noted.", field="lines__eaten"),
        whole("line", "", "1 for the first line; 0: the entry has none.", field="lines__position", is_said=False),
        number("amount", "", "Offered, in the keeper's unit.", field="lines__amount"),
        text("unit", "The keeper's unit.", field="lines__unit"),
        number("dry_g", "g", "Dry matter, by the recipe of its day.", field="lines__dry_g", is_said=False),
        number("protein_g", "g", "Protein, by the recipe of its day.", field="lines__protein_g", is_said=False),
        code("slot", "Which meal."),
        code("outcome", "Whether it went as planned."),
        text("not_fed_reason", "Why nothing was fed."),
        yes_no("leftovers_removed", "True: what was left was taken out."),
        text("refused", "Codes of animals that refused, parted by blanks."),
        whole("head_count", "", "Animals seen."),
        *log_columns(),
    ),
)
