from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.sludge import log_flow_check
from enclosures.boards.filter_now import share_words
from enclosures.forms.sludge import FlowForm
from enclosures.models import FlowCheck
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter
from enclosures.views.staff.filter_page import FilterPage
from enclosures.views.staff.log_page import log


class FlowPage(FilterPage):
    model = FlowCheck
    folder = "staff/log_flow"
    title = "Check the flow"
    save_words = "Save the check"
    situation = "flow check"

    def form(self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False) -> FlowForm:
        bucket = f"{self.now.bucket_l:g}" if self.now.bucket_l is not None else ""
        return FlowForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            filter=self.filter,
            last_l_per_h=self.now.last_l_per_h,
            rated_l_per_h=self.now.rated_l_per_h,
            initial={"litres": bucket} if initial is None else initial,
        )

    def save(self, form: FlowForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        return log_flow_check(moment=form.cleaned_data["when"], stamp=stamp, entry=entry, **self.values(form))

    def values(self, form: FlowForm) -> dict[str, Any]:
        litres, seconds = form.bucket
        return {
            "filter": self.filter,
            "flow_l_per_h": form.flow,
            "litres": litres,
            "seconds": seconds,
            "head_difference_mm": form.number("head_difference_mm"),
            "level_over_media_mm": form.number("level_over_media_mm"),
            "odour": form.cleaned_data["odour"],
            "return_water": form.cleaned_data["return_water"],
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return FlowForm.initial_of(record)

    def answer(self, record: Any) -> dict[str, Any]:
        return {
            **super().answer(record),
            "of_baseline": share_words(record.flow_l_per_h, self.now.baseline_l_per_h),
            "baseline_l_per_h": self.now.baseline_l_per_h,
        }


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_flow(request: FacilityRequest, code: str) -> HttpResponse:
    return log(FlowPage(request, load_filter(code)))
