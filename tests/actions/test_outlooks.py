"""Stored outlooks: stale when a record bears on them, computed again when asked, and never fresh over something entered meanwhile."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions import outlooks
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.filters import add_build, fit_pump
from enclosures.actions.judging import judge_filters
from enclosures.actions.outlook_form import narrowing_json, outlook_json
from enclosures.actions.outlooks import filters_needing_refresh, refresh_facility, refresh_outlook
from enclosures.actions.sludge import DepthGiven, log_cleanout, log_flow_check, log_sounding, log_upkeep
from enclosures.actions.stale import mark_stale
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import Filter, FilterOutlook, FoodItem, Pump
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY

START = date(2025, 2, 1)


@pytest.fixture
def filter(facility: Any) -> Filter:
    """A small indoor filter with feed on record and one sounding."""
    place = make_enclosure(facility, "B1", kind="tank", indoor=True, water_volume_l=400, surface_m2=1.3)
    made = make_filter(place, chamber_area_m2=0.12, void_height_mm=100, usable_fraction=0.85, valid_from=START)
    food = make_pellet()
    for day in days(START, TODAY, 2):
        line = LineGiven(food_item=food, offered_g=8, eaten="all")
        log_feeding(enclosure=place, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    read = date(2025, 8, 2)
    log_sounding(filter=made, moment=on(read, facility), depths=[DepthGiven(depth_mm=30)], stamp=entered_on(read))
    return made


def test_what_is_stored_is_what_a_fresh_forecast_says(filter: Filter) -> None:
    row = refresh_outlook(filter, today=TODAY, now=NOW)
    row.refresh_from_db()
    (fresh,) = judge_filters([filter], as_of=TODAY, zone=filter.enclosure.facility.zone)
    assert row.answer == outlook_json(fresh.outlook, fresh.verdict)
    assert list(outlook_json(fresh.outlook, fresh.verdict)) == [
        "filter", "as_of", "fill", "depth_mm", "due_fill", "due_on", "not_before", "band", "sureness", "basis", "reasons",
        "next_reading",
    ]  # fmt: skip
    assert (row.as_of, row.computed_at, row.is_stale, row.band) == (TODAY, NOW, False, "fine")
    assert row.answer["fill"]["p50"] == pytest.approx(row.fill_p50, abs=1e-4)
    assert row.fill_p10 < row.fill_p50 < row.fill_p90
    assert row.answer["depth_mm"]["p50"] == pytest.approx(100 * row.fill_p50, abs=0.06)
    assert row.coping == "not known"
    assert row.detail["last_sounding"] == "30 % on 2 Aug, 63 days ago"
    assert len(row.trace["days"]) == len(row.trace["p50"]) == len(row.trace["is_ahead"]) > 20
    again = refresh_outlook(filter, today=TODAY, now=NOW)
    assert again.answer == row.answer  # a reload shows the same days
    assert again.detail["narrowing"] == row.detail["narrowing"] == narrowing_json(fresh)
    assert row.detail["narrowing"]["counted_now"] < row.detail["narrowing"]["due_days_now"]


def test_filters_learn_from_each_other_and_one_refreshed_alone_reads_as_with_all(facility: Any, filter: Filter) -> None:
    refresh_outlook(filter, today=TODAY, now=NOW)
    alone = FilterOutlook.objects.get().answer
    other = make_filter(make_enclosure(facility, "B2", kind="tank", indoor=True), chamber_area_m2=0.2, valid_from=START)
    for day in days(START, TODAY, 2):
        line = LineGiven(food_item=FoodItem.objects.get(), offered_g=20, eaten="all")
        log_feeding(enclosure=other.enclosure, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    for n, day in enumerate(days(date(2025, 3, 1), TODAY, 40)):
        depth = DepthGiven(depth_mm=20 + 18 * n)  # fills faster than its feed would have it
        log_sounding(filter=other, moment=on(day, facility), depths=[depth], stamp=entered_on(day))
    refresh_facility(facility=facility, today=TODAY, now=NOW, only_needed=False)
    together = {row.filter_id: row.answer for row in FilterOutlook.objects.all()}
    fresh = judge_filters(Filter.objects.order_by("code"), as_of=TODAY, zone=facility.zone)
    assert together == {one.filter.pk: outlook_json(one.outlook, one.verdict) for one in fresh}
    assert together[filter.pk]["fill"] != alone["fill"]
    assert refresh_outlook(filter, today=TODAY, now=NOW).answer == together[filter.pk]


def test_a_filter_without_geometry_has_its_answer_with_nulls_and_the_reason(facility: Any) -> None:
    bare = Filter.objects.create(enclosure=make_enclosure(facility), code="bare")
    row = refresh_outlook(bare, today=TODAY, now=NOW)
    assert (row.band, row.sureness, row.fill_p50) == ("unknown", "none", None)
    assert [row.answer[name] for name in ("fill", "depth_mm", "due_fill", "due_on", "not_before")] == [None] * 5
    assert "The void's area and height are not on record for this day." in row.answer["reasons"]
    assert row.detail["narrowing"] is None


def test_only_the_stale_and_the_aged_are_computed_unless_all_are_asked_for(facility: Any, filter: Filter) -> None:
    other = make_filter(make_enclosure(facility, "P1"))
    make_filter(make_enclosure(facility, "P9"), "gone")
    Filter.objects.filter(code="gone").update(retired_on=TODAY)
    Filter.objects.create(enclosure=other.enclosure, code="sponge", kind="sponge")
    told: list[tuple[int, int, str]] = []
    ask = {"facility": facility, "today": TODAY, "now": NOW}
    n_first = refresh_facility(**ask, progress=lambda n, of, row: told.append((n, of, row.code)))
    assert (n_first, told) == (2, [(1, 2, "B1-F"), (2, 2, "P1-F")])
    assert refresh_facility(**ask) == 0
    mark_stale(filters=[other])
    assert [row.code for row in filters_needing_refresh(facility=facility, today=TODAY)] == ["P1-F"]
    assert refresh_facility(**ask) == 1
    assert refresh_facility(**ask, only_needed=False) == 2
    tomorrow = {"today": TODAY + timedelta(days=1), "now": NOW + timedelta(days=1)}
    assert refresh_facility(facility=facility, **tomorrow) == 2


def test_what_is_entered_while_an_outlook_is_computed_makes_it_stale_again(
    filter: Filter, monkeypatch: pytest.MonkeyPatch
) -> None:
    judge = outlooks.judge_filters

    def entered_meanwhile(*args: Any, **kwargs: Any) -> Any:
        for answer in judge(*args, **kwargs):
            mark_stale(filters=[filter])
            yield answer

    monkeypatch.setattr(outlooks, "judge_filters", entered_meanwhile)
    refresh_outlook(filter, today=TODAY, now=NOW)
    assert FilterOutlook.objects.get().is_stale


def test_a_refresh_cut_short_is_done_again(facility: Any, filter: Filter, monkeypatch: pytest.MonkeyPatch) -> None:
    refresh_outlook(filter, today=TODAY, now=NOW)

    def broken(*args: Any, **kwargs: Any) -> Any:
        raise RuntimeError("power cut")

    monkeypatch.setattr(outlooks, "judge_filters", broken)
    with pytest.raises(RuntimeError):
        refresh_outlook(filter, today=TODAY, now=NOW)
    assert filters_needing_refresh(facility=facility, today=TODAY) == [filter]
    assert FilterOutlook.objects.get().band == "fine"  # the last answer is still shown, as of an earlier day


@pytest.mark.parametrize("act", ["feeding", "water test", "sounding", "flow", "cleanout", "upkeep", "build", "pump"])
def test_every_record_that_bears_on_a_filter_marks_its_outlook_stale(facility: Any, filter: Filter, act: str) -> None:
    bystander = make_filter(make_enclosure(facility, "P1"))
    for row in (filter, bystander):
        FilterOutlook.objects.create(filter=row, as_of=TODAY, computed_at=NOW, band="fine")
    place, moment = filter.enclosure, on(TODAY, facility)
    said = {"moment": moment, "stamp": stamp()}
    line = LineGiven(food_item=FoodItem.objects.get(), offered_g=1)
    {
        "feeding": lambda: log_feeding(enclosure=place, lines=[line], **said),
        "water test": lambda: log_water_test(
            enclosure=place, readings=[ReadingGiven(analyte="temperature", value=25, unit="degC")], **said
        ),
        "sounding": lambda: log_sounding(filter=filter, depths=[DepthGiven(depth_mm=40)], **said),
        "flow": lambda: log_flow_check(filter=filter, flow_l_per_h=600, **said),
        "cleanout": lambda: log_cleanout(filter=filter, outcome="full", **said),
        "upkeep": lambda: log_upkeep(filter=filter, kind="restack", **said),
        "build": lambda: add_build(filter, valid_from=TODAY, chamber_area_m2=0.2, void_height_mm=130),
        "pump": lambda: fit_pump(filter=filter, pump=Pump.objects.create(code="a"), from_on=TODAY, stamp=stamp()),
    }[act]()
    assert dict(FilterOutlook.objects.values_list("filter__code", "is_stale")) == {"B1-F": True, "P1-F": False}


def test_much_feed_without_a_recipe_makes_the_forecast_less_sure_and_says_so(facility: Any, filter: Filter) -> None:
    sure = refresh_outlook(filter, today=TODAY, now=NOW)
    assert sure.sureness == "fair"
    snail = FoodItem.objects.create(code="snail", food_class="mollusc")
    line = LineGiven(food_item=snail, offered_g=2000, eaten="all")
    log_feeding(enclosure=filter.enclosure, moment=on(TODAY, facility), lines=[line], stamp=stamp())
    row = refresh_outlook(filter, today=TODAY, now=NOW)
    assert row.sureness == "rough"
    assert "No recipe on record for snail: a usual one of its kind was taken." in row.answer["reasons"]
