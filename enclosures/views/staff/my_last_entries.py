from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.boards.my_last_entries import build_my_last_entries
from enclosures.roles import HEALTH_LOGGERS, UNDO_MINUTES, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import initials_of
from enclosures.views.staff.tables import MODELS


@require_GET
@for_role(HEALTH_LOGGERS)
def my_last_entries(request: FacilityRequest) -> HttpResponse:
    entries = build_my_last_entries(
        initials=initials_of(request),
        now=request.now,
        undo_within=timedelta(minutes=UNDO_MINUTES),
        models=MODELS,
    )
    return TemplateResponse(request, "staff/my_last_entries/page.html", {"entries": entries})
