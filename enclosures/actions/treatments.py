"""A course prescribed and stopped; a dose given, or not given for a reason. Nothing here knows a medicine."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.plain import save_described
from enclosures.evidence.treatments import course_plan
from enclosures.models import Animal, Dose, DoseOutcome, Enclosure, Moment, Stay, Treatment
from enclosures.verdicts.doses import is_too_soon, last_planned_on

POSSIBLE_REPEAT = "DBL"


def prescribe(*, animal: Animal, stamp: Stamp, **course: Any) -> Treatment:
    """A course for one animal; `course` are the fields of models.Treatment.

    Raises Refused: the same thing, given the same way, is running for this animal already; and what the model refuses.
    """
    course = {name: value.strip() if isinstance(value, str) else value for name, value in course.items()}
    with transaction.atomic():
        running = _same_running(animal, course)
        if running is not None:
            sentence = f"{animal} has this already as {running.code}, from {running.from_on}. Stop that course first."
            raise Refused({"what": sentence})
        treatment = Treatment(animal=animal, code=_next_code(animal))
        save_described(treatment, changes={**course, "entered_at": stamp.entered_at, "entered_by": stamp.entered_by})
    return treatment


def stop_treatment(treatment: Treatment, *, on: date, reason: str, stamp: Stamp) -> None:
    """End it before its time: from `on` on nothing is planned. What was given stays. Raises Refused (no reason, stopped already)."""
    if treatment.stopped_on is not None:
        raise Refused(
            {"__all__": f"{treatment.stopped_by or 'Somebody'} stopped it already on {treatment.stopped_on}."}
        )
    if not reason.strip():
        raise Refused({"stop_reason": "Say why it is stopped."})
    changes = {"stopped_on": on, "stopped_by": stamp.entered_by, "stop_reason": reason.strip()}
    save_described(treatment, changes=changes)


def log_dose(
    *,
    treatment: Treatment,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    for_on: date | None = None,
    for_part: str = "",
    outcome: str = DoseOutcome.GIVEN,
    why_not: str = "",
    amount: float | None = None,
    unit: str = "",
    is_another: bool = False,
) -> Logged:
    """Record one dose at the place where the animal was then.

    `is_another`: the keeper was shown the one already given and says this is one more. Without it, a second one for the same
    planned dose is kept and flagged (DBL). Raises Refused (no reason, no place, future) and EntryConflict.
    """
    if outcome == DoseOutcome.NOT_GIVEN and not why_not.strip():
        raise Refused({"why_not": "Say why it was not given."})
    is_given = outcome == DoseOutcome.GIVEN
    with transaction.atomic():
        flags = stamp.flags
        if is_given and not is_another and doses_given(treatment, for_on=for_on, for_part=for_part, but=entry):
            flags = (*flags, POSSIBLE_REPEAT)
        return record_entry(
            Dose,
            entry=entry,
            moment=moment,
            values={
                "treatment": treatment,
                "enclosure": _place_of(treatment.animal, moment=moment, entry=entry),
                "for_on": for_on,
                "for_part": for_part,
                "outcome": outcome,
                "why_not": "" if is_given else why_not.strip(),
                "amount": amount if is_given else None,
                "unit": unit if is_given and amount is not None else "",
            },
            stamp=replace(stamp, flags=flags),
        )


def doses_given(
    treatment: Treatment, *, for_on: date | None, for_part: str, but: uuid.UUID | str | None = None
) -> list[Dose]:
    """What was given for one planned dose, first first; of one outside the plan nothing is the same. `but`: without this entry."""
    if for_on is None:
        return []
    doses = Dose.objects.filter(treatment=treatment, for_on=for_on, for_part=for_part, outcome=DoseOutcome.GIVEN)
    return list((doses if but is None else doses.exclude(entry=but)).oldest_first())


def given_just_before(treatment: Treatment, *, moment: Moment) -> Dose | None:
    """The last one given, when that was less than half the interval ago: a late dose moves none of those after it."""
    doses = Dose.objects.filter(treatment=treatment, outcome=DoseOutcome.GIVEN, precision="minute")
    last = doses.filter(occurred_at__lte=moment.at).newest_first().first()
    if last is None or moment.precision != "minute":
        return None
    is_soon = is_too_soon(course_plan(treatment), last_given=last.occurred_at, at=moment.at)
    return last if is_soon else None


def _place_of(animal: Animal, *, moment: Moment, entry: uuid.UUID | str | None) -> Enclosure:
    """Where it was at the moment, else where it is now or was last. A retry says what was said first."""
    known = Dose.all_rows.filter(entry=entry).select_related("enclosure").first() if entry is not None else None
    if known is not None:
        return known.enclosure
    stays = Stay.objects.filter(animal=animal).select_related("enclosure")
    then = stays.filter(from_at__lte=moment.at).filter(Q(to_at__isnull=True) | Q(to_at__gt=moment.at))
    stay = then.order_by("-from_at").first() or stays.order_by("-from_at").first()
    if stay is None:
        raise Refused({"__all__": f"{animal} never had a place here."})
    return stay.enclosure


def _same_running(animal: Animal, course: dict[str, Any]) -> Treatment | None:
    others = Treatment.objects.filter(animal=animal, stopped_on__isnull=True)
    others = others.filter(what__iexact=course.get("what", ""), route__iexact=course.get("route", ""))
    first = course.get("from_on")
    if first is not None:
        others = others.filter(Q(to_on__isnull=True) | Q(to_on__gte=first))
    return next((each for each in others if first is None or _goes_on(each, first)), None)


def _goes_on(treatment: Treatment, day: date) -> bool:
    last = last_planned_on(course_plan(treatment))
    return last is None or last >= day


def _next_code(animal: Animal) -> str:
    """'BL-117-t1': the first free number."""
    start = f"{animal.code}-t"
    taken = set(Treatment.objects.filter(code__startswith=start).values_list("code", flat=True))
    return next(code for n in range(1, len(taken) + 2) if (code := f"{start}{n}") not in taken)
