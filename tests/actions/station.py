"""A small station made through actions, for the tests of actions, evidence and commands."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from enclosures.actions.entries import Stamp
from enclosures.models import Enclosure, Facility, Filter, FilterBuild, FoodComposition, FoodItem, FoodUnit, Moment
from tests.conftest import NOW


def stamp(at: datetime = NOW, *, by: str = "K1", **more: Any) -> Stamp:
    return replace(Stamp(entered_at=at, entered_by=by), **more)


def entered_on(day: date, *, by: str = "K1", hour: int = 18, **more: Any) -> Stamp:
    return stamp(datetime(day.year, day.month, day.day, hour, tzinfo=UTC), by=by, **more)


def on(day: date, facility: Facility) -> Moment:
    return Moment.of_day(day, zone=facility.zone)


def at(day: date, hour: int, minute: int, facility: Facility) -> Moment:
    return Moment.of_local(datetime(day.year, day.month, day.day, hour, minute), zone=facility.zone)  # noqa: DTZ001


def make_enclosure(facility: Facility, code: str = "P1", **more: Any) -> Enclosure:
    values = {"kind": "pond", "indoor": False, "water_volume_l": 7800, "surface_m2": 14, **more}
    return Enclosure.objects.create(facility=facility, code=code, **values)


def make_filter(enclosure: Enclosure, code: str = "", *, valid_from: date = date(2024, 1, 1), **build: Any) -> Filter:
    filter = Filter.objects.create(enclosure=enclosure, code=code or f"{enclosure.code}-F", commissioned_on=valid_from)
    values = {"chamber_area_m2": 0.45, "void_height_mm": 150, "usable_fraction": 0.75, **build}
    FilterBuild.objects.create(filter=filter, valid_from=valid_from, **values)
    return filter


def make_pellet(code: str = "pellet", *, moisture: float = 8, protein: float = 40) -> FoodItem:
    item = FoodItem.objects.create(code=code, food_class="pellet", name=code)
    FoodComposition.objects.create(food_item=item, moisture_percent=moisture, protein_percent=protein)
    FoodUnit.objects.create(food_item=item, name="scoop", grams=26)
    return item


def days(first: date, last: date, step: int = 1) -> list[date]:
    return [first + timedelta(days=n) for n in range(0, (last - first).days + 1, step)]
