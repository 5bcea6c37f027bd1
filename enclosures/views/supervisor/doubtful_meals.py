from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.flags import settle_flag
from enclosures.boards.doubtful_meals import build_doubtful_meals
from enclosures.roles import CORRECTORS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import initials_of


@require_http_methods(["GET", "POST"])
@for_role(CORRECTORS)
def doubtful_meals(request: FacilityRequest) -> HttpResponse:
    """Look at each meal that may be a repeat: it counts, or it is withdrawn."""
    meals = build_doubtful_meals(facility=request.facility, today=request.today)
    if request.method == "POST":
        which = next((each for each in meals if str(each.record.entry) == request.POST.get("meal")), None)
        if which is None:
            raise Http404("No such meal waits to be looked at.")
        try:
            settle_flag(which.record, code="DUP", stamp=Stamp(entered_at=request.now, entered_by=initials_of(request)))
        except Refused as refused:
            messages.error(request, " ".join(refused.errors.values()))
        else:
            messages.success(request, f"It counts: {which.place}, {which.when}. The forecast follows.")
        return redirect("doubtful-meals")
    return TemplateResponse(request, "supervisor/doubtful_meals/page.html", {"meals": meals})
