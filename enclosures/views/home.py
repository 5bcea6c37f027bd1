"""Each role to its first page."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from enclosures.models import Role
from enclosures.views.clock import FacilityRequest
from enclosures.views.pages import address_of, may_open

FIRST_PAGES = {Role.KEEPER: "todays-round", Role.COORDINATOR: "program"}
OTHERS = ("filters-that-need-you", "animals")


@never_cache
@require_GET
def home(request: FacilityRequest) -> HttpResponse:
    if request.facility is None:
        return TemplateResponse(request, "site/begin.html")
    if request.membership is None:
        raise PermissionDenied("You have no role here yet.")
    first = FIRST_PAGES.get(Role(request.membership.role))
    for name in (*([first] if first else []), *OTHERS):
        url = address_of(name)
        if url and may_open(request.membership, url):
            return redirect(url)
    raise PermissionDenied("There is no page for your role yet.")
