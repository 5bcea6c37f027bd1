from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.boards.past_forecasts import build_past_forecasts
from enclosures.roles import INSIDE, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(INSIDE)
def past_forecasts(request: FacilityRequest) -> HttpResponse:
    """What was forecast, and what came."""
    board = build_past_forecasts(facility=request.facility, today=request.today)
    return TemplateResponse(request, "supervisor/past_forecasts/page.html", {"board": board})
