from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.models import Slot
from enclosures.roles import LOGGERS, for_role
from enclosures.verdicts.cautions import cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.todays_round import Which, board_of, which_round

AHEAD_DAYS = 7


@require_GET
@for_role(LOGGERS)
def round_sheet(request: FacilityRequest) -> HttpResponse:
    """The walk on paper, for a day without tablet: today's or one of the coming week, both meals unless one is asked for."""
    day = _day(request)
    asked = request.GET.get("slot", "")
    slots = [asked] if asked in Slot.values else list(Slot.values)
    boards = [board_of(request, Which(day=day, today=day, slot=slot)) for slot in slots]
    context = {
        "day": day,
        "boards": [board for board in boards if board.rows],
        "days": [request.today + timedelta(days=n) for n in range(AHEAD_DAYS + 1)],
        "which": which_round(request),
        "cautions": cautions_for("round")
        + (cautions_for("treatment") if any(board.has_doses for board in boards) else ()),
    }
    return TemplateResponse(request, "staff/round_sheet/page.html", context)


def _day(request: FacilityRequest) -> date:
    try:
        day = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return request.today
    return day if request.today <= day <= request.today + timedelta(days=AHEAD_DAYS) else request.today
