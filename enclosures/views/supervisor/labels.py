from __future__ import annotations

import io

import segno
from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from enclosures.models import Enclosure
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(LOGGERS)
def labels(request: FacilityRequest) -> HttpResponse:
    """A label for each enclosure: its code to read from afar, and a square that opens its row of the round on a tablet."""
    rows = [
        {
            "code": place.code,
            "name": place.name or place.get_kind_display().capitalize(),
            "square": square(request, place),
        }
        for place in Enclosure.objects.in_use_on(request.today).in_walking_order()
    ]
    return TemplateResponse(request, "supervisor/labels/page.html", {"labels": rows})


def square(request: FacilityRequest, place: Enclosure) -> SafeString:
    """The QR code as SVG without colours or styles of its own: the stylesheet draws it, print keeps it."""
    url = request.build_absolute_uri(reverse("todays-round", fragment=f"stop-{place.code}"))
    text = io.BytesIO()
    segno.make(url, error="m", micro=False).save(
        text,
        kind="svg",
        xmldecl=False,
        svgns=False,
        svgclass="qr",
        lineclass="qr-line",
        omitsize=True,
        border=2,
        nl=False,
        title=f"Opens {place.code} on the round",
    )
    return mark_safe(text.getvalue().decode())  # made here, from our own address
