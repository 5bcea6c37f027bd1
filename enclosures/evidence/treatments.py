"""A prescribed course and the doses noted of it, as verdicts/doses.py counts them."""

from __future__ import annotations

from collections.abc import Iterable

from enclosures.models import WEEKDAY_CODES, Dose, Treatment
from enclosures.verdicts.doses import CoursePlan, PlannedDose


def course_plan(treatment: Treatment) -> CoursePlan:
    return CoursePlan(
        from_on=treatment.from_on,
        to_on=treatment.to_on,
        n_doses=treatment.n_doses,
        stopped_on=treatment.stopped_on,
        every_hours=treatment.every_hours,
        first_time=treatment.first_time,
        every_days=treatment.every_days,
        weekdays=frozenset(WEEKDAY_CODES.index(name) for name in treatment.weekdays.split() if name in WEEKDAY_CODES),
        slots=tuple(treatment.slots.split()),
    )


def settled_of(doses: Iterable[Dose]) -> frozenset[PlannedDose]:
    """The planned doses that were given, or not given for a reason."""
    return frozenset(PlannedDose(dose.for_on, dose.for_part) for dose in doses if dose.for_on is not None)
