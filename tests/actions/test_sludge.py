"""Soundings against the void of their day; a cleanout in two halves."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.actions.entries import Refused
from enclosures.actions.filters import add_build
from enclosures.actions.sludge import DepthGiven, finish_cleanout, log_cleanout, log_flow_check, log_sounding
from enclosures.models import Cleanout, Filter, Sounding
from tests.actions.station import make_enclosure, make_filter, on, stamp
from tests.conftest import TODAY


@pytest.fixture
def pond_filter(facility: Any) -> Filter:
    return make_filter(make_enclosure(facility, "P2"), void_height_mm=160)


def test_a_sounding_deeper_than_the_void_is_refused_and_a_slipped_decimal_offered(
    facility: Any, pond_filter: Filter
) -> None:
    with pytest.raises(Refused) as slipped:
        log_sounding(filter=pond_filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=830)], stamp=stamp())
    said = slipped.value.errors["depth_mm"].replace("\u00a0", " ")
    assert said == "830 mm is deeper than the void, which is 160 mm high. Did you mean 83 mm?"
    with pytest.raises(Refused) as deep:
        log_sounding(filter=pond_filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=1700)], stamp=stamp())
    assert "at the grid" in deep.value.errors["depth_mm"]
    assert Sounding.all_rows.count() == 0
    full = log_sounding(
        filter=pond_filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=160, qualifier=">=")], stamp=stamp()
    )
    assert full.is_new


def test_a_sounding_is_measured_against_the_void_of_its_own_day(facility: Any, pond_filter: Filter) -> None:
    add_build(pond_filter, valid_from=date(2025, 3, 29), chamber_area_m2=0.48, void_height_mm=240, usable_fraction=0.8)
    with pytest.raises(Refused):
        log_sounding(
            filter=pond_filter, moment=on(date(2025, 3, 28), facility), depths=[DepthGiven(depth_mm=200)], stamp=stamp()
        )
    log_sounding(filter=pond_filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=200)], stamp=stamp())
    with pytest.raises(Refused) as early:
        log_sounding(
            filter=pond_filter, moment=on(date(2023, 12, 31), facility), depths=[DepthGiven(depth_mm=20)], stamp=stamp()
        )
    assert "2024-01-01" in early.value.errors["occurred_at"]
    bare = Filter.objects.create(enclosure=pond_filter.enclosure, code="bare")
    with pytest.raises(Refused) as unbuilt:
        log_sounding(filter=bare, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=20)], stamp=stamp())
    assert "no as-built figures" in unbuilt.value.errors["filter"]


def test_a_cleanout_begun_is_finished_by_a_row_of_its_own_that_keeps_the_first_half(
    facility: Any, pond_filter: Filter
) -> None:
    first = log_cleanout(
        filter=pond_filter,
        moment=on(TODAY, facility),
        stamp=stamp(),
        outcome="attempted",
        stage="before",
        depth_before_mm=120,
        odour=3,
    ).record
    done = finish_cleanout(
        first, stamp=stamp(by="SUP"), outcome="part", depth_after_mm=60, entry="6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11"
    )
    assert (done.record.depth_before_mm, done.record.odour, done.record.depth_after_mm) == (120, 3, 60)
    assert (done.record.supersedes_id, done.record.reason, done.record.stage) == (first.pk, "second half", "done")
    assert list(Cleanout.objects.values_list("pk", flat=True)) == [done.record.pk]
    again = finish_cleanout(
        first, stamp=stamp(by="SUP"), outcome="part", depth_after_mm=60, entry="6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11"
    )
    assert not again.is_new
    with pytest.raises(Refused) as twice:
        finish_cleanout(first, stamp=stamp(), outcome="full", depth_after_mm=5)
    assert "already corrected by SUP" in twice.value.errors["__all__"]
    with pytest.raises(Refused):
        finish_cleanout(done.record, stamp=stamp(), outcome="full")


def test_a_bucket_gives_litres_an_hour_and_needs_both_its_figures(facility: Any, pond_filter: Filter) -> None:
    moment = on(TODAY, facility)
    checked = log_flow_check(filter=pond_filter, moment=moment, stamp=stamp(), litres=20, seconds=30).record
    assert checked.flow_l_per_h == 2400
    for wrong in ({"litres": 20.0}, {}, {"litres": 20.0, "seconds": 0.0}):
        with pytest.raises(Refused):
            log_flow_check(filter=pond_filter, moment=moment, stamp=stamp(), **wrong)
