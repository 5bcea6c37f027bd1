"""Whose entry it is when somebody else's sign-in sends it: a shared tablet keeps what all its people logged without network."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied

from enclosures import roles
from enclosures.models import Membership
from enclosures.views.clock import FacilityRequest


def author_of(request: FacilityRequest) -> str:
    """The author's initials, when an entry names another person than the one signed in; else an empty string.

    An enrolled tablet may send for any of its people, a supervisor for anybody (from a downloaded file). The author must be one who may
    log there today. `unconfirmed`: the name was picked on the tablet while no PIN could be checked; then only that person's own sign-in
    sends it, or a supervisor who vouches for it. Raises PermissionDenied.
    """
    author = request.POST.get("author", "").strip() if request.method == "POST" else ""
    if not author or author == str(request.user.initials):  # type: ignore[union-attr]
        return ""
    if request.POST.get("unconfirmed") and not may_vouch(request):
        raise PermissionDenied(f"{author} has not yet confirmed that this entry is theirs.")
    if not may_send_for_others(request):
        raise PermissionDenied(f"This is an entry of {author}; it is sent when {author} is signed in on that tablet.")
    people = Membership.objects.in_force_on(request.today).filter(facility=request.facility)
    membership = people.filter(user__initials=author).first()
    allowed = getattr(request.resolver_match.func, "allowed_roles", roles.LOGGERS) if request.resolver_match else set()
    if membership is None or membership.role not in allowed:
        raise PermissionDenied(f"{author} has no role here that may enter this.")
    return author


def is_enrolled(request: FacilityRequest) -> bool:
    return bool(getattr(request, "device", None))


def may_vouch(request: FacilityRequest) -> bool:
    return roles.may(request.membership, roles.CORRECTORS)


def may_send_for_others(request: FacilityRequest) -> bool:
    return is_enrolled(request) or may_vouch(request)
