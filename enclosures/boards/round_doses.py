"""Doses at the stops of a round: what is due to whom, and what was given there today. A constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q

from enclosures.boards.dose_words import amount_words, at_words, outcome_words, planned_words, rhythm_words
from enclosures.boards.round_done import Reader
from enclosures.boards.round_facts import PlaceFacts, slot_of
from enclosures.evidence.treatments import course_plan, settled_of
from enclosures.models import Dose, Treatment
from enclosures.verdicts.doses import DueDose, PlannedDose, due_dose
from enclosures.verdicts.words import capital, count_words, kept_together, listed

MISSED_BY_NAME = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class RoundDose:
    """One course at a stop: the dose to give now, or, where `done` says so, what was noted of it today."""

    treatment: str
    animal: str
    what: str
    how: str  # 'Thin layer, 0.5 mL, on the plastron'
    when: str  # 'Dose 6 of 10, every day, morning'
    late: str  # 'Overdue since yesterday morning.', 'Not noted: Thu 2 Oct, morning.'
    order: str  # 'Dr Vale ordered it: shell lesions'
    heed: str
    unit: str
    planned: str  # as the form sends it back: day.part
    is_overdue: bool
    done: str = ""
    by: str = ""
    undo: str = ""

    @property
    def is_due(self) -> bool:
        return not self.done

    @property
    def key(self) -> str:
        return f"dose-{self.treatment}"


def load_doses(
    facts: Iterable[PlaceFacts], *, day: date, slot: str, zone: ZoneInfo, reader: Reader
) -> dict[int, tuple[RoundDose, ...]]:
    """By enclosure id, of the animals that are there now."""
    lives_in = {animal.pk: each.place.pk for each in facts for animal in each.animals}
    courses = Treatment.objects.filter(animal__in=lives_in, from_on__lte=day).filter(
        Q(stopped_on__isnull=True) | Q(stopped_on__gte=day)
    )
    treatments = list(courses.select_related("animal").order_by("animal__code", "code"))
    noted: dict[int, list[Dose]] = defaultdict(list)
    if treatments:
        for dose in Dose.objects.filter(treatment__in=treatments).oldest_first():
            noted[dose.treatment_id].append(dose)
    found: dict[int, list[RoundDose]] = defaultdict(list)
    clock = local_clock(reader.now, zone)
    for treatment in treatments:
        doses = noted[treatment.pk]
        due = due_dose(course_plan(treatment), settled=settled_of(doses), day=day, slot=slot, clock=clock)
        last = _last_here(doses, day=day, slot=slot, zone=zone)
        if due is not None:
            found[lives_in[treatment.animal_id]].append(_due(treatment, due, day=day))
        elif last is not None:
            found[lives_in[treatment.animal_id]].append(_done(treatment, last, day=day, reader=reader))
    return {pk: tuple(rows) for pk, rows in found.items()}


def _last_here(doses: list[Dose], *, day: date, slot: str, zone: ZoneInfo) -> Dose | None:
    """The last one noted for this round, or given on it."""

    def is_here(dose: Dose) -> bool:
        if dose.for_on is not None and (dose.for_on, PlannedDose(dose.for_on, dose.for_part).slot) == (day, slot):
            return True
        return dose.occurred_on == day and dose.precision == "minute" and slot_of(dose.occurred_at, zone) == slot

    here = [dose for dose in doses if is_here(dose)]
    return here[-1] if here else None


def _due(treatment: Treatment, due: DueDose, *, day: date) -> RoundDose:
    late = []
    if due.is_overdue:
        late.append(f"Overdue since {planned_words(due.dose, today=day)}")
    if due.missed:
        late.append(_missed_words(due.missed, day=day))
    of = f" of {treatment.n_doses}" if treatment.n_doses else ""
    return RoundDose(
        **_about(treatment),
        when=kept_together(f"Dose {due.number}{of}, {rhythm_words(treatment)}"),
        late=kept_together(". ".join(late)),
        planned=f"{due.dose.on.isoformat()}.{due.dose.part}",
        is_overdue=due.is_overdue,
    )


def dose_asked_about(treatment: Treatment, *, planned: str) -> RoundDose:
    """The line of a dose that is not due any more, while something about it has to be asked."""
    return RoundDose(**_about(treatment), when="", late="", planned=planned, is_overdue=False)


def _missed_words(missed: tuple[PlannedDose, ...], *, day: date) -> str:
    if len(missed) > MISSED_BY_NAME:
        n = count_words(len(missed))
        return f"{capital(n)} before it not noted, the first {planned_words(missed[0], today=day)}"
    return f"Not noted: {listed(planned_words(each, today=day) for each in missed)}"


def _done(treatment: Treatment, dose: Dose, *, day: date, reader: Reader) -> RoundDose:
    may_undo = bool(dose.entered_by) and dose.entered_by == reader.initials
    may_undo = may_undo and reader.now - dose.entered_at <= reader.undo_within
    at = at_words(dose)
    return RoundDose(
        **_about(treatment),
        when="",
        late="",
        planned=f"{dose.for_on.isoformat()}.{dose.for_part}" if dose.for_on is not None else "",
        is_overdue=False,
        done=kept_together(f"{outcome_words(dose)}{f', {at}' if at else ''}"),
        by=dose.entered_by,
        undo=str(dose.entry) if may_undo else "",
    )


def _about(treatment: Treatment) -> dict[str, str]:
    amount = amount_words(treatment.amount, treatment.unit)
    return {
        "treatment": treatment.code,
        "animal": treatment.animal.code,
        "what": capital(treatment.what),
        "how": ", ".join(filter(None, [capital(treatment.dose), amount, treatment.route])),
        "order": f"{treatment.prescribed_by} ordered it: {treatment.why}",
        "heed": treatment.handling,
        "unit": treatment.unit,
    }


def local_clock(now: datetime, zone: ZoneInfo) -> datetime:
    """Local wall-clock time without offset, as courses are counted."""
    return now.astimezone(zone).replace(tzinfo=None)
