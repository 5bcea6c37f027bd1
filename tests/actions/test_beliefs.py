"""A what-if starts from the very forecast that is shown: the stored answer, drawn again to the last digit."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions import beliefs
from enclosures.actions.beliefs import believed_as_stored
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.outlook_form import outlook_json
from enclosures.actions.outlooks import refresh_facility, refresh_outlook
from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.actions.stale import mark_stale
from enclosures.forecast.what_if import Change, what_if_from
from enclosures.models import Filter, FilterOutlook, FoodItem
from enclosures.verdicts.signs import FilterSigns
from enclosures.verdicts.urgency import judged
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import NOW, TODAY

pytestmark = pytest.mark.django_db
START = date(2025, 2, 1)


def a_filter(facility: Any, code: str, *, grams: float, depth_mm: float) -> Filter:
    place = make_enclosure(facility, code, kind="tank", indoor=True, water_volume_l=400, surface_m2=1.3)
    made = make_filter(place, chamber_area_m2=0.12, void_height_mm=100, valid_from=START)
    food = FoodItem.objects.first() or make_pellet()
    for day in days(START, TODAY, 4):
        line = LineGiven(food_item=food, offered_g=grams, eaten="all")
        log_feeding(enclosure=place, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    read = date(2025, 8, 2)
    log_sounding(filter=made, moment=on(read, facility), depths=[DepthGiven(depth_mm=depth_mm)], stamp=entered_on(read))
    return made


def test_now_is_the_stored_answer_also_after_another_filter_has_taught_something_new(facility: Any) -> None:
    first = a_filter(facility, "B1", grams=16, depth_mm=30)
    other = a_filter(facility, "B2", grams=30, depth_mm=25)
    refresh_facility(facility=facility, today=TODAY, now=NOW, only_needed=False)
    stored = FilterOutlook.objects.get(filter=first).answer
    read = TODAY - timedelta(days=1)
    log_sounding(filter=other, moment=on(read, facility), depths=[DepthGiven(depth_mm=80)], stamp=entered_on(read))
    refresh_outlook(other, today=TODAY, now=NOW)
    belief = believed_as_stored(first, today=TODAY, now=NOW)
    assert belief is not None
    now = what_if_from(belief.posterior, belief.history, change=Change(), seed=belief.seed, future=belief.future).now
    again = outlook_json(now, judged(now, FilterSigns(filter="B1-F"), TODAY))
    assert {name: again[name] for name in ("fill", "depth_mm", "due_on", "not_before")} == {
        name: stored[name] for name in ("fill", "depth_mm", "due_on", "not_before")
    }


def test_an_answer_older_than_a_record_is_computed_again_first(facility: Any) -> None:
    made = a_filter(facility, "B1", grams=16, depth_mm=30)
    refresh_outlook(made, today=TODAY, now=NOW)
    mark_stale(filters=[made])
    assert believed_as_stored(made, today=TODAY, now=NOW) is not None
    assert not FilterOutlook.objects.get(filter=made).is_stale


def test_a_filter_without_measures_has_no_belief(facility: Any) -> None:
    bare = Filter.objects.create(enclosure=make_enclosure(facility), code="bare")
    sponge = Filter.objects.create(enclosure=bare.enclosure, code="sponge", kind="sponge")
    assert believed_as_stored(bare, today=TODAY, now=NOW) is None
    assert believed_as_stored(sponge, today=TODAY, now=NOW) is None


def test_the_next_change_starts_from_the_kept_belief_until_a_record_bears_on_it(
    facility: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = a_filter(facility, "B1", grams=16, depth_mm=30)
    refresh_outlook(made, today=TODAY, now=NOW)
    first = believed_as_stored(made, today=TODAY, now=NOW)
    assert first is not None
    with monkeypatch.context() as patched:
        patched.setattr(beliefs, "believe", lambda *args, **kwargs: pytest.fail("it was believed a second time"))
        again = believed_as_stored(made, today=TODAY, now=NOW)
    assert again is not None
    assert again.outlook == first.outlook
    read = TODAY - timedelta(days=1)
    log_sounding(filter=made, moment=on(read, facility), depths=[DepthGiven(depth_mm=70)], stamp=entered_on(read))
    after = believed_as_stored(made, today=TODAY, now=NOW)
    assert after is not None
    assert after.outlook.n_soundings == first.outlook.n_soundings + 1
