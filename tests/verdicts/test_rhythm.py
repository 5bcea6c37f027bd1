"""Rhythms are judged from their own past; numbers here are worked by hand (common practice, no source)."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from enclosures.verdicts.rhythm import due_again, usual_gap_days, usual_on

MONDAY = date(2025, 10, 6)


def weekly(n: int, *, last: date = MONDAY - timedelta(days=7)) -> list[date]:
    return [last - timedelta(days=7 * k) for k in range(n)]


def test_twice_is_no_habit() -> None:
    assert usual_gap_days(weekly(2)) is None
    assert not due_again(weekly(2), MONDAY)


@pytest.mark.parametrize(("days_on", "is_due"), [(-1, False), (0, True), (5, True), (21, True), (22, False)])
def test_a_weekly_job_is_due_after_a_week_and_forgotten_after_four(days_on: int, is_due: bool) -> None:
    assert due_again(weekly(5), MONDAY + timedelta(days=days_on)) is is_due


def test_one_long_gap_does_not_change_the_habit() -> None:
    days = [*weekly(5), MONDAY - timedelta(days=120)]
    assert usual_gap_days(days) == 7


def test_the_gap_stays_within_its_bounds() -> None:
    daily = [MONDAY - timedelta(days=n) for n in range(1, 9)]
    assert usual_gap_days(daily, least=5) == 5
    assert usual_gap_days(weekly(5), most=3) == 3


def test_a_meal_of_mondays_is_usual_on_mondays_only() -> None:
    assert usual_on(weekly(4), MONDAY)
    assert not usual_on(weekly(4, last=MONDAY), MONDAY + timedelta(days=1))


def test_what_was_done_today_is_not_due_again() -> None:
    assert not due_again([*weekly(5), MONDAY], MONDAY)
