"""Shared tablets and quick change of person: a tablet is enrolled once by a supervisor; its people then come and go with a PIN.

The tablet holds a random token in a signed cookie, the database only its hash; revoking the row ends it. A PIN is worth something only on
an enrolled tablet, and is locked for five minutes after five wrong tries.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from husbandry.accounts.models import Device, Pin, User

COOKIE = "device"
COOKIE_AGE_S = 60 * 60 * 24 * 400  # the longest a browser keeps one; renewed whenever a person changes
WRONG_TRIES = 5
LOCKED_FOR = timedelta(minutes=5)


def hash_of(token: str) -> str:
    """The token is 256 random bits, so a plain hash is enough; a slow one is for what people choose."""
    return hashlib.sha256(token.encode()).hexdigest()


def enrol(response: HttpResponse, *, name: str, by: User, now: datetime) -> Device:
    """Make this browser an enrolled tablet."""
    token = secrets.token_urlsafe(32)
    device = Device.objects.create(token_hash=hash_of(token), name=name, enrolled_by=by.initials, enrolled_at=now)
    set_cookie(response, token)
    return device


def set_cookie(response: HttpResponse, token: str) -> None:
    response.set_signed_cookie(
        COOKIE,
        token,
        salt=COOKIE,
        max_age=COOKIE_AGE_S,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )


def token_in(request: HttpRequest) -> str:
    return request.get_signed_cookie(COOKIE, default="", salt=COOKIE, max_age=COOKIE_AGE_S) or ""


def device_of(request: HttpRequest) -> Device | None:
    token = token_in(request)
    return Device.objects.filter(token_hash=hash_of(token), revoked_at__isnull=True).first() if token else None


def known_device(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: `request.device` is the enrolled tablet, or None."""

    def with_device(request: Any) -> HttpResponse:
        request.device = SimpleLazyObject(lambda: device_of(request)) if COOKIE in request.COOKIES else None
        return get_response(request)

    return with_device


def set_pin(user: User, pin: str) -> None:
    Pin.objects.update_or_create(
        user=user, defaults={"hash": make_password(pin), "wrong_tries": 0, "locked_until": None}
    )


def pin_is_right(user: User, pin: str, *, now: datetime) -> bool | None:
    """True, False, or None while locked. The try is counted before it is judged, so that many at once gain nothing."""
    with transaction.atomic():
        kept = Pin.objects.select_for_update().filter(user=user).first()
        if kept is None:
            return False
        if kept.locked_until is not None:
            if now < kept.locked_until:
                return None
            Pin.objects.filter(pk=kept.pk).update(wrong_tries=0, locked_until=None)
        Pin.objects.filter(pk=kept.pk).update(wrong_tries=F("wrong_tries") + 1)
        kept.refresh_from_db()
        if kept.wrong_tries >= WRONG_TRIES:
            Pin.objects.filter(pk=kept.pk).update(locked_until=now + LOCKED_FOR)
        if kept.wrong_tries > WRONG_TRIES:
            return None
    if not check_password(pin, kept.hash):
        return False
    Pin.objects.filter(pk=kept.pk).update(wrong_tries=0, locked_until=None)
    return True
