"""What the form of one dose offers: which planned one it may be, and how the course stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from enclosures.boards.dose_words import amount_words, planned_words, rhythm_words, span_words
from enclosures.boards.round_doses import local_clock
from enclosures.boards.round_facts import slot_of
from enclosures.evidence.treatments import course_plan, settled_of
from enclosures.models import Dose, Enclosure, Stay, Treatment
from enclosures.verdicts.doses import PlannedDose, due_dose, planned_doses
from enclosures.verdicts.words import capital

BACK_DAYS = 14
MOST_OFFERED = 8


@dataclass(frozen=True, kw_only=True, slots=True)
class DoseBoard:
    """`planned` is the one to choose first, `choices` the others nobody noted, newest first."""

    enclosure: Enclosure
    how: str
    course: str
    planned: str
    choices: tuple[tuple[str, str], ...]


def build_log_dose(*, treatment: Treatment, now: datetime, zone: ZoneInfo, but: Dose | None = None) -> DoseBoard:
    clock = local_clock(now, zone)
    today, slot = clock.date(), slot_of(now, zone)
    course = course_plan(treatment)
    doses = Dose.objects.filter(treatment=treatment)
    settled = settled_of(doses if but is None else doses.exclude(pk=but.pk))
    due = due_dose(course, settled=settled, day=today, slot=slot, clock=clock)
    planned = planned_doses(course, until=today) if course.from_on <= today else []
    open_ones = [each for each in planned if each not in settled and (today - each.on).days <= BACK_DAYS]
    offered = open_ones[: -MOST_OFFERED - 1 : -1]
    texts = [(f"{each.on.isoformat()}.{each.part}", planned_words(each, today=today)) for each in offered]
    if but is not None and but.for_on is not None:
        texts = _with_own(texts, but, today=today)
    chosen = f"{due.dose.on.isoformat()}.{due.dose.part}" if due is not None else ""
    stays = Stay.objects.filter(animal=treatment.animal).select_related("enclosure__facility").order_by("-from_at")
    stay = stays.first()
    assert stay is not None, "the loader sees to it"
    amount = amount_words(treatment.amount, treatment.unit)
    return DoseBoard(
        enclosure=stay.enclosure,
        how=", ".join(filter(None, [capital(treatment.dose), amount, treatment.route])),
        course=f"{capital(rhythm_words(treatment))}, {span_words(treatment, today=today)}",
        planned=chosen,
        choices=tuple(texts),
    )


def _with_own(texts: list[tuple[str, str]], dose: Dose, *, today: date) -> list[tuple[str, str]]:
    own = PlannedDose(dose.for_on, dose.for_part)
    value = f"{own.on.isoformat()}.{own.part}"
    if value in dict(texts):
        return texts
    return [(value, planned_words(own, today=today)), *texts]
