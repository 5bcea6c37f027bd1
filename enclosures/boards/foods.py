"""The foods of the station: units, the recipe in force, and the plans they stand in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q

from enclosures.boards.entry_words import grams
from enclosures.estimates.units import recorded_quantity
from enclosures.models import FoodComposition, FoodItem
from enclosures.verdicts.words import capital, day_words, kept_together, listed


@dataclass(frozen=True, kw_only=True, slots=True)
class FoodLine:
    code: str
    name: str
    kind: str
    units: str
    recipe: str
    plans: int  # in force
    is_retired: bool


def build_foods(*, today: date) -> list[FoodLine]:
    """In use first. A constant number of queries."""
    in_force = Q(plan_lines__plan__from_on__lte=today) & (
        Q(plan_lines__plan__to_on__isnull=True) | Q(plan_lines__plan__to_on__gte=today)
    )
    foods = FoodItem.objects.annotate(n_plans=Count("plan_lines__plan", filter=in_force, distinct=True))
    return [
        FoodLine(
            code=food.code,
            name=str(food),
            kind=food.get_food_class_display(),
            units=listed(f"{unit.name} {grams(unit.grams)}" for unit in food.units.all()) or "grams only",
            recipe=recipe_words(food.composition_on(today), today=today),
            plans=food.n_plans,
            is_retired=food.is_retired,
        )
        for food in foods.prefetch_related("units", "compositions").order_by("is_retired", "name", "code")
    ]


def recipe_words(recipe: FoodComposition | None, *, today: date) -> str:
    if recipe is None:
        return "no recipe: a usual value of its kind stands in"
    shares = [("water", recipe.moisture_percent), ("protein", recipe.protein_percent), ("fat", recipe.fat_percent),
              ("ash", recipe.ash_percent)]  # fmt: skip
    said = ", ".join(f"{name} {recorded_quantity(share, '%')}" for name, share in shares if share is not None)
    since = f", since {day_words(recipe.valid_from, today)}" if recipe.valid_from is not None else ""
    source = f"; {recipe.source}" if recipe.source else ""
    return kept_together(f"{said}{since}{source}")


def recipes_of(food: FoodItem, *, today: date) -> list[str]:
    """Newest first; the earlier ones still hold for what was fed under them."""
    rows = sorted(food.compositions.all(), key=lambda row: row.valid_from or date.min, reverse=True)
    return [capital(recipe_words(row, today=today)) for row in rows]
