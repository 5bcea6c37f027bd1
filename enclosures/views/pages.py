"""What every page shares: the menu, and whether htmx asked for the whole of it or for a part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import NoReverseMatch, Resolver404, resolve, reverse

from enclosures import roles
from enclosures.models import Membership


@dataclass(frozen=True, slots=True)
class MenuLink:
    """`current` is "page" on the page itself, "true" on pages below it, empty elsewhere (the values of aria-current)."""

    label: str
    url: str
    current: str


MENU = (
    ("Round", "todays-round"),
    ("Filters", "filters-that-need-you"),
    ("Enclosures", "enclosures"),
    ("Animals", "animals"),
    ("Program", "program"),
    ("Settings", "settings"),
)


def address_of(*names: str, args: tuple[Any, ...] = ()) -> str:
    """The first of these pages that exists, or an empty string."""
    for name in names:
        try:
            return reverse(name, args=args)
        except NoReverseMatch:
            continue
    return ""


def may_open(membership: Membership | None, url: str) -> bool:
    """Who may enter stands on the view (`for_role`); the menu asks it, so that the two cannot differ."""
    try:
        view = resolve(url).func
    except Resolver404:
        return False
    return roles.may(membership, getattr(view, "allowed_roles", frozenset()))


def menu_for(membership: Membership | None, *, path: str) -> list[MenuLink]:
    """The pages that exist and this person may open, with the present one marked."""
    links = []
    for label, name in MENU:
        url = address_of(name)
        if url and may_open(membership, url):
            links.append(MenuLink(label, url, "page" if path == url else "true" if path.startswith(url) else ""))
    return links


def page_or_part(
    request: HttpRequest, page: str, part: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    """The same view and the same context for browser and htmx: htmx gets `part`, a reload and a restored tab get `page`."""
    htmx = getattr(request, "htmx", None)
    is_part = bool(htmx) and not htmx.history_restore_request
    response = TemplateResponse(request, part if is_part else page, context, status=status)
    response.headers["Vary"] = "HX-Request"
    return response
