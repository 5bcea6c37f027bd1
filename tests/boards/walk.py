"""A small station to walk: ponds with plans, animals, water and meals, made through actions."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.plans import save_feeding_plan
from enclosures.actions.stays import arrive
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.boards.round_done import Reader
from enclosures.boards.todays_round import RoundBoard, RoundRow, build_todays_round
from enclosures.models import Animal, Enclosure, Facility, FeedingPlan, FoodItem, Taxon
from tests.actions.station import at, entered_on, make_enclosure, on
from tests.conftest import NOW, TODAY


def settle_in(place: Enclosure, *codes: str, stop_c: float | None = 14, since: date = date(2024, 5, 1)) -> list[Animal]:
    """Pond turtles that stop eating under `stop_c`."""
    taxon, _ = Taxon.objects.get_or_create(
        scientific_name="Emys orbicularis",
        defaults={"common_name": "European pond turtle", "feeding_stops_below_c": stop_c},
    )
    animals = [Animal.objects.create(code=code, taxon=taxon, sex="female") for code in codes]
    for animal in animals:
        arrive(animal=animal, to=place, moment=on(since, place.facility), stamp=entered_on(since))
    return animals


def lived_in(facility: Facility, code: str, *animals: str, **more: Any) -> Enclosure:
    place = make_enclosure(facility, code, **more)
    settle_in(place, *(animals or (f"{code}-A", f"{code}-B")))
    return place


def plan(place: Enclosure, food: FoodItem, *, amount: float = 1, unit: str = "scoop", **rules: Any) -> FeedingPlan:
    values = {"slot": "am", "weekdays": "", "from_on": TODAY - timedelta(days=30), **rules}
    lines = [LineGiven(food_item=food, amount=amount, unit=unit)]
    return save_feeding_plan(enclosure=place, lines=lines, stamp=entered_on(values["from_on"], by="SUP"), **values)


def feed(place: Enclosure, food: FoodItem, day: date, *, hour: int = 7, by: str = "K1", **more: Any) -> Any:
    slot = "am" if hour < 13 else "pm"
    return log_feeding(
        enclosure=place,
        moment=at(day, hour, 44, place.facility),
        lines=[LineGiven(food_item=food, amount=1, unit="scoop", eaten="all")],
        stamp=entered_on(day, by=by, hour=hour),
        slot=slot,
        **more,
    ).record


def water(place: Enclosure, temp_c: float, *, day: date = TODAY - timedelta(days=1)) -> None:
    reading = ReadingGiven(analyte="temperature", value=temp_c, unit="degC")
    log_water_test(enclosure=place, moment=at(day, 9, 0, place.facility), readings=[reading], stamp=entered_on(day))


def the_round(
    facility: Facility, *, slot: str = "am", day: date = TODAY, now: datetime = NOW, initials: str = "K1"
) -> RoundBoard:
    reader = Reader(initials=initials, now=now, undo_within=timedelta(minutes=10))
    return build_todays_round(day=day, today=TODAY, slot=slot, zone=facility.zone, reader=reader)


def row(facility: Facility, code: str, **more: Any) -> RoundRow:
    found = the_round(facility, **more).row(code)
    assert found is not None, f"{code} is not on the round"
    return replace(found, plan=plain(found.plan), who=plain(found.who))


def plain(text: str) -> str:
    """Without the no-break spaces that hold figures to their units."""
    return text.replace("\u00a0", " ")
