from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from enclosures.boards.filters_that_need_you import build_filters_that_need_you
from enclosures.roles import CORRECTORS, INSIDE, for_role, may
from enclosures.views.clock import FacilityRequest
from enclosures.views.pages import page_or_part


@require_GET
@for_role(INSIDE)
def filters_that_need_you(request: FacilityRequest) -> HttpResponse:
    """The list. The page asks again each minute with the stamp it has; 204 says that nothing has changed."""
    board = build_filters_that_need_you(facility=request.facility, today=request.today)
    if request.htmx and request.GET.get("seen") == board.stamp:
        return HttpResponse(status=204)
    return page_or_part(
        request,
        "supervisor/filters_that_need_you/page.html",
        "supervisor/filters_that_need_you/_rows.html",
        {"board": board, "can_correct_others": may(request.membership, CORRECTORS)},
    )
