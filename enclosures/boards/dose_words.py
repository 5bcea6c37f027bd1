"""Courses and doses in words: how often, how far, when, and what came of it."""

from __future__ import annotations

from datetime import date, timedelta

from enclosures.boards.entry_words import WEEKDAYS
from enclosures.estimates.units import as_recorded, with_unit
from enclosures.evidence.treatments import course_plan
from enclosures.models import Dose, DoseOutcome, Treatment
from enclosures.verdicts.doses import PlannedDose, last_planned_on
from enclosures.verdicts.words import day_words, kept_together, listed, ordinal_words

PARTS = {"am": "morning", "pm": "evening"}


def rhythm_words(treatment: Treatment) -> str:
    """'every 12 hours from 08:00', 'every second day, morning and evening', 'Mon and Thu, evening'."""
    course = course_plan(treatment)
    if course.every_hours is not None:
        hours = "every hour" if course.every_hours == 1 else f"every {course.every_hours} hours"
        return f"{hours} from {course.first_time}"
    if course.every_days is not None:
        days = "every day" if course.every_days == 1 else f"every {ordinal_words(course.every_days)} day"
    else:
        days = listed(WEEKDAYS[n] for n in sorted(course.weekdays))
    return f"{days}, {listed(PARTS[slot] for slot in course.slots)}"


def amount_words(amount: float | None, unit: str) -> str:
    return (
        "" if amount is None else kept_together(with_unit(as_recorded(amount), unit)) if unit else as_recorded(amount)
    )


def span_words(treatment: Treatment, *, today: date) -> str:
    """'from 1 Oct, 10 doses, the last on 10 Oct'; 'from 1 Oct until it is stopped'."""
    first = f"from {day_words(treatment.from_on, today)}"
    last = last_planned_on(course_plan(treatment))
    if last is None:
        return kept_together(f"{first} until it is stopped")
    if treatment.n_doses == 1:
        return kept_together(f"once, {day_words(last, today)}")
    doses = f", {treatment.n_doses} doses" if treatment.n_doses else ""
    return kept_together(f"{first}{doses}, the last on {day_words(last, today)}")


def planned_words(dose: PlannedDose, *, today: date) -> str:
    """'this morning', 'yesterday evening', 'Mon 6 Oct, morning', 'today at 08:00'."""
    is_slot = dose.part in PARTS
    if dose.on == today:
        return f"this {PARTS[dose.part]}" if is_slot else f"today at {dose.part}"
    if dose.on == today - timedelta(days=1):
        return f"yesterday {PARTS[dose.part]}" if is_slot else f"yesterday at {dose.part}"
    day = f"{WEEKDAYS[dose.on.weekday()]} {day_words(dose.on, today)}"
    return kept_together(f"{day}, {PARTS[dose.part]}" if is_slot else f"{day} at {dose.part}")


def outcome_words(dose: Dose) -> str:
    """'given, 0.5 mL', 'not given: refused it'."""
    if dose.outcome == DoseOutcome.NOT_GIVEN:
        return f"not given: {dose.why_not}"
    amount = amount_words(dose.amount, dose.unit)
    return f"given, {amount}" if amount else "given"


def at_words(dose: Dose) -> str:
    """'08:10' by the clock it was written with; empty where only the day is known."""
    if dose.precision != "minute":
        return ""
    return f"{dose.occurred_at + timedelta(minutes=dose.utc_offset_min):%H:%M}"
