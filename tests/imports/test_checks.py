"""The constraints checked in memory are the database's own: same verdict, same sentence."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import models

from enclosures.imports.checks import broken_rules
from enclosures.models import Animal, Cleanout, FoodComposition, HealthNote, MediaLayer, Pump, Reading, Season

CASES: list[tuple[type[models.Model], dict[str, Any]]] = [
    (Pump, {"rated_l_per_h": 0.0}),
    (Pump, {"rated_l_per_h": None}),
    (Pump, {"rated_l_per_h": 200_001.0}),
    (FoodComposition, {"moisture_percent": 60.0, "protein_percent": 40.0}),
    (FoodComposition, {"moisture_percent": 60.1, "protein_percent": 40.0}),
    (Cleanout, {"outcome": "full", "depth_before_mm": 40.0, "depth_after_mm": 50.0}),
    (Cleanout, {"outcome": "full", "depth_before_mm": 40.0, "depth_after_mm": 50.5}),
    (Cleanout, {"outcome": "full", "depth_before_mm": None, "depth_after_mm": 50.5}),
    (Cleanout, {"outcome": "nearly"}),
    (Cleanout, {"outcome": "full", "withdrawn": True, "supersedes": None}),
    (Reading, {"analyte": "ph", "value": 2.9, "qualifier": ""}),
    (Reading, {"analyte": "tan", "value": 2.9, "qualifier": ""}),
    (Reading, {"analyte": "temperature", "value": -1.0, "canonical": -1.0, "qualifier": ""}),
    (Reading, {"analyte": "temperature", "value": 50.0, "canonical": 50.0, "qualifier": ""}),
    (Reading, {"analyte": "tan", "value": -1.0, "qualifier": ""}),
    (HealthNote, {"animal": None, "enclosure": None, "text": "x"}),
    (MediaLayer, {"depth_mm": 10.0, "grade_min_mm": 40.0, "grade_max_mm": 15.0}),
    (MediaLayer, {"depth_mm": 10.0, "grade_min_mm": None, "grade_max_mm": 15.0}),
    (Animal, {"sex": "both", "origin": "here"}),
    (Season, {"kind": "active"}),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("model", "values"), CASES)
def test_the_verdict_is_the_one_django_asks_the_database_for(model: type[models.Model], values: dict[str, Any]) -> None:
    defaults = {f.name: f.get_default() for f in model._meta.concrete_fields}
    here = {rule.sentence for rule in broken_rules(model, {**defaults, **values})}
    instance = model(**values)
    there = set()
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.CheckConstraint):
            try:
                constraint.validate(model, instance)
            except ValidationError as broken:
                there.update(broken.messages)
    assert here == there
