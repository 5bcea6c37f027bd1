"""What is said of a void after a forecast: when it came due, or that nobody can tell. Days reckoned by hand from the readings."""

from __future__ import annotations

from datetime import date

import pytest

from enclosures.forecast.outcomes import Outcome, outcome_of
from tests.forecast.histories import cleanout, pond_p1, sounding, starter_tank

MADE_ON, UNTIL = date(2024, 2, 1), date(2024, 12, 31)
LOW, HIGH = sounding("2024-05-01", 15), sounding("2024-06-30", 45)  # of 50 mm


def tank(**more: object):
    return starter_tank(n_days=365, **more)


def outcome(**more: object) -> Outcome:
    return outcome_of(tank(**more), made_on=MADE_ON, until=UNTIL)


def test_the_tank_of_these_tests_is_due_at_35_mm() -> None:
    build = tank().builds[0]
    assert build.due_fill * build.void_height_mm == pytest.approx(35)


def test_it_came_on_the_line_between_the_reading_below_and_the_one_above() -> None:
    """From 15 to 45 mm in 60 days: 35 mm after 40 of them."""
    assert outcome(soundings=(LOW, HIGH)) == Outcome(kind="came", on=date(2024, 6, 10))


def test_the_reading_before_the_cleanout_counts_and_the_one_after_does_not() -> None:
    done = cleanout("2024-06-30", depth_before_mm=45, depth_after_mm=5)
    assert outcome(soundings=(LOW,), cleanouts=(done,)) == Outcome(kind="came", on=date(2024, 6, 10))
    later = sounding("2024-09-01", 50)  # of the next filling
    below = cleanout("2024-06-30", depth_before_mm=30)
    assert outcome(soundings=(LOW, later), cleanouts=(below,)).kind == "cleaned"


def test_cleaned_below_its_line_nobody_can_tell_and_unread_still_less() -> None:
    read, unread = cleanout("2024-06-30", depth_before_mm=30), cleanout("2024-06-30")
    assert outcome(soundings=(LOW,), cleanouts=(read,)) == Outcome(
        kind="cleaned", on=date(2024, 6, 30), below_on=date(2024, 6, 30)
    )
    assert outcome(soundings=(LOW,), cleanouts=(unread,)) == Outcome(
        kind="unread", on=date(2024, 6, 30), below_on=date(2024, 5, 1)
    )
    filling = Outcome(below_on=date(2024, 5, 1))
    assert outcome(soundings=(LOW,)) == filling
    assert outcome(soundings=(LOW,), cleanouts=(cleanout("2024-06-30", outcome="attempted"),)) == filling
    assert outcome() == Outcome()


def test_a_later_reading_may_show_that_it_had_come_before_the_forecast_was_made() -> None:
    """5 mm after the cleanout of 1 January, 50 on 1 March (60 days on): 30 of 45 mm, 40 days: 10 February."""
    done = cleanout("2024-01-01", depth_before_mm=50, depth_after_mm=5)
    read = sounding("2024-03-01", 50)
    evidence = tank(cleanouts=(done,), soundings=(read,))
    came = Outcome(kind="came", on=date(2024, 2, 10))
    assert [outcome_of(evidence, made_on=day, until=UNTIL) for day in (MADE_ON, date(2024, 2, 20))] == [came, came]


def test_what_was_left_after_the_last_cleanout_is_where_the_line_begins() -> None:
    """6 mm left on 11 January, 42 read on 12 March (61 days on): 29 of 36 mm, 49 days."""
    done = cleanout("2024-01-11", depth_before_mm=50, depth_after_mm=6)
    found = outcome(soundings=(sounding("2024-03-12", 42),), cleanouts=(done,))
    assert found == Outcome(kind="came", on=date(2024, 2, 29))


def test_as_of_an_earlier_day_what_came_later_is_not_known() -> None:
    assert outcome_of(pond_p1(), made_on=date(2025, 3, 1), until=date(2025, 8, 29)).kind == "open"
    assert outcome_of(pond_p1(), made_on=date(2025, 3, 1), until=date(2025, 8, 30)).kind == "came"
