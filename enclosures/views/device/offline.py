"""Two pages that are the same for everybody: what to do without network, and why an address must be https."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.views.clock import FacilityRequest


@require_GET
@login_not_required
def offline(request: FacilityRequest) -> HttpResponse:
    """What a device shows for a page it has not kept. It is kept itself, so it must name nobody."""
    return TemplateResponse(request, "device/offline.html")


@require_GET
@login_not_required
def secure_address(request: FacilityRequest) -> HttpResponse:
    return TemplateResponse(request, "device/secure_address.html", {"host": request.get_host().partition(":")[0]})
