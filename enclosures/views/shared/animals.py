from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.boards.animals import build_animals
from enclosures.boards.treatments import courses_on
from enclosures.roles import EVERYONE, INSIDE, for_role, may
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(EVERYONE)
def animals(request: FacilityRequest) -> HttpResponse:
    board = build_animals(membership=request.membership, today=request.today)
    is_inside = may(request.membership, INSIDE)  # an outside coordinator hears of their own program's animals alone
    treated = sorted({code for code, _ in courses_on(request.today)}) if is_inside else []
    return TemplateResponse(request, "shared/animals/page.html", {"board": board, "treated": treated})
