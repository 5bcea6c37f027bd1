"""Food items: one row a recipe, so one table feeds three: the food, its dated recipes, its units."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import models

from enclosures.exports.feeding import FOOD_ITEMS
from enclosures.imports.records import Filler, Part, Record, RecordMaker, merged
from enclosures.imports.rows import Row, cell_text
from enclosures.imports.work import Work
from enclosures.models import FoodComposition, FoodItem, FoodUnit

Recipe = tuple[date, float, float]  # from, water %, protein %


def take_foods(rows: list[Row], work: Work) -> None:
    """Foods, recipes and units that are new go to `work`; a known food may get a new recipe or unit."""
    maker = RecordMaker(FOOD_ITEMS, file=work.sheets["food_items"].file, report=work.report)
    for row in rows:  # recipes are told apart by their days; only "0", no recipe, says something
        if row.values.get("recipe"):
            del row.values["recipe"]
    foods = list(merged(rows, maker))
    for food in foods:
        _refuse_two_recipes_of_a_day(food)
        if food.is_good:
            maker.check(food)
    work.named["food_items"] = {food.identity: food for food in foods}
    good = [food for food in foods if food.is_good]
    items = {item.code: item for item in FoodItem.objects.prefetch_related("compositions", "units")}
    count, already = work.report.count("food_items"), 0
    for food in good:
        already += _settle(food, items.get(food.identity[0]), work)
    count.already += already
    count.new += sum(max(1, len(food.parts)) for food in good) - already


def recipes_by_food(work: Work) -> dict[str, list[Recipe]]:
    """All recipes known, stored ones and those of this import, oldest first."""
    recipes: dict[str, dict[date, Recipe]] = {}
    stored = FoodComposition.objects.values_list("food_item__code", "valid_from", "moisture_percent", "protein_percent")
    for code, valid_from, moisture, protein in stored:
        start = valid_from or date.min
        recipes.setdefault(code, {})[start] = (start, moisture, protein)
    for (code,), food in work.named.get("food_items", {}).items():
        for part in food.parts:
            start = part.cells.get("valid_from", date.min)
            recipe = (start, part.cells["moisture_percent"], part.cells["protein_percent"])
            recipes.setdefault(code, {}).setdefault(start, recipe)
    return {code: [dated[start] for start in sorted(dated)] for code, dated in recipes.items()}


def recipe_on(recipes: list[Recipe], day: date) -> Recipe | None:
    """The recipe in force on a day; before the first dated one, the earliest (as models.FoodItem.composition_on)."""
    in_force = [recipe for recipe in recipes if recipe[0] <= day]
    return in_force[-1] if in_force else (recipes[0] if recipes else None)


def _refuse_two_recipes_of_a_day(food: Record) -> None:
    by_day: dict[date | None, Part] = {}
    for part in food.parts:
        known = by_day.setdefault(part.cells.get("valid_from"), part)
        if known is not part and known.cells != part.cells:
            reason = f"The recipe of this food from this day was already given in line {known.line}, with other values."
            food.refuse(reason, column="valid_from", line=part.line)
    food.parts = list(by_day.values())


def _settle(food: Record, item: FoodItem | None, work: Work) -> int:
    """Sorts one food into what is there already (how many rows of it) and what is new."""
    recipes = {} if item is None else {recipe.valid_from: recipe for recipe in item.compositions.all()}
    units = {} if item is None else {unit.name: unit.grams for unit in item.units.all()}
    new = work.records.setdefault("food_items", [])
    target: Record | int = food if item is None else item.pk
    already = 0
    if item is None:
        new.append(food)
    else:
        _compare(food, food.cells, food.maker.own, item)
        already += not food.parts
    for part in food.parts:
        known = recipes.get(part.cells.get("valid_from"))
        if known is None:
            new.append(_child(food, FoodComposition, food.part_values(part), target))
        else:
            _compare(food, part.cells, food.maker.of_part, known, line=part.line)
            already += 1
    for name, grams in food.cells.get("units", {}).items():
        if name not in units:
            new.append(_child(food, FoodUnit, {"name": name, "grams": grams}, target))
        elif units[name] != grams:
            reason = f"A {name} of {food.identity[0]} is {units[name]:g} g here and {grams:g} g in the file."
            food.refuse(reason, column="units")
    return already


def _child(food: Record, model: type[models.Model], values: dict[str, Any], target: Record | int) -> Record:
    refs = {"food_item": target}
    return Record(food.maker, food.line, (), frozenset(), {}, computed=values, refs=refs, child_model=model)


def _compare(food: Record, said: dict[str, Any], filler: Filler, stored: Any, *, line: int | None = None) -> None:
    for name, value in said.items():
        if name == "units":
            continue
        here = getattr(stored, filler.fields[name][0])
        if value != here:
            column = filler.columns[name]
            stored_text, said_text = cell_text(column, here), cell_text(column, value)
            reason = f"{food.identity[0]} is already here with “{stored_text}”; the file says “{said_text}”."
            food.refuse(reason, column=name, line=line)
