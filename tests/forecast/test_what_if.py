from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest

from enclosures.estimates.settling import capture_share
from enclosures.forecast.what_if import Change, what_if
from tests.forecast.histories import pond_p1, pond_p2, starter_tank

AS_OF = date(2025, 10, 4)


def tried(change: Change, evidence=None):
    return what_if(evidence or pond_p2(), as_of=AS_OF, change=change, n_particles=500)


def test_no_change_gives_the_same_answer_twice() -> None:
    same = tried(Change())
    assert same.then.due_on == same.now.due_on
    assert same.then.chance_due_within == same.now.chance_due_within
    assert same.then.trace == same.now.trace
    assert same.later_by_days == 0


def test_more_animals_bring_the_date_forward_and_fewer_put_it_off() -> None:
    more, fewer = tried(Change(feed_factor=1.5)), tried(Change(feed_factor=0.6))
    assert more.later_by_days is not None
    assert more.later_by_days < 0
    assert fewer.later_by_days is None or fewer.later_by_days > 0


def test_a_change_ahead_leaves_today_and_the_way_there_alone() -> None:
    later = tried(Change(on=AS_OF + timedelta(days=182), feed_factor=3.0))
    at_once = tried(Change(feed_factor=3.0))
    assert later.then.fill == later.now.fill
    assert later.then.due_on
    assert at_once.then.due_on
    assert later.then.due_on.p50 > at_once.then.due_on.p50


def test_a_higher_void_is_less_full_at_once_and_due_later() -> None:
    higher = tried(Change(void_height_mm=300.0))
    assert higher.now.fill
    assert higher.then.fill
    assert higher.then.fill.p50 == pytest.approx(higher.now.fill.p50 * 240 / 300)
    assert higher.later_by_days is None or higher.later_by_days > 0


def test_fish_leaves_less_than_pellets_gram_for_gram() -> None:
    """Published digestibility of fish flesh is higher than of pellets: the offset is -.5 in log on the food list."""
    fish = tried(Change(food_class="fish"), starter_tank(n_days=730))
    assert fish.later_by_days is None or fish.later_by_days > 0


def test_a_slower_rise_lets_more_settle() -> None:
    assert capture_share(3.0) > capture_share(6.0)
    slower = tried(Change(upflow_m_per_h=(6.0, 3.0)))
    assert slower.later_by_days is not None
    assert slower.later_by_days < 0


def test_a_cleanout_counts_from_its_own_day_and_says_whether_it_comes_too_late() -> None:
    on = AS_OF + timedelta(days=14)
    cleaned = tried(Change(on=on, is_cleaned=True), pond_p1())
    assert cleaned.due_before_chance is not None
    assert cleaned.due_before_chance > 0.7
    assert cleaned.now.due_on
    assert cleaned.then.due_on
    assert cleaned.now.due_on.p50 == AS_OF
    assert cleaned.then.due_on.p10 is None or cleaned.then.due_on.p10 > on


def test_records_are_not_touched() -> None:
    evidence = pond_p2()
    before = hash((evidence.builds, evidence.feedings, evidence.cleanouts, evidence.soundings))
    tried(Change(feed_factor=2.0, void_height_mm=300.0, is_cleaned=True), evidence)
    assert hash((evidence.builds, evidence.feedings, evidence.cleanouts, evidence.soundings)) == before


def test_without_geometry_both_sides_say_why() -> None:
    bare = tried(Change(feed_factor=2.0), replace(pond_p2(), builds=()))
    assert bare.now == bare.then
    assert bare.later_by_days is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (Change(on=AS_OF - timedelta(days=1)), "today or later"),
        (Change(on=AS_OF + timedelta(days=2000)), "three years"),
        (Change(feed_factor=-0.1), "twenty times"),
        (Change(feed_factor=math.nan), "twenty times"),
        (Change(void_height_mm=0.0), "more than 0 mm"),
        (Change(upflow_m_per_h=(5.0, 0.0)), "m/h"),
        (Change(food_class="cheese"), "class of food"),  # type: ignore[arg-type]
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(change: Change, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        tried(change)


def test_a_cleanout_has_its_own_day_beside_that_of_the_other_changes() -> None:
    on = AS_OF + timedelta(days=196)
    both = tried(Change(feed_factor=3.0, is_cleaned=True, cleaned_on=on))
    plain = tried(Change(is_cleaned=True, cleaned_on=on))
    assert both.due_before_chance is not None
    assert plain.due_before_chance is not None
    assert both.due_before_chance > plain.due_before_chance  # more feed from today on
    assert both.then.due_on
    assert both.then.due_on.p10 is None or both.then.due_on.p10 > on


def test_a_void_that_fills_in_the_last_week_before_a_cleanout_is_due_before_it() -> None:
    """Sure to be due in the coming week by a feed twenty times as large, and emptied at the end of that week."""
    rushed = tried(Change(feed_factor=20.0, is_cleaned=True, cleaned_on=AS_OF + timedelta(days=28)), pond_p1())
    assert rushed.due_before_chance is not None
    assert rushed.due_before_chance > 0.95


def test_the_trace_shows_the_fall_of_a_planned_cleanout() -> None:
    on = AS_OF + timedelta(days=70)
    trace = tried(Change(is_cleaned=True, cleaned_on=on)).then.trace
    assert trace is not None
    there = [fill for day, fill in zip(trace.days, trace.p50, strict=True) if day == on]
    assert len(there) == 2
    assert there[1] < 0.5 * there[0]


def test_a_date_beyond_the_horizon_moves_by_at_least_the_rest_of_it() -> None:
    shift = tried(Change(feed_factor=0.0, void_height_mm=900.0)).shift
    assert shift.is_at_least
    assert shift.days is not None
    assert shift.days > 0
