from __future__ import annotations

from django.http import HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from enclosures.boards.treatments import courses_on
from enclosures.models import Enclosure, Filter, Slot
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.author import is_enrolled
from enclosures.views.pages import address_of, may_open

FIRST = ("todays-round", "unsent-entries", "my-last-entries", "enclosures")
OF_ENCLOSURES = ("log-feeding", "log-water-test", "weigh-animals", "log-water-change", "log-health-note")
OF_FILTERS = ("log-sounding", "log-flow")
MOST_PAGES = 800  # the worker keeps a thousand


@never_cache
@require_GET
@for_role(HEALTH_LOGGERS)
def device_roster(request: FacilityRequest) -> HttpResponse:
    """The pages a device keeps for a round without network, those of the walk first: only such as this person may open."""
    walk = Enclosure.objects.filter(facility=request.facility).in_use_on(request.today).in_walking_order()
    codes = list(walk.values_list("code", flat=True))
    filters = Filter.objects.in_use_on(request.today).filter(enclosure__code__in=codes).values_list("code", flat=True)
    pages = [address_of(name) for name in FIRST + (("take-over",) if is_enrolled(request) else ())]
    for names, places in ((OF_ENCLOSURES[:1], codes), (OF_FILTERS, filters), (OF_ENCLOSURES[1:], codes)):
        pages += [reverse(name, args=(code,)) for name in names for code in places]
    pages += [reverse("log-dose", args=args) for args in courses_on(request.today)]
    pages = [url for url in pages if url and may_open(request.membership, url)]
    walk_url = address_of("todays-round")
    if walk_url in pages:  # a morning's page must not be all there is in the evening
        pages[1:1] = [f"{walk_url}?slot={slot}" for slot in Slot.values]
    return JsonResponse({"person": str(request.user.initials), "pages": pages[:MOST_PAGES]})  # type: ignore[union-attr]
