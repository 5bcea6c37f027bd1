"""An animal's courses: those running, those to come, those over; each with its doses in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from enclosures.boards.dose_words import amount_words, outcome_words, planned_words, rhythm_words, span_words
from enclosures.boards.entry_words import when_said
from enclosures.evidence.treatments import course_plan, settled_of
from enclosures.models import Animal, Death, Dose, DoseOutcome, Stay, Treatment
from enclosures.verdicts.doses import last_planned_on, planned_doses
from enclosures.verdicts.words import capital, count_words, day_words, kept_together


@dataclass(frozen=True, kw_only=True, slots=True)
class DoseLine:
    when: str
    iso: str
    words: str
    note: str
    by: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CourseLine:
    """`state` running, ahead, over or stopped; `state_words` says it; `noted` counts doses given and not."""

    code: str
    what: str
    how: str
    when: str
    why: str
    heed: str
    order: str
    state: str
    state_words: str
    noted: str
    doses: tuple[DoseLine, ...]

    @property
    def may_be_stopped(self) -> bool:
        return self.state in ("running", "ahead")


def courses_of(animal: Animal, *, today: date) -> list[CourseLine]:
    """Newest first. Three queries."""
    treatments = list(Treatment.objects.filter(animal=animal).order_by("-from_on", "-pk"))
    noted: dict[int, list[Dose]] = defaultdict(list)
    for dose in Dose.objects.filter(treatment__in=treatments).newest_first() if treatments else []:
        noted[dose.treatment_id].append(dose)
    died = Death.objects.filter(animal=animal).values_list("occurred_on", flat=True).first() if treatments else None
    return [_course(each, noted[each.pk], died=died, today=today) for each in treatments]


def courses_on(day: date) -> Iterator[tuple[str, str]]:
    """Animal and course of all that run on the day, of animals that are here: for the pages a tablet keeps."""
    here = Stay.objects.open_now().values("animal")
    running = Treatment.objects.filter(animal__in=here, from_on__lte=day, stopped_on__isnull=True)
    running = running.filter(Q(to_on__isnull=True) | Q(to_on__gte=day)).select_related("animal").order_by("code")
    for each in running:
        last = last_planned_on(course_plan(each))
        if last is None or last >= day:
            yield each.animal.code, each.code


def _course(treatment: Treatment, doses: list[Dose], *, died: date | None, today: date) -> CourseLine:
    state, words = _state(treatment, doses, died=died, today=today)
    amount = amount_words(treatment.amount, treatment.unit)
    entered = f"; entered by {treatment.entered_by}" if treatment.entered_by else ""
    return CourseLine(
        code=treatment.code,
        what=capital(treatment.what),
        how=", ".join(filter(None, [capital(treatment.dose), amount, treatment.route])),
        when=kept_together(f"{capital(rhythm_words(treatment))}, {span_words(treatment, today=today)}"),
        why=treatment.why,
        heed=treatment.handling,
        order=f"{treatment.prescribed_by}{entered}",
        state=state,
        state_words=kept_together(words),
        noted=_noted_words(treatment, doses, died=died, today=today),
        doses=tuple(_dose(dose, today=today) for dose in doses),
    )


def _state(treatment: Treatment, doses: list[Dose], *, died: date | None, today: date) -> tuple[str, str]:
    last = last_planned_on(course_plan(treatment))
    if treatment.stopped_on is not None:
        by = f" by {treatment.stopped_by}" if treatment.stopped_by else ""
        return "stopped", f"stopped {day_words(treatment.stopped_on, today)}{by}: {treatment.stop_reason}"
    if died is not None and (last is None or last >= died):
        return "over", f"ended with its death on {day_words(died, today)}"
    if treatment.from_on > today:
        return "ahead", "to come"
    planned = planned_doses(course_plan(treatment), until=today)
    is_done = bool(planned) and last is not None and last <= today and planned[-1] in settled_of(doses)
    if last is not None and (last < today or is_done):
        return "over", f"ended {day_words(last, today)}"
    return "running", "running"


def _noted_words(treatment: Treatment, doses: list[Dose], *, died: date | None, today: date) -> str:
    """'Six given, one not given, one not noted'. Today's may still come."""
    given = sum(dose.outcome == DoseOutcome.GIVEN for dose in doses)
    refused = len(doses) - given
    settled = settled_of(doses)
    course = course_plan(treatment)
    missing = sum(
        dose not in settled and dose.on < today and (died is None or dose.on < died)
        for dose in (planned_doses(course, until=today) if course.from_on <= today else [])
    )
    parts = [f"{count_words(given)} given"]
    parts += [f"{count_words(refused)} not given"] if refused else []
    parts += [f"{count_words(missing)} not noted"] if missing else []
    return capital(", ".join(parts))


def _dose(dose: Dose, *, today: date) -> DoseLine:
    is_other_day = dose.for_on is not None and dose.for_on != dose.occurred_on
    plan = settled_of([dose])
    late = f", for {planned_words(next(iter(plan)), today=today)}" if is_other_day else ""
    extra = ", outside the plan" if dose.for_on is None else ""
    return DoseLine(
        when=when_said(dose.moment, today),
        iso=dose.moment.text(),
        words=capital(f"{outcome_words(dose)}{late}{extra}"),
        note=dose.note,
        by=dose.entered_by,
    )
