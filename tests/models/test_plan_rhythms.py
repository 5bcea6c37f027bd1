"""On which days a planned meal falls: by weekdays, every second week across the new year, every so many days."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from dateutil import rrule

from enclosures.models import FeedingPlan

DAYS = [date(2025, 9, 1) + timedelta(days=n) for n in range(500)]


def falls(**rules: object) -> list[date]:
    plan = FeedingPlan(**rules)
    return [day for day in DAYS if plan.is_for(day)]


def test_every_second_monday_and_thursday_goes_on_over_the_new_year() -> None:
    """2025 has 52 ISO weeks and 2026 has 53: counting week numbers would slip, counting weeks does not."""
    found = falls(weekdays="mon thu", every_weeks=2, from_on=date(2025, 12, 11))  # a Thursday
    assert found[:7] == [date(2025, 12, 11), date(2025, 12, 22), date(2025, 12, 25), date(2026, 1, 5),
                         date(2026, 1, 8), date(2026, 1, 19), date(2026, 1, 22)]  # fmt: skip
    assert date(2027, 1, 4) in found
    assert date(2026, 12, 28) not in found


@pytest.mark.parametrize("weeks", [1, 2, 3, 4])
@pytest.mark.parametrize("first", [date(2025, 9, 1), date(2025, 9, 4), date(2025, 9, 7)])
def test_weeks_are_counted_as_a_calendar_counts_them(weeks: int, first: date) -> None:
    """RFC 5545 recurrence, FREQ=WEEKLY;INTERVAL=n;WKST=MO, by the library dateutil."""
    rule = rrule.rrule(
        rrule.WEEKLY, interval=weeks, byweekday=(rrule.MO, rrule.SU), wkst=rrule.MO,
        dtstart=datetime(first.year, first.month, first.day), until=datetime(2026, 12, 31),  # noqa: DTZ001
    )  # fmt: skip
    expected = [at.date() for at in rule]
    assert [day for day in falls(weekdays="mon sun", every_weeks=weeks, from_on=first) if day.year < 2027] == expected


def test_every_third_day_goes_by_days_alone() -> None:
    found = falls(every_days=3, from_on=date(2025, 12, 30))
    assert found[:3] == [date(2025, 12, 30), date(2026, 1, 2), date(2026, 1, 5)]


def test_the_next_day_of_a_plan_is_found_and_none_after_its_end() -> None:
    plan = FeedingPlan(weekdays="mon", every_weeks=4, from_on=date(2025, 10, 6), to_on=date(2025, 11, 10))
    assert plan.next_on(date(2025, 9, 1)) == date(2025, 10, 6)
    assert plan.next_on(date(2025, 10, 7)) == date(2025, 11, 3)
    assert plan.next_on(date(2025, 11, 4)) is None
