"""--as-of D knows what was known by the end of D: nothing dated later, nothing entered later, whatever it is dated."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.management import call_command

from enclosures.actions.animals import add_animal, merge_animals
from enclosures.actions.corrections import move_to_enclosure, supersede, withdraw
from enclosures.actions.entries import Stamp
from enclosures.actions.events import begin_season, end_season, log_death
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.filters import add_build, confirm_baseline, fit_pump, set_up_filter
from enclosures.actions.flags import settle_flag
from enclosures.actions.measurements import log_measurement
from enclosures.actions.sludge import (
    DepthGiven,
    finish_cleanout,
    log_cleanout,
    log_flow_check,
    log_sounding,
    log_upkeep,
)
from enclosures.actions.stays import arrive, move_animals
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import (
    Animal,
    Cleanout,
    Enclosure,
    Feeding,
    Filter,
    FoodComposition,
    FoodItem,
    Pump,
    Season,
    Sounding,
    Taxon,
)
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on

D = date(2025, 6, 14)
LATER = date(2025, 9, 1)
FIRST_MOMENT_AFTER = datetime(2025, 6, 14, 22, 0, tzinfo=UTC)  # midnight in Paris, two hours ahead in summer


@pytest.fixture
def station(facility: Any) -> Any:
    """Two ponds with everything on record up to D, each row entered on its own day."""
    food = make_pellet()
    taxon = Taxon.objects.create(scientific_name="Emys orbicularis", feeding_stops_below_c=14)
    for code in ("P1", "P2"):
        place = make_enclosure(facility, code, litter_level="near")
        filter = make_filter(place, baseline_flow_l_per_h=2400, baseline_head_mm=14, valid_from=date(2024, 6, 1))
        animal = add_animal(code=f"BL-{code}", taxon=taxon, sex="female")
        arrive(animal=animal, to=place, moment=on(date(2024, 6, 1), facility), stamp=entered_on(date(2024, 6, 1)))
        log_measurement(
            animal=animal, moment=on(date(2024, 6, 1), facility), stamp=entered_on(date(2024, 6, 1)), mass_g=742
        )
        for day in days(date(2025, 4, 1), D, 3):
            feed(place, day, 30, food)
        for day, depth in ((date(2024, 9, 14), 40), (date(2025, 5, 3), 77)):
            sound(filter, day, depth)
        begin = date(2024, 11, 2)
        begin_season(enclosure=place, kind="brumation", from_on=begin, stamp=entered_on(begin))
        end_season(Season.objects.get(enclosure=place), to_on=date(2025, 3, 20))
        check(filter, D, flow=1900, head=22)
        warm(place, D, 22.0)
    return facility


def feed(place: Enclosure, day: date, grams: float, food: FoodItem, **more: Any) -> Feeding:
    stamp = more.pop("stamp", None) or entered_on(day)
    line = LineGiven(food_item=food, offered_g=grams, eaten="all")
    return log_feeding(enclosure=place, moment=on(day, place.facility), lines=[line], stamp=stamp, **more).record


def sound(filter: Filter, day: date, depth_mm: float, stamp: Stamp | None = None) -> Sounding:
    return log_sounding(
        filter=filter,
        moment=on(day, filter.enclosure.facility),
        depths=[DepthGiven(depth_mm=depth_mm)],
        stamp=stamp or entered_on(day),
    ).record


def check(filter: Filter, day: date, *, flow: float, head: float, stamp: Stamp | None = None) -> None:
    log_flow_check(
        filter=filter,
        moment=on(day, filter.enclosure.facility),
        stamp=stamp or entered_on(day),
        flow_l_per_h=flow,
        head_difference_mm=head,
    )


def warm(place: Enclosure, day: date, temp_c: float, stamp: Stamp | None = None) -> None:
    readings = [
        ReadingGiven(analyte="temperature", value=temp_c, unit="degC"),
        ReadingGiven(analyte="tan", value=0.7, unit="mg/L", expressed_as="N"),
    ]
    log_water_test(enclosure=place, moment=on(day, place.facility), readings=readings, stamp=stamp or entered_on(day))


def forecast(capsys: pytest.CaptureFixture[str], *, as_of: date = D) -> str:
    capsys.readouterr()
    call_command("forecast_voids", as_of=as_of.isoformat(), format="json")
    return capsys.readouterr().out


def dated_later(facility: Any, stamp: Stamp) -> None:
    """Entered and dated after D."""
    pond, other = Enclosure.objects.order_by("code")
    filter, food, animal = pond.filters.get(), FoodItem.objects.get(), Animal.objects.order_by("code").first()
    day = date(2025, 8, 20)
    feed(pond, day, 500, food, stamp=stamp)
    sound(filter, day, 12, stamp)
    check(filter, day, flow=900, head=90, stamp=stamp)
    warm(pond, day, 30.0, stamp)
    log_measurement(animal=animal, moment=on(day, facility), stamp=stamp, mass_g=1500)
    log_cleanout(filter=filter, moment=on(day, facility), stamp=stamp, outcome="full", depth_after_mm=5)
    log_upkeep(filter=filter, moment=on(day, facility), kind="restack", stamp=stamp)
    move_animals(animals=[animal], to=other, moment=on(day, facility), stamp=stamp)
    begin_season(enclosure=pond, kind="drained", from_on=day, stamp=stamp)
    add_build(filter, valid_from=day, chamber_area_m2=0.9, void_height_mm=300)
    confirm_baseline(other.filters.get(), valid_from=day, flow_l_per_h=1000, head_mm=30)
    fit_pump(filter=filter, pump=Pump.objects.create(code="late"), from_on=day, stamp=stamp)
    set_up_filter(
        enclosure=pond,
        code="twin",
        kind="sponge",
        commissioned_on=day,
        build={"valid_from": day, "chamber_area_m2": 0.9, "void_height_mm": 300},
    )
    log_death(animal=Animal.objects.order_by("code").last(), moment=on(day, facility), stamp=stamp)


def entered_later(facility: Any, stamp: Stamp) -> None:
    """Dated before D, and entered after it."""
    pond, other = Enclosure.objects.order_by("code")
    filter, food = pond.filters.get(), FoodItem.objects.get()
    day = date(2025, 5, 20)
    feed(pond, day, 500, food, stamp=stamp)
    sound(filter, day, 12, stamp)
    check(filter, day, flow=900, head=90, stamp=stamp)
    warm(pond, day, 30.0, stamp)
    animals = list(Animal.objects.order_by("code"))
    log_measurement(animal=animals[0], moment=on(day, facility), stamp=stamp, mass_g=1500)
    log_cleanout(filter=filter, moment=on(day, facility), stamp=stamp, outcome="full", depth_after_mm=5)
    log_upkeep(filter=filter, moment=on(day, facility), kind="restack", stamp=stamp)
    move_animals(animals=animals[:1], to=other, moment=on(day, facility), stamp=stamp)
    newcomer = add_animal(code="BL-999", taxon=animals[0].taxon, program="SM-PA-23")
    arrive(animal=newcomer, to=pond, moment=on(day, facility), stamp=stamp)
    begin_season(enclosure=pond, kind="drained", from_on=day, stamp=stamp)
    fit_pump(filter=filter, pump=Pump.objects.create(code="late"), from_on=day, stamp=stamp)
    merge_animals(alias=animals[1], into=newcomer, stamp=stamp, reason="same shell")


def corrected_later(facility: Any, stamp: Stamp) -> None:
    """Corrections and withdrawals of what was known on D, entered after it."""
    pond, other = Enclosure.objects.order_by("code")
    filter, food = pond.filters.get(), FoodItem.objects.get()
    meals = list(Feeding.objects.filter(enclosure=pond).oldest_first())
    supersede(meals[0], parts={"lines": [LineGiven(food_item=food, offered_g=900)]}, stamp=stamp, reason="misread")
    supersede(meals[1], moment=on(D + timedelta(days=1), facility), stamp=stamp, reason="wrong day")
    move_to_enclosure(meals[2], to=other, stamp=stamp, reason="wrong pond")
    withdraw(meals[3], stamp=stamp, reason="never was")
    first, second = Sounding.objects.filter(filter=filter).oldest_first()
    put_right = supersede(first, parts={"readings": [DepthGiven(depth_mm=4)]}, stamp=stamp, reason="cm").record
    withdraw(put_right, stamp=stamp, reason="after all")
    withdraw(second, stamp=stamp, reason="wrong pipe")
    FoodComposition.objects.update(moisture_percent=60)
    FoodComposition.objects.create(food_item=food, valid_from=date(2025, 4, 1), moisture_percent=50, protein_percent=20)
    for row in (*Feeding.objects.all(),)[:2]:
        settle_flag(row, code="DUP", stamp=stamp)


@pytest.mark.parametrize("later", [dated_later, entered_later, corrected_later])
@pytest.mark.parametrize("moment", [FIRST_MOMENT_AFTER, datetime(2025, 9, 1, 9, 0, tzinfo=UTC)])
def test_nothing_that_came_after_the_day_changes_what_was_known_on_it(
    station: Any,
    capsys: pytest.CaptureFixture[str],
    later: Callable[[Any, Stamp], None],
    moment: datetime,
) -> None:
    if later is dated_later and moment == FIRST_MOMENT_AFTER:
        moment = datetime(2025, 8, 21, 0, 0, tzinfo=UTC)  # what is dated in August cannot be entered in June
    before = forecast(capsys)
    then = forecast(capsys, as_of=LATER)
    assert {one["filter"] for one in json.loads(before)} == {"P1-F", "P2-F"}
    assert all(one["fill"] for one in json.loads(before))
    later(station, Stamp(entered_at=moment, entered_by="SUP"))
    assert forecast(capsys) == before
    assert forecast(capsys, as_of=LATER) != then  # and by then it was known


def test_what_was_entered_in_the_last_second_of_the_day_was_known_on_it(
    station: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    before = forecast(capsys)
    stamp = Stamp(entered_at=FIRST_MOMENT_AFTER - timedelta(seconds=1), entered_by="K1")
    sound(Filter.objects.get(code="P1-F"), D, 120, stamp)
    after = forecast(capsys)
    assert after != before
    late = Stamp(entered_at=FIRST_MOMENT_AFTER, entered_by="K1")
    sound(Filter.objects.get(code="P1-F"), D, 20, late)
    assert forecast(capsys) == after


def test_a_cleanout_finished_after_the_day_was_on_that_day_only_begun(
    station: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    filter = Filter.objects.get(code="P1-F")
    log_cleanout(
        filter=filter,
        moment=on(D, station),
        stamp=entered_on(D),
        outcome="attempted",
        stage="before",
        depth_before_mm=90,
    )
    before = forecast(capsys)
    finish_cleanout(Cleanout.objects.get(), stamp=entered_on(D + timedelta(days=1)), outcome="full", depth_after_mm=5)
    assert forecast(capsys) == before
    emptied = {one["filter"]: one["fill"]["p50"] for one in json.loads(forecast(capsys, as_of=D + timedelta(days=1)))}
    full = {one["filter"]: one["fill"]["p50"] for one in json.loads(before)}
    assert emptied["P1-F"] < 0.5 * full["P1-F"]
    assert emptied["P2-F"] == pytest.approx(full["P2-F"], abs=0.05)


def test_entries_put_right_by_the_day_read_like_clean_ones(facility: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """A meal moved to its pond, a late one, a misread rod: the forecast is that of a book without mistakes (F1, F2)."""
    food = make_pellet()
    filters = {code: make_filter(make_enclosure(facility, code)) for code in ("P1", "P2")}
    for filter in filters.values():
        for day in days(date(2025, 4, 1), date(2025, 5, 31), 2):
            feed(filter.enclosure, day, 20, food)
    clean_sounding = {"filter": filters["P1"], "day": date(2025, 5, 1), "depth_mm": 60}
    sound(**clean_sounding)
    feed(filters["P1"].enclosure, date(2025, 6, 1), 35, food)
    clean = forecast(capsys)
    for row in (*Feeding.objects.filter(occurred_on=date(2025, 6, 1)), *Sounding.objects.all()):
        withdraw(row, stamp=entered_on(date(2025, 6, 2)), reason="to be entered again, wrongly")
    wrong = feed(filters["P2"].enclosure, date(2025, 6, 1), 35, food)
    move_to_enclosure(
        wrong, to=filters["P1"].enclosure, stamp=entered_on(date(2025, 6, 3), by="SUP"), reason="wrong pond"
    )
    misread = sound(filters["P1"], date(2025, 5, 2), 6)
    supersede(
        misread,
        moment=on(date(2025, 5, 1), facility),
        parts={"readings": [DepthGiven(depth_mm=60)]},
        stamp=entered_on(date(2025, 6, 3), how="late"),
        reason="typed in cm",
    )
    assert json.loads(forecast(capsys)) == json.loads(clean)
