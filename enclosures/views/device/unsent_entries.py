from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.roles import CORRECTORS, HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(HEALTH_LOGGERS)
def unsent_entries(request: FacilityRequest) -> HttpResponse:
    """What this device keeps and has not sent. The page is the same for everybody; the device fills it in, without network too."""
    context = {"may_upload": roles.may(request.membership, CORRECTORS)}
    return TemplateResponse(request, "device/unsent_entries/page.html", context)


@require_GET
@for_role(CORRECTORS)
def upload_unsent(request: FacilityRequest) -> HttpResponse:
    """Takes a downloaded file into this device's own queue, from where its entries go the usual road."""
    return TemplateResponse(request, "device/upload_unsent/page.html")
