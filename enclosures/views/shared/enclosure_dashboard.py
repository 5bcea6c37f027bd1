from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.actions.outlooks import refresh_outlook
from enclosures.boards.enclosure_dashboard import build_enclosure_dashboard, filters_of
from enclosures.boards.entries import FIRST_SHOWN, MOST_SHOWN, Change, build_entries
from enclosures.boards.how_the_water_is import build_water_chart
from enclosures.models import Enclosure, Filter, FilterKind, LoggedRecord, Role
from enclosures.roles import INSIDE, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.pages import page_or_part
from enclosures.views.staff.log_page import may_change, may_undo
from enclosures.views.staff.tables import MODELS

FOLDER = "shared/enclosure_dashboard"
SEES_RESTRICTED = roles.CORRECTORS | {Role.VETERINARIAN}


@require_GET
@for_role(INSIDE)
def enclosure_dashboard(request: FacilityRequest, code: str) -> HttpResponse:
    """The whole page; htmx may ask for the entries or the water chart alone."""
    enclosure = load_enclosure(code)
    shown = _shown(request)
    asked = request.htmx.target if request.htmx else ""
    if asked == "entries-list":
        entries = build_entries(enclosure=enclosure, today=request.today, shown=shown, **_rights(request))
        return page_or_part(request, "", f"{FOLDER}/_entries.html", {"board": {"entries": entries}, "code": code})
    if asked == "water-chart":
        chart = build_water_chart(enclosure=enclosure, today=request.today)
        return page_or_part(request, "", f"{FOLDER}/_water_chart.html", {"chart": chart})
    filters = _up_to_date(enclosure, request)
    board = build_enclosure_dashboard(
        enclosure=enclosure, filters=filters, today=request.today, shown=shown, **_rights(request)
    )
    chart = build_water_chart(enclosure=enclosure, today=request.today) if "chart" in request.GET else None
    context = {"board": board, "code": code, "chart": chart, "enclosure": enclosure}
    return page_or_part(request, f"{FOLDER}/page.html", f"{FOLDER}/page.html", context)


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
