"""Where the clock enters: each request gets the facility, its day, and the person's role. Below here time is an argument."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from enclosures import roles
from enclosures.models import Facility, Membership
from enclosures.views.pages import menu_for


class FacilityRequest(HttpRequest):
    """What every view below may count on (for annotations only)."""

    facility: Facility
    membership: Membership | None
    now: datetime
    today: date
    htmx: Any


def facility_clock(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def with_clock(request: Any) -> HttpResponse:
        request.now = timezone.now()
        request.facility = None
        request.membership = None
        request.today = request.now.date()
        if request.user.is_authenticated:
            request.facility = Facility.objects.first()
            if request.facility is not None:
                timezone.activate(request.facility.zone)
                request.today = request.now.astimezone(request.facility.zone).date()
                request.membership = roles.membership_of(request.user, facility=request.facility, today=request.today)
        try:
            response = get_response(request)
            if request.membership is not None and request.user.is_authenticated:  # signing out has ended it by now
                response.headers["X-Person"] = request.user.initials  # a tablet keeps pages of one person only
            return response
        finally:
            timezone.deactivate()

    return with_clock


def sitting_of(request: Any) -> str:
    """Names this sign-in without giving its key away: a tablet sees by it that somebody has signed in anew."""
    key = request.session.session_key if hasattr(request, "session") else None
    return salted_hmac("sitting", key).hexdigest()[:16] if key else ""


def page_frame(request: Any) -> dict[str, Any]:
    """What the masthead shows on every page."""
    membership = getattr(request, "membership", None)
    return {
        "facility": getattr(request, "facility", None),
        "today": getattr(request, "today", None),
        "now": getattr(request, "now", None),
        "membership": membership,
        "menu": menu_for(membership, path=request.path),
        "keeps_entries": roles.may(membership, roles.HEALTH_LOGGERS),
        "sitting": sitting_of(request) if getattr(request, "device", None) else "",
        "is_enrolled": bool(getattr(request, "device", None)),
        "may_log": roles.may(membership, roles.LOGGERS),
        "may_prescribe": roles.may(membership, roles.PRESCRIBERS),
        "may_build": roles.may(membership, roles.BUILDERS),
        "may_correct": roles.may(membership, roles.CORRECTORS),
        "may_pack": roles.may(membership, roles.PACKERS),
        "may_administer": roles.may(membership, roles.ADMINISTRATORS),
    }
