from __future__ import annotations

import uuid
from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.treatments import doses_given, given_just_before
from enclosures.actions.treatments import log_dose as log_the_dose
from enclosures.boards.dose_words import at_words
from enclosures.boards.log_dose import DoseBoard, build_log_dose
from enclosures.forms.treatments import DoseForm
from enclosures.models import Dose, Enclosure, Treatment
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.verdicts.cautions import Caution, cautions_for
from enclosures.verdicts.words import count_words, day_words
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_treatment
from enclosures.views.staff.log_page import AskedMore, LogPage, entry_of, log


class DosePage(LogPage):
    model = Dose
    folder = "staff/log_dose"
    title = "Dose"
    save_words = "Save the dose"

    def __init__(self, request: FacilityRequest, treatment: Treatment, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self.treatment = treatment

    @cached_property
    def board(self) -> DoseBoard:
        return build_log_dose(
            treatment=self.treatment, now=self.request.now, zone=self.request.facility.zone, but=self.record
        )

    @property
    def enclosure(self) -> Enclosure:
        return self.board.enclosure

    @property
    def place_code(self) -> str:
        return self.treatment.animal.code

    def cautions(self) -> tuple[Caution, ...]:
        return cautions_for("treatment")

    def context(self) -> dict[str, Any]:
        return {"board": self.board, "treatment": self.treatment}

    def form(self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False) -> DoseForm:
        fresh = {"planned": self.board.planned, "outcome": "given"}
        return DoseForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            treatment=self.treatment,
            choices=self.board.choices,
            initial=fresh if initial is None else initial,
        )

    def save(self, form: DoseForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        is_another = ask_before_saving(self.request, form, self.treatment)
        if form.errors:
            raise AskedMore
        return log_the_dose(
            treatment=self.treatment, moment=form.cleaned_data["when"], stamp=stamp, entry=entry,
            is_another=is_another, **self.values(form),
        )  # fmt: skip

    def values(self, form: DoseForm) -> dict[str, Any]:
        return dose_values(form)

    def initial_of(self, record: Any) -> dict[str, Any]:
        return DoseForm.initial_of(record)


def dose_values(form: DoseForm) -> dict[str, Any]:
    planned = form.cleaned_data["planned"]
    amount = form.amount_given if form.is_given else None
    return {
        "for_on": planned.on if planned is not None else None,
        "for_part": planned.part if planned is not None else "",
        "outcome": form.outcome_value,
        "why_not": "" if form.is_given else form.cleaned_data["why_not"],
        "amount": amount,
        "unit": form.treatment.unit if amount is not None else "",
    }


def ask_before_saving(request: FacilityRequest, form: DoseForm, treatment: Treatment) -> bool:
    """Asks once where the dose was given already, where the last one was just now, or where the course is stopped.

    What lay on a device has nobody to ask: it is kept, and flagged where it may be there twice. Returns whether a second dose
    was confirmed.
    """
    if not form.is_given or request.POST.get("queued"):
        return False
    entry, when, planned = entry_of(request), form.cleaned_data["when"], form.cleaned_data["planned"]
    if entry is not None and Dose.all_rows.filter(entry=entry).exists():
        return False  # a retry
    values = dose_values(form)
    given = doses_given(treatment, for_on=values["for_on"], for_part=values["for_part"])
    if given:
        first = given[-1]
        at = f" at {at_words(first)}" if at_words(first) else f" on {day_words(first.occurred_on, request.today)}"
        text = f"Given{at} by {first.entered_by or 'somebody'}. A second dose?"
        form.ask("again", text, keep="Yes, a second dose was given", about=str(first.entry), flag="")
        return True
    last = given_just_before(treatment, moment=when)
    if last is not None and planned is not None:
        hours = max(1, round((when.at - last.occurred_at).total_seconds() / 3600))
        text = (
            f"The last one was given {count_words(hours)} hour{'s' if hours > 1 else ''} before, at {at_words(last)}."
        )
        form.ask("again", f"{text} Was this one given too?", keep="Yes, it was given", about=str(last.entry))
    if treatment.stopped_on is not None and when.on >= treatment.stopped_on and not form.errors:
        text = f"{treatment.stopped_by or 'Somebody'} stopped this course on {day_words(treatment.stopped_on, request.today)}."
        form.ask("stopped", f"{text} Was it given all the same?", keep="Yes, it was given", about=treatment.code)
    return False


@require_http_methods(["GET", "POST"])
@for_role(HEALTH_LOGGERS)
def log_dose(request: FacilityRequest, code: str, treatment: str) -> HttpResponse:
    return log(DosePage(request, load_treatment(code, treatment)))
