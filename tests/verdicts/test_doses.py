"""Which dose of a course is due, on days and rounds counted by hand. 4 October 2025 is a Saturday."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from enclosures.verdicts.doses import CoursePlan, PlannedDose, due_dose, is_too_soon, last_planned_on, planned_doses

DAY = date(2025, 10, 4)
DAILY = CoursePlan(from_on=date(2025, 10, 1), every_days=1, n_doses=6)


def on(day: int, part: str = "am") -> PlannedDose:
    return PlannedDose(date(2025, 10, day), part)


def clock(hour: int, minute: int = 0, *, day: int = 4) -> datetime:
    return datetime(2025, 10, day, hour, minute)  # noqa: DTZ001


def due(course: CoursePlan, *settled: PlannedDose, day: int = 4, slot: str = "am", at: datetime | None = None):
    return due_dose(
        course,
        settled=settled,
        day=date(2025, 10, day),
        slot=slot,
        clock=at or clock(8 if slot == "am" else 17, day=day),
    )


def test_todays_dose_is_due_once_and_gone_when_it_was_noted() -> None:
    before = [on(1), on(2), on(3)]
    found = due(DAILY, *before)
    assert (found.dose, found.number, found.missed, found.is_overdue) == (on(4), 4, (), False)
    assert due(DAILY, *before, on(4)) is None


def test_a_dose_of_the_morning_is_overdue_in_the_evening() -> None:
    assert due(DAILY, on(1), on(2), on(3), slot="pm").is_overdue


def test_days_nobody_noted_are_told_and_not_given_together() -> None:
    found = due(DAILY, on(1))
    assert found.dose == on(4)
    assert found.missed == (on(2), on(3))


def test_what_lies_before_a_noted_dose_is_not_asked_for_any_more() -> None:
    assert due(DAILY, on(1), on(4)) is None
    assert due(DAILY, on(3)).missed == ()


def test_the_evening_dose_is_not_due_in_the_morning() -> None:
    twice = CoursePlan(from_on=DAY, every_days=1, slots=("am", "pm"))
    assert due(twice, on(4)) is None
    assert due(twice, on(4), slot="pm").dose == on(4, "pm")


def test_a_course_ends_by_itself_with_its_number_of_doses_or_its_last_day() -> None:
    assert [dose.on.day for dose in planned_doses(DAILY, until=date(2025, 12, 1))] == [1, 2, 3, 4, 5, 6]
    assert last_planned_on(DAILY) == date(2025, 10, 6)
    assert due(DAILY, *(on(n) for n in range(1, 7)), day=7) is None
    by_day = CoursePlan(from_on=date(2025, 10, 1), every_days=2, to_on=date(2025, 10, 6))
    assert [dose.on.day for dose in planned_doses(by_day, until=date(2025, 12, 1))] == [1, 3, 5]
    assert last_planned_on(CoursePlan(from_on=DAY, every_days=1)) is None


def test_the_last_dose_stays_overdue_for_a_week_when_nobody_noted_it() -> None:
    noted = [on(n) for n in range(1, 6)]
    assert due(DAILY, *noted, day=13).dose == on(6)
    assert due(DAILY, *noted, day=14) is None


def test_nothing_is_due_of_a_course_that_was_stopped() -> None:
    stopped = CoursePlan(from_on=date(2025, 10, 1), every_days=1, stopped_on=DAY)
    assert due(stopped) is None
    assert [dose.on.day for dose in planned_doses(stopped, until=DAY)] == [1, 2, 3]


def test_weekdays_and_every_third_day() -> None:
    tue_sat = CoursePlan(from_on=date(2025, 9, 25), weekdays=frozenset({1, 5}), slots=("pm",))
    assert due(tue_sat, slot="pm", at=clock(17)).dose == on(4, "pm")
    assert [dose.on.isoformat() for dose in planned_doses(tue_sat, until=DAY)] == [
        "2025-09-27", "2025-09-30", "2025-10-04",
    ]  # fmt: skip
    third = CoursePlan(from_on=date(2025, 12, 30), every_days=3)
    assert [dose.on.isoformat() for dose in planned_doses(third, until=date(2026, 1, 6))] == [
        "2025-12-30", "2026-01-02", "2026-01-05",
    ]  # fmt: skip


def test_by_hours_the_clock_decides_and_an_hour_early_is_not_too_early() -> None:
    eight = CoursePlan(from_on=DAY, every_hours=8, first_time="06:00")
    assert [dose.part for dose in planned_doses(eight, until=DAY)] == ["06:00", "14:00", "22:00"]
    assert due(eight, on(4, "06:00"), at=clock(12, 59)) is None
    found = due(eight, on(4, "06:00"), slot="pm", at=clock(13, 0))
    assert (found.dose, found.is_overdue) == (on(4, "14:00"), False)
    assert due(eight, on(4, "06:00"), slot="pm", at=clock(15, 1)).is_overdue


def test_every_48_hours_is_on_the_round_of_its_time() -> None:
    course = CoursePlan(from_on=date(2025, 10, 2), every_hours=48, first_time="16:30")
    assert due(course, on(2, "16:30"), slot="am") is None
    assert due(course, on(2, "16:30"), slot="pm").dose == on(4, "16:30")


def test_the_evening_round_looked_at_in_the_morning_is_its_own_and_the_morning_one_in_the_evening_is_late() -> None:
    twice = CoursePlan(from_on=DAY, every_days=1, slots=("am", "pm"))
    found = due(twice, slot="pm", at=clock(8))
    assert (found.dose, found.missed, found.is_overdue) == (on(4, "pm"), (), False)
    assert due(DAILY, slot="pm", at=clock(8)) is None
    assert due(DAILY, on(3), slot="am", at=clock(17)).is_overdue


def test_another_days_round_shows_that_days_doses_alone() -> None:
    assert due(DAILY, day=3, at=clock(8)).dose == on(3)
    assert due(DAILY, day=3, at=clock(8)).missed == ()
    assert due(DAILY, day=5, at=clock(8)).dose == on(5)


def test_less_than_half_the_interval_after_the_last_is_soon() -> None:
    at = clock(20)
    assert is_too_soon(DAILY, last_given=at - timedelta(hours=11, minutes=59), at=at)
    assert not is_too_soon(DAILY, last_given=at - timedelta(hours=12), at=at)
    mon_thu = CoursePlan(from_on=DAY, weekdays=frozenset({0, 3}))
    assert mon_thu.interval_h == 72
