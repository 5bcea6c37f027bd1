"""Foods, the keeper's units of them, and their recipes from a day on. What was fed keeps the grams and shares of its day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import transaction

from enclosures.actions.entries import Refused
from enclosures.actions.plain import save_described
from enclosures.models import FoodComposition, FoodItem, FoodUnit


def save_food(
    food: FoodItem | None,
    *,
    units: Mapping[str, float] | None = None,
    recipe: Mapping[str, Any] | None = None,
    recipe_from: date | None = None,
    **changes: Any,
) -> FoodItem:
    """A new food (None; `changes` then hold its code) or what is different of one, all or nothing.

    `units` are grams by name: a known one gets other grams from now on, none is taken away. `recipe` are the percentages of
    models.FoodComposition, in force from `recipe_from` (None: from the beginning); one of the same day is put right.
    Raises Refused, a unit's fault under "units".
    """
    with transaction.atomic():
        food = food or FoodItem()
        save_described(food, changes=changes)
        for name, grams in (units or {}).items():
            unit = FoodUnit.objects.filter(food_item=food, name__iexact=name).first()
            try:
                save_described(unit or FoodUnit(food_item=food, name=name), changes={"grams": grams})
            except Refused as refused:
                raise Refused({"units": f"{name}: {' '.join(refused.errors.values())}"}) from refused
        if recipe:
            found = FoodComposition.objects.filter(food_item=food, valid_from=recipe_from).first()
            save_described(found or FoodComposition(food_item=food, valid_from=recipe_from), changes=recipe)
    return food
