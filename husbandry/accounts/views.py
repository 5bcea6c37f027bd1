"""Enrolling a tablet, setting a PIN, changing person."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from enclosures.models import Facility, Membership, Role
from enclosures.roles import CORRECTORS, HEALTH_LOGGERS, for_role
from husbandry.accounts.devices import device_of, enrol, pin_is_right, set_cookie, set_pin, token_in
from husbandry.accounts.forms import ChangePersonForm, EnrolForm, SetPinForm
from husbandry.accounts.models import Device, User

# Four digits are enough to log a meal, not to change who may do what.
BY_PIN = HEALTH_LOGGERS - {Role.ADMINISTRATOR}
LOCKED = "Locked after five wrong tries; wait five minutes, or sign in with the password."
MOST_TOLD = 500
BACKEND = "django.contrib.auth.backends.ModelBackend"


@never_cache
@require_http_methods(["GET", "POST"])
@for_role(CORRECTORS)
def enrol_device(request: Any) -> HttpResponse:
    """Make the tablet in hand a shared one, and see and end the others."""
    form = EnrolForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        response = redirect("enrol-device")
        device = enrol(response, name=form.cleaned_data["name"], by=request.user, now=request.now)
        messages.success(request, f"This is now the shared tablet “{device.name}”. Its people may change with a PIN.")
        return response
    context = {"form": form, "devices": Device.objects.all(), "this": device_of(request)}
    status = 422 if form.errors else 200
    return TemplateResponse(request, "accounts/enrol_device/page.html", context, status=status)


@require_POST
@for_role(CORRECTORS)
def revoke_device(request: Any, pk: int) -> HttpResponse:
    device = get_object_or_404(Device, pk=pk)
    if device.revoked_at is None:
        device.revoked_at, device.revoked_by = request.now, request.user.initials
        device.save(update_fields=["revoked_at", "revoked_by"])
    messages.success(
        request, f"“{device.name}” is no longer a shared tablet. What it has not sent waits for its authors."
    )
    return redirect("enrol-device")


@require_POST
@for_role(HEALTH_LOGGERS)
def tell_unconfirmed(request: Any) -> HttpResponse:
    """A tablet tells what lies on it under names picked without a PIN, so that a supervisor sees it from anywhere."""
    device = device_of(request)
    if device is None:
        raise PermissionDenied("Only an enrolled tablet keeps entries under a name without a PIN.")
    try:
        told = json.loads(request.POST.get("held", ""))
        device.unconfirmed = [
            {name: str(each[name])[:120] for name in ("author", "label", "at")} for each in told[:MOST_TOLD]
        ]
    except (ValueError, TypeError, KeyError):
        return HttpResponse(status=422)
    device.save(update_fields=["unconfirmed"])
    return HttpResponse(status=204)


@never_cache
@require_http_methods(["GET", "POST"])
@for_role(BY_PIN)
def set_own_pin(request: Any) -> HttpResponse:
    form = SetPinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        set_pin(request.user, form.cleaned_data["pin"])
        messages.success(request, "Your PIN is set. It works on enrolled tablets only.")
        return redirect("home")
    return TemplateResponse(request, "accounts/set_pin/page.html", {"form": form}, status=422 if form.errors else 200)


@never_cache
@require_http_methods(["GET", "POST"])
@login_not_required
def change_person(request: Any) -> HttpResponse:
    """Another person takes the tablet: initials, PIN, on with the round."""
    device = device_of(request)
    if device is None:
        raise PermissionDenied(
            "People change with a PIN on an enrolled tablet only. Sign out and in with the password instead."
        )
    people = _people(request)
    asked = people.filter(initials=request.GET.get("person", "")).first()
    form = ChangePersonForm(request.POST or None, people=people, initial={"person": asked})
    if request.method == "POST" and form.is_valid():
        person = form.cleaned_data["person"]
        right = pin_is_right(person, form.cleaned_data["pin"], now=request.now)
        if right:
            login(request, person, backend=BACKEND)
            request.session.cycle_key()  # the same person again is a new sitting too: it ends a name picked without network
            response = redirect(_next(request))
            set_cookie(response, token_in(request))
            return response
        form.add_error("pin", LOCKED if right is None else "This is not the PIN.")
    context = {
        "form": form,
        "device": device,
        "people": people,
        "next": request.POST.get("next", request.GET.get("next", "")),
    }
    return TemplateResponse(request, "accounts/change_person/page.html", context, status=422 if form.errors else 200)


def _people(request: Any) -> Any:
    """Those who log here today, have a PIN, and hold no key to the records as a whole."""
    facility = Facility.objects.first()
    today = request.now.astimezone(facility.zone).date() if facility else request.today
    members = Membership.objects.in_force_on(today).filter(facility=facility, role__in=BY_PIN)
    people = User.objects.filter(pk__in=members.values("user"), is_active=True, is_staff=False, is_superuser=False)
    return people.filter(pin__isnull=False).order_by("initials")


def _next(request: Any) -> str:
    there = request.POST.get("next", "")
    is_here = url_has_allowed_host_and_scheme(
        there, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return there if is_here else "home"
