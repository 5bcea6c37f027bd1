"""Who may do what: roles are memberships of the facility. Views say who may enter; the words here say what each role may do."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from enclosures.models import Dose, Facility, HealthNote, LoggedRecord, Membership, Role

EVERYONE = frozenset(Role)
INSIDE = EVERYONE - {Role.COORDINATOR}
LOGGERS = frozenset({Role.KEEPER, Role.SUPERVISOR, Role.BUILDER, Role.ADMINISTRATOR})
HEALTH_LOGGERS = LOGGERS | {Role.VETERINARIAN}
CORRECTORS = frozenset({Role.SUPERVISOR, Role.ADMINISTRATOR})
BUILDERS = frozenset({Role.SUPERVISOR, Role.BUILDER, Role.ADMINISTRATOR})
PRESCRIBERS = frozenset({Role.VETERINARIAN, Role.SUPERVISOR})
MOVERS = frozenset({Role.KEEPER, Role.SUPERVISOR, Role.ADMINISTRATOR})
ANIMAL_KEEPERS = frozenset({Role.SUPERVISOR, Role.ADMINISTRATOR})
PACKERS = frozenset({Role.SUPERVISOR, Role.ADMINISTRATOR})
SEES_RESTRICTED = CORRECTORS | {Role.VETERINARIAN}
ADMINISTRATORS = frozenset({Role.ADMINISTRATOR})

UNDO_MINUTES = 10


def membership_of(user: Any, *, facility: Facility | None, today: date) -> Membership | None:
    """The person's role here today, or None for a stranger."""
    if facility is None or not user.is_authenticated:
        return None
    return facility.memberships.in_force_on(today).filter(user=user).first()


def for_role(roles: frozenset[Role]) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Lets only these roles in; marks the view, so that a test can ask every view who may enter."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            membership = getattr(request, "membership", None)
            if membership is None or membership.role not in roles:
                raise PermissionDenied("This page is not for your role here. Ask an administrator.")
            return view(request, *args, **kwargs)

        guarded.allowed_roles = roles  # type: ignore[attr-defined]
        return guarded

    return decorate


def may(membership: Membership | None, roles: frozenset[Role]) -> bool:
    return membership is not None and membership.role in roles


def may_change(membership: Membership | None, record: LoggedRecord, *, initials: str) -> bool:
    """Own entries by whoever may log; others' entries by a supervisor or administrator."""
    if may(membership, CORRECTORS):
        return True
    loggers = HEALTH_LOGGERS if isinstance(record, HealthNote | Dose) else LOGGERS
    return may(membership, loggers) and bool(initials) and record.entered_by == initials
