from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.actions.outlooks import refresh_outlook
from enclosures.boards.enclosure_dashboard import build_enclosure_dashboard, filters_of
from enclosures.boards.entries import FIRST_SHOWN, MOST_SHOWN, Change, build_entries
from enclosures.boards.how_the_water_is import build_readings_as_read, build_water_chart
from enclosures.models import Enclosure, Filter, FilterKind, LoggedRecord
from enclosures.roles import CORRECTORS, INSIDE, SEES_RESTRICTED, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import may_change, may_undo
from enclosures.views.staff.tables import MODELS

FOLDER = "shared/enclosure_dashboard"


@require_GET
@for_role(INSIDE)
def enclosure_dashboard(request: FacilityRequest, code: str) -> HttpResponse:
    """The whole page; htmx may ask for the entries, the water chart or its readings alone."""
    enclosure = load_enclosure(code)
    place: dict[str, Any] = {"enclosure": enclosure, "today": request.today}
    shown = _shown(request)
    asked = request.htmx.target if request.htmx else ""
    if asked == "entries-list":
        board = {"entries": build_entries(**place, shown=shown, **_rights(request))}
        return TemplateResponse(request, f"{FOLDER}/_entries.html", {"board": board, "code": code})
    if asked == "water-chart":
        return TemplateResponse(request, f"{FOLDER}/_water_chart.html", {"chart": build_water_chart(**place)})
    if asked == "water-readings":
        return TemplateResponse(
            request, f"{FOLDER}/_water_readings.html", {"readings": build_readings_as_read(**place)}
        )
    board = build_enclosure_dashboard(**place, filters=_up_to_date(enclosure, request), shown=shown, **_rights(request))
    context = {
        "can_correct_others": roles.may(request.membership, CORRECTORS),
        "board": board,
        "code": code,
        "chart": build_water_chart(**place) if "chart" in request.GET else None,
        "readings": build_readings_as_read(**place) if "readings" in request.GET else None,
    }
    response = TemplateResponse(request, f"{FOLDER}/page.html", context)
    response.headers["Vary"] = "HX-Request, HX-Target"
    return response


def _up_to_date(enclosure: Enclosure, request: FacilityRequest) -> list[Filter]:
    """Its filters, each with an answer no older than the last record and the day."""
    filters = filters_of(enclosure, today=request.today)
    old = [each for each in filters if each.kind == FilterKind.UPFLOW and _is_old(each, request)]
    for each in old:
        refresh_outlook(each, today=request.today, now=request.now)
    return filters_of(enclosure, today=request.today) if old else filters


def _is_old(each: Filter, request: FacilityRequest) -> bool:
    stored = getattr(each, "outlook", None)
    return stored is None or stored.is_stale or stored.as_of != request.today


def _rights(request: FacilityRequest) -> dict[str, Any]:
    def may(record: LoggedRecord) -> Change:
        if may_undo(request, record):
            return "undo"
        return "correct" if type(record) in MODELS and may_change(request, record) else ""

    return {"may": may, "shows_restricted": roles.may(request.membership, SEES_RESTRICTED)}


def _shown(request: FacilityRequest) -> int:
    asked = request.GET.get("entries", "")
    return min(int(asked), MOST_SHOWN) if asked.isdecimal() and int(asked) else FIRST_SHOWN
