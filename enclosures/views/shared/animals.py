from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.boards.animals import build_animals
from enclosures.roles import EVERYONE, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(EVERYONE)
def animals(request: FacilityRequest) -> HttpResponse:
    board = build_animals(membership=request.membership, today=request.today)
    return TemplateResponse(request, "shared/animals/page.html", {"board": board})
