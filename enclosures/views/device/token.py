from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from enclosures.views.clock import FacilityRequest, sitting_of
from enclosures.views.device.author import is_enrolled, may_send_for_others, may_vouch


@never_cache
@require_GET
@login_not_required
def device_token(request: FacilityRequest) -> HttpResponse:
    """Asked right before a device sends what it keeps: who is signed in, a fresh token, the server's clock. 401 when nobody is."""
    told: dict[str, object] = {"now": request.now.isoformat()}
    if request.membership is None:
        return JsonResponse(told, status=401)
    told |= {
        "csrf": get_token(request),
        "person": str(request.user.initials),  # type: ignore[union-attr]
        "enrolled": is_enrolled(request),
        "may_send_for_others": may_send_for_others(request),
        "may_vouch": may_vouch(request),
        "sitting": sitting_of(request),
    }
    return JsonResponse(told)
