"""Courses for tests, made through the action."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from enclosures.actions.treatments import log_dose, prescribe
from enclosures.models import Animal, Dose, Treatment
from tests.actions.station import at, entered_on
from tests.conftest import TODAY


def prescribed(animal: Animal | str, *, from_on: date = TODAY, **course: Any) -> Treatment:
    """Paste every morning unless said otherwise."""
    if isinstance(animal, str):
        animal = Animal.objects.get(code=animal)
    rhythm = {"every_days": 1, "slots": "am"} if not {"every_hours", "weekdays", "every_days"} & set(course) else {}
    values = {
        "what": "Antiseptic paste", "dose": "a thin layer", "amount": 0.5, "unit": "mL", "route": "on the plastron",
        "why": "shell lesions", "prescribed_by": "Dr Vale", **rhythm, **course,
    }  # fmt: skip
    return prescribe(animal=animal, stamp=entered_on(from_on, by="VET"), from_on=from_on, **values)


def dosed(treatment: Treatment, day: date, *, part: str = "am", hour: int = 7, by: str = "K2", **more: Any) -> Dose:
    facility = treatment.animal.stays.get().enclosure.facility
    return log_dose(
        treatment=treatment, moment=at(day, hour, 44, facility), stamp=entered_on(day, by=by, hour=hour), for_on=day,
        for_part=part, amount=treatment.amount, unit=treatment.unit, **more,
    ).record  # fmt: skip


def day(n: int) -> date:
    """So many days from TODAY."""
    return TODAY + timedelta(days=n)
