from __future__ import annotations

import uuid
from functools import cached_property
from typing import Any

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.sludge import finish_cleanout
from enclosures.actions.sludge import log_cleanout as log_the_cleanout
from enclosures.forms.cleanout import CleanoutForm
from enclosures.models import Cleanout, CleanoutOutcome
from enclosures.roles import LOGGERS, for_role
from enclosures.verdicts.cautions import CAUTIONS, Caution
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter
from enclosures.views.staff.filter_page import FilterPage
from enclosures.views.staff.log_page import initials_of, log
from enclosures.views.staff.log_sounding import fresh_outlook


class CleanoutPage(FilterPage):
    model = Cleanout
    folder = "staff/log_cleanout"
    title = "Cleanout"
    save_words = "Save the first half"
    situation = "cleanout"
    renamed = {**FilterPage.renamed, "depth_before_mm": "before_1", "depth_after_mm": "after_1"}

    @cached_property
    def first_half(self) -> Cleanout | None:
        """The cleanout that this one finishes, named by its entry in the address or in the form."""
        if self.record is not None:
            return None
        named = self.request.POST.get("first_half") or self.request.GET.get("finish")
        if not named:
            return None
        try:
            found = Cleanout.all_rows.filter(filter=self.filter, stage="before", entry=uuid.UUID(named)).first()
        except ValueError:
            found = None
        if found is None:
            raise Http404("There is no such cleanout to finish here.")
        return found

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> CleanoutForm:
        fresh: dict[str, Any] = {"people": initials_of(self.request)}
        if self.first_half is not None:
            half = self.first_half
            fresh = {**CleanoutForm.initial_of(half), "finished": "yes", "note": half.note, "when": half.moment}
        return CleanoutForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            filter=self.filter,
            first_half=self.first_half,
            is_correction=self.record is not None,
            initial=fresh if initial is None else initial,
        )

    def save(self, form: CleanoutForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        moment, values = form.cleaned_data["when"], self.values(form)
        if self.first_half is not None:
            return finish_cleanout(self.first_half, moment=moment, stamp=stamp, entry=entry, **values)
        return log_the_cleanout(moment=moment, stamp=stamp, entry=entry, **values)

    def values(self, form: CleanoutForm) -> dict[str, Any]:
        values = {"filter": self.filter, **form.first_values()}
        if form.is_finishing:
            return {**values, **form.second_values(), "stage": "done"}
        return {**values, "outcome": CleanoutOutcome.ATTEMPTED.value, "stage": "before"}

    def initial_of(self, record: Any) -> dict[str, Any]:
        return CleanoutForm.initial_of(record)

    def context(self) -> dict[str, Any]:
        is_starting = self.first_half is None and self.record is None
        return {**super().context(), "first_half": self.first_half, "is_starting": is_starting}

    def cautions(self) -> tuple[Caution, ...]:
        """Gas always: sludge that is stirred can give it off without having smelt before."""
        told = super().cautions()
        gas = CAUTIONS["gas"]
        return told if gas in told else (*told[:1], gas, *told[1:])

    def answer(self, record: Any) -> dict[str, Any]:
        is_done = record.stage == "done"
        return {
            **super().answer(record),
            "is_done": is_done,
            "outlook": fresh_outlook(self, record) if is_done else None,
        }


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_cleanout(request: FacilityRequest, code: str) -> HttpResponse:
    return log(CleanoutPage(request, load_filter(code)))
