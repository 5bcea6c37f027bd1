"""Forecasts kept as they stood: nothing later leaks into them, what came is set down, and a quiet night does nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.actions.corrections import withdraw
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.past_forecasts import forecast_days, keep_past_forecasts
from enclosures.actions.sludge import DepthGiven, log_cleanout, log_sounding
from enclosures.imports.importing import import_tables
from enclosures.models import Filter, ForecastTrial
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY

START = date(2024, 6, 1)
KEPT = [date(2025, 1, 1), date(2025, 4, 1), date(2025, 7, 1), date(2025, 10, 1)]


@pytest.fixture
def filter(facility: Any) -> Filter:
    """A small indoor filter, due at 70 of 100 mm, fed every second day."""
    place = make_enclosure(facility, "B1", kind="tank", indoor=True, water_volume_l=400, surface_m2=1.3)
    made = make_filter(place, chamber_area_m2=0.12, void_height_mm=100, usable_fraction=0.85, valid_from=START)
    food = make_pellet()
    for day in days(START, TODAY, 4):
        line = LineGiven(food_item=food, offered_g=16, eaten="all")
        log_feeding(enclosure=place, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    return made


def sound(filter: Filter, day: date, depth_mm: float, *, entered: date | None = None) -> Any:
    return log_sounding(
        filter=filter,
        moment=on(day, filter.enclosure.facility),
        depths=[DepthGiven(depth_mm=depth_mm)],
        stamp=entered_on(entered or day),
    )


def kept(facility: Any, *, today: date = TODAY, **more: Any) -> tuple[int, int]:
    return keep_past_forecasts(facility=facility, today=today, n_particles=120, **more)


def told() -> dict[date, Any]:
    return {row.made_on: row for row in ForecastTrial.objects.all()}


def test_a_forecast_is_kept_each_quarter_from_half_a_year_of_records_on(facility: Any, filter: Filter) -> None:
    assert forecast_days(facility=facility, today=TODAY) == KEPT
    seen: list[date] = []
    assert kept(facility, progress=seen.append) == (4, 0)
    assert seen == KEPT
    row = told()[date(2025, 1, 1)]
    assert len(row.ahead) == 9
    assert [day for day in row.ahead if day] == sorted(day for day in row.ahead if day)
    assert set(row.rules) == {"fixed interval", "straight line", "feed of 90 days", "feed of last year"}


def test_a_quiet_night_makes_nothing_and_a_new_model_makes_all_again(
    facility: Any, filter: Filter, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept(facility)
    assert kept(facility) == (0, 0)
    ForecastTrial.objects.filter(made_on=KEPT[0]).update(model_version="older")
    assert kept(facility) == (1, 0)
    monkeypatch.setattr("enclosures.actions.past_forecasts.MODEL_VERSION", "newer")
    assert kept(facility)[0] == 4
    assert kept(facility, again=True)[0] == 4
    assert ForecastTrial.objects.count() == 4


def test_nothing_that_was_dated_or_entered_later_changes_what_had_been_said(facility: Any, filter: Filter) -> None:
    kept(facility, today=date(2025, 1, 2))
    before = told()[KEPT[0]].ahead
    sound(filter, date(2025, 1, 20), 60)  # dated later
    sound(filter, date(2024, 12, 20), 64, entered=date(2025, 1, 20))  # entered later
    kept(facility, again=True)
    assert told()[KEPT[0]].ahead == before
    assert told()[KEPT[1]].ahead != before


def test_what_came_is_set_down_as_it_becomes_known_and_put_right_with_the_record(facility: Any, filter: Filter) -> None:
    kept(facility, today=date(2025, 1, 2))
    assert told()[KEPT[0]].kind == "open"
    sound(filter, date(2025, 3, 1), 60)
    found = sound(filter, date(2025, 3, 11), 80)
    assert kept(facility, today=date(2025, 3, 12)) == (0, 1)
    assert (told()[KEPT[0]].kind, told()[KEPT[0]].resolved_on) == ("came", date(2025, 3, 6))
    withdraw(found.record, reason="another filter", stamp=stamp(NOW))
    assert kept(facility)[1] == 1
    assert told()[KEPT[0]].kind == "open"


def test_cleaned_before_it_was_due_is_told_from_cleaned_unread(facility: Any, filter: Filter) -> None:
    kept(facility, today=date(2025, 1, 2))
    log_cleanout(
        filter=filter,
        moment=on(date(2025, 3, 1), facility),
        outcome="full",
        depth_before_mm=40,
        stamp=entered_on(date(2025, 3, 1)),
    )
    kept(facility)
    assert (told()[KEPT[0]].kind, told()[KEPT[0]].resolved_on) == ("cleaned", date(2025, 3, 1))


def test_an_import_of_older_records_has_the_forecasts_after_them_made_again(facility: Any, filter: Filter) -> None:
    kept(facility)
    row = {"filter": filter.code, "occurred_at": "2025-05-01", "depth_mm": "30"}
    assert import_tables({"soundings": [row]}, now=NOW).is_good
    assert sorted(told()) == KEPT[:2]
    assert kept(facility)[0] == 2
    season = {"enclosure": "B1", "kind": "resting", "from_on": "2025-09-01"}
    assert import_tables({"seasons": [season]}, now=NOW).is_good  # not a log: it may bear on any day
    assert told() == {}
