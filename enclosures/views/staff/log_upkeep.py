from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.sludge import log_upkeep as log_the_upkeep
from enclosures.forms.sludge import UpkeepForm
from enclosures.models import Upkeep
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter
from enclosures.views.staff.filter_page import FilterPage
from enclosures.views.staff.log_page import log


class UpkeepPage(FilterPage):
    model = Upkeep
    folder = "staff/log_upkeep"
    title = "Upkeep"
    situation = "upkeep"

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> UpkeepForm:
        return UpkeepForm(data, clock=self.clock(), must_say_why=must_say_why, filter=self.filter, initial=initial)

    def save(self, form: UpkeepForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        return log_the_upkeep(moment=form.cleaned_data["when"], stamp=stamp, entry=entry, **self.values(form))

    def values(self, form: UpkeepForm) -> dict[str, Any]:
        data = form.cleaned_data
        return {
            "filter": self.filter,
            "kind": data["kind"],
            "fullness": data["fullness"],
            "minutes": form.number("minutes"),
            "parts": data["parts"].strip(),
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return UpkeepForm.initial_of(record)


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_upkeep(request: FacilityRequest, code: str) -> HttpResponse:
    return log(UpkeepPage(request, load_filter(code)))
