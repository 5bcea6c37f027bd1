from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.models import Membership
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.author import is_enrolled


@require_GET
@for_role(HEALTH_LOGGERS)
def take_over(request: FacilityRequest) -> HttpResponse:
    """Another person takes an enrolled tablet while there is no network: a name without a PIN, to be confirmed later.

    The tablet keeps this page. It holds names and nothing that a PIN could be guessed from.
    """
    if not is_enrolled(request):
        raise PermissionDenied("Only an enrolled tablet changes person without network.")
    members = Membership.objects.in_force_on(request.today).filter(
        facility=request.facility, role__in=HEALTH_LOGGERS, user__is_active=True
    )
    people = members.order_by("user__initials").values_list("user__initials", flat=True).distinct()
    return TemplateResponse(request, "device/take_over/page.html", {"people": people})
