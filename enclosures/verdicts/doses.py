"""Which doses a prescribed course plans, and which of them is due: counting days and hours, nothing about medicine.

A planned dose is known by its day and its part of it: "am", "pm", or a clock time for a course by hours. The page that
uses this keeps what a veterinarian ordered; it proposes no medicine, no amount and no interval.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import takewhile

MORNING_ENDS = "13:00"  # as for meals: a clock time before it belongs to the morning round
SHORT_H = 12  # under so many hours between doses the clock decides, not the round
EARLY = timedelta(hours=1)  # so long before its time such a dose may be given
SHOWN_AFTER_END_DAYS = 7  # a last dose nobody noted stays on the round so long
TOO_SOON = 0.5  # of the interval since the last dose


@dataclass(frozen=True, order=True, slots=True)
class PlannedDose:
    """`part` is "am", "pm" or "HH:MM" by the facility's clock; within one course they sort by time."""

    on: date
    part: str

    @property
    def slot(self) -> str:
        return self.part if self.part in ("am", "pm") else "am" if self.part < MORNING_ENDS else "pm"


@dataclass(frozen=True, kw_only=True, slots=True)
class CoursePlan:
    """Exactly one rhythm: `every_hours` from `first_time` of `from_on` on, `every_days` from `from_on` on, or `weekdays` (Monday 0).

    `slots` are the rounds of a day for the latter two. It ends after `to_on` or after `n_doses`, whichever comes first; with
    neither it goes on until it is stopped. From `stopped_on` on nothing is planned.
    """

    from_on: date
    to_on: date | None = None
    n_doses: int | None = None
    stopped_on: date | None = None
    every_hours: int | None = None
    first_time: str = ""
    every_days: int | None = None
    weekdays: frozenset[int] = frozenset()
    slots: tuple[str, ...] = ("am",)

    @property
    def interval_h(self) -> float:
        """The shortest time between two doses as planned, in hours."""
        if self.every_hours is not None:
            return float(self.every_hours)
        if len(self.slots) > 1:
            return 12.0
        if self.every_days is not None:
            return 24.0 * self.every_days
        days = sorted(self.weekdays)
        gaps = [(after - before) for before, after in zip(days, [*days[1:], days[0] + 7], strict=True)] if days else [1]
        return 24.0 * min(gaps)


@dataclass(frozen=True, kw_only=True, slots=True)
class DueDose:
    """The one to give now. `missed` are older ones nobody noted, since the last that was; they are not made up for here."""

    dose: PlannedDose
    number: int  # 1 for the first of the course
    missed: tuple[PlannedDose, ...]
    is_overdue: bool


def planned_doses(course: CoursePlan, *, until: date) -> list[PlannedDose]:
    """All of the course up to the end of `until`, in order."""
    last = min(day for day in (until, course.to_on, _day_before(course.stopped_on)) if day is not None)
    doses = list(takewhile(lambda dose: dose.on <= last, _from_the_first(course)))
    return doses if course.n_doses is None else doses[: course.n_doses]


def last_planned_on(course: CoursePlan) -> date | None:
    """The day of the last dose of the course as prescribed; None while it goes on until it is stopped."""
    if course.n_doses is not None:
        spans = zip(range(course.n_doses), _from_the_first(course), strict=False)
        *_, (_, last) = spans
        return last.on if course.to_on is None else min(last.on, course.to_on)
    return course.to_on


def due_dose(
    course: CoursePlan, *, settled: Collection[PlannedDose], day: date, slot: str, clock: datetime
) -> DueDose | None:
    """What is due on the round of `day` and `slot`. `settled` are doses given, or not given for a reason; `clock` is local time, naive.

    A round still to come, and one of an earlier day, is looked at alone: what is late is told on the round that is walked now.
    """
    if course.stopped_on is not None:
        return None
    planned = planned_doses(course, until=day)
    now = (clock.date(), PlannedDose(clock.date(), f"{clock:%H:%M}").slot)
    if clock.date() != day or (day, slot) > now:
        planned = [dose for dose in planned if (dose.on, dose.slot) == (day, slot)]
        opened = planned
    else:
        opened = [dose for dose in planned if _is_open(course, dose, day=day, slot=slot, clock=clock)]
    after = max(settled, default=None)
    unsettled = [dose for dose in opened if dose not in settled and (after is None or dose > after)]
    if not unsettled:
        return None
    *missed, newest = unsettled
    if (day - newest.on).days > SHOWN_AFTER_END_DAYS and newest == planned[-1] and _is_over(course, day):
        return None
    is_late = newest.part not in ("am", "pm") and datetime.combine(newest.on, _time(newest.part)) + EARLY < clock
    return DueDose(
        dose=newest,
        number=planned_doses(course, until=day).index(newest) + 1,
        missed=tuple(missed),
        is_overdue=clock.date() == day and ((newest.on, newest.slot) < now or is_late),
    )


def is_too_soon(course: CoursePlan, *, last_given: datetime, at: datetime) -> bool:
    """Less than half the interval since the last dose: worth a question, since a late dose moves nothing else."""
    return timedelta() <= at - last_given < timedelta(hours=TOO_SOON * course.interval_h)


def _is_open(course: CoursePlan, dose: PlannedDose, *, day: date, slot: str, clock: datetime) -> bool:
    if dose.on < day:
        return True
    if course.every_hours is not None and course.every_hours < SHORT_H:
        return datetime.combine(dose.on, _time(dose.part)) <= clock + EARLY
    return dose.slot <= slot


def _is_over(course: CoursePlan, day: date) -> bool:
    last = last_planned_on(course)
    return last is not None and last < day


def _from_the_first(course: CoursePlan) -> Iterator[PlannedDose]:
    if course.every_hours is not None:
        at = datetime.combine(course.from_on, _time(course.first_time))
        while True:
            yield PlannedDose(at.date(), f"{at:%H:%M}")
            at += timedelta(hours=course.every_hours)
    day = course.from_on
    while True:
        is_day = (
            (day - course.from_on).days % course.every_days == 0
            if course.every_days is not None
            else day.weekday() in course.weekdays
        )
        if is_day:
            yield from (PlannedDose(day, slot) for slot in course.slots)
        day += timedelta(days=1)


def _day_before(day: date | None) -> date | None:
    return None if day is None else day - timedelta(days=1)


def _time(text: str) -> time:
    return time.fromisoformat(text)
