"""Served from the root, since a service worker governs only what lies below its own address."""

from __future__ import annotations

import hashlib

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from enclosures.models import Facility
from enclosures.views.pages import address_of

PAPER, INK = "#faf6ee", "#1d1a15"


@never_cache
@require_GET
@login_not_required
def service_worker(request: HttpRequest) -> HttpResponse:
    """The script changes with the hashed names of the static files, so a new release is kept anew."""
    names = getattr(staticfiles_storage, "manifest_hash", "") or static("js/outbox.js")
    version = hashlib.sha256(names.encode()).hexdigest()[:8]
    context = {
        "version": version,
        "static_url": settings.STATIC_URL,
        "person_url": address_of("change-person"),
        "round_url": address_of("todays-round", "enclosures"),
    }
    script = render_to_string("device/service_worker.js", context)
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")


@require_GET
@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """What a tablet needs to put the logbook on its home screen."""
    facility = Facility.objects.first()
    told = {
        "id": "/",
        "name": f"{facility.name}: husbandry logbook" if facility else "Husbandry logbook",
        "short_name": "Logbook",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {"src": static("icons/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
            {"src": static("icons/icon-192.png"), "sizes": "192x192", "type": "image/png"},
            {"src": static("icons/icon-512.png"), "sizes": "512x512", "type": "image/png"},
            {"src": static("icons/icon-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
        ],
    }
    return JsonResponse(told, content_type="application/manifest+json")
