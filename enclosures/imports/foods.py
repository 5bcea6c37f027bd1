"""Food items: one row a recipe, so one table feeds three: the food, its dated recipes, its units."""

from __future__ import annotations

from datetime import date
from typing import Any

from enclosures.exports.feeding import FOOD_ITEMS
from enclosures.exports.table import Column
from enclosures.imports.records import Record, RecordMaker, merged
from enclosures.imports.report import Report
from enclosures.imports.rows import Row, cell_text
from enclosures.models import FoodComposition, FoodItem, FoodUnit

Recipe = tuple[date, float, float]  # from, moisture %, protein %


def food_records(rows: list[Row], *, file: str, report: Report) -> list[Record]:
    """The foods with their recipes as parts; a recipe given twice for one day must be the same."""
    maker = RecordMaker(FOOD_ITEMS, file=file, report=report)
    for row in rows:  # recipes are told apart by their days; only "0", no recipe, says something
        if row.values.get("recipe"):
            row.values["recipe"] = None
    foods = list(merged(rows, maker))
    for food in foods:
        maker.fill(food)
        del food.values["id"]
        by_day: dict[date | None, Any] = {}
        for part in food.parts:
            known = by_day.setdefault(part.values["valid_from"], part)
            if known is not part and known.cells != part.cells:
                food.is_good = False
                report.refuse(
                    f"The recipe of this food from this day was already given in line {known.line}, otherwise.",
                    file=file,
                    line=part.line,
                    column="valid_from",
                )
        food.parts = list(by_day.values())
        maker.check(food)
    return foods


def settle_known_foods(foods: list[Record], *, report: Report) -> tuple[int, list[Record]]:
    """How many rows were there already, and what is new: foods, recipes and units as records of their own.

    A known food may get a new recipe or unit; a recipe that is there must be the same.
    """
    items = {item.code: item for item in FoodItem.objects.prefetch_related("compositions", "units")}
    already, new = 0, []
    for food in foods:
        item = items.get(food.identity[0])
        recipes = {} if item is None else {recipe.valid_from: recipe for recipe in item.compositions.all()}
        units = {} if item is None else {unit.name: unit.grams for unit in item.units.all()}
        if item is None:
            new.append(food)
        else:
            _compare(food, item, [c for c in _own() if c.name != "units"], report=report)
            already += 1 if not food.parts else 0
        target: Record | int = food if item is None else item.pk
        for part in food.parts:
            known = recipes.get(part.values["valid_from"])
            if known is not None:
                already += 1
                _compare(food, known, _of_recipe(), cells=part.cells, line=part.line, report=report)
            else:
                new.append(_child(FoodComposition, food, part.values, target))
        for name, grams in (food.cells.get("units") or {}).items():
            if name not in units:
                new.append(_child(FoodUnit, food, {"name": name, "grams": grams}, target))
            elif units[name] != grams:
                report.refuse(
                    f"A {name} of {food.identity[0]} is {units[name]:g} g here and {grams:g} g in the file.",
                    file=food.file,
                    line=food.line,
                    column="units",
                )
    return already, new


def recipes_by_food(foods: list[Record]) -> dict[str, list[Recipe]]:
    """All recipes known, stored ones and those of the file, oldest first."""
    recipes: dict[str, dict[date, Recipe]] = {}
    stored = FoodComposition.objects.values_list("food_item__code", "valid_from", "moisture_percent", "protein_percent")
    for code, valid_from, moisture, protein in stored:
        start = valid_from or date.min
        recipes.setdefault(code, {})[start] = (start, moisture, protein)
    for food in foods:
        for part in food.parts:
            start = part.values["valid_from"] or date.min
            recipe = (start, part.values["moisture_percent"], part.values["protein_percent"])
            recipes.setdefault(food.identity[0], {}).setdefault(start, recipe)
    return {code: [dated[start] for start in sorted(dated)] for code, dated in recipes.items()}


def recipe_on(recipes: list[Recipe], day: date) -> Recipe | None:
    """The recipe in force on a day; before the first dated one, the earliest (as models.FoodItem.composition_on)."""
    in_force = [recipe for recipe in recipes if recipe[0] <= day]
    return in_force[-1] if in_force else (recipes[0] if recipes else None)


def _child(model: type[Any], food: Record, values: dict[str, Any], target: Record | int) -> Record:
    return Record(
        model=model, file=food.file, line=food.line, identity=(), values=dict(values), cells={},
        refs={"food_item": target},
    )  # fmt: skip


def _own() -> list[Column]:
    return [c for c in FOOD_ITEMS.columns if not FOOD_ITEMS.is_of_part(c)]


def _of_recipe() -> list[Column]:
    return [c for c in FOOD_ITEMS.columns if FOOD_ITEMS.is_of_part(c) and c.name != FOOD_ITEMS.number]


def _compare(
    food: Record, stored: Any, columns: list[Column], *, report: Report, cells: Any = None, line: int | None = None
) -> None:
    for column in columns:
        said = (food.cells if cells is None else cells).get(column.name)
        here = getattr(stored, column.path.removeprefix("compositions__"))
        if said is not None and said != here:
            report.refuse(
                f"{food.identity[0]} is already here, with “{cell_text(column, here)}” instead of “{cell_text(column, said)}”.",
                file=food.file,
                line=line or food.line,
                column=column.name,
            )
