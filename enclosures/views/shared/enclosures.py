from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.boards.enclosures import build_enclosures
from enclosures.roles import INSIDE, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(INSIDE)
def enclosures(request: FacilityRequest) -> HttpResponse:
    board = build_enclosures(today=request.today)
    return TemplateResponse(request, "shared/enclosures/page.html", {"board": board})
