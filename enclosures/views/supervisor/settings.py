from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.models import Membership
from enclosures.roles import INSIDE, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(INSIDE)
def settings(request: FacilityRequest) -> HttpResponse:
    """What the facility has set, and who may do what. Only an administrator gets the doors to change it."""
    people = Membership.objects.in_force_on(request.today).filter(facility=request.facility)
    people = people.select_related("user").order_by("role", "user__initials")
    climate = zip(
        ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
        request.facility.monthly_temp_c,
        strict=False,
    )
    return TemplateResponse(request, "supervisor/settings/page.html", {"people": people, "climate": list(climate)})
