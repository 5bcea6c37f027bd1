"""The pictures themselves: streamed to whoever may read the entry they are of, asked anew each time, never from a public address."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.actions.entries import Refused
from enclosures.actions.photo_images import thumbnail_of
from enclosures.actions.photos import is_hidden
from enclosures.boards.entry_words import when_said
from enclosures.boards.my_last_entries import line_of, place_of
from enclosures.boards.photos import alt_of
from enclosures.models import HealthNote, LoggedRecord, Photo, has_photo_file, photo_path, store_file, thumbnail_path
from enclosures.roles import CORRECTORS, INSIDE, SEES_RESTRICTED, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.tables import find_entry

NOTHING_ELSE = "default-src 'none'; sandbox"


@require_GET
@for_role(INSIDE)
def photo(request: FacilityRequest, entry: uuid.UUID) -> HttpResponse:
    """The picture at its size, what it is of, and the way to take it back."""
    found, owner = _load(request, entry)
    place = place_of(owner)
    context = {
        "photo": found,
        "place": place,
        "line": line_of(owner),
        "when": when_said(found.moment, request.today),
        "alt": alt_of(found, place=place),
        "has_file": has_photo_file(found.digest),
        "is_hidden": is_hidden(found, owner),
        "back_url": _back_to(owner),
        "may_take_back": not is_hidden(found, owner)
        and not hasattr(found, "superseded_by")
        and roles.may_change(request.membership, found, initials=str(request.user.initials)),  # type: ignore[union-attr]
    }
    return TemplateResponse(request, "shared/photo/page.html", context)


@require_GET
@for_role(INSIDE)
def photo_file(request: FacilityRequest, entry: uuid.UUID) -> HttpResponseBase:
    found, owner = _load(request, entry)
    return _streamed(request, photo_path(found.digest), name=_name(found, owner), tag=found.digest)


@require_GET
@for_role(INSIDE)
def photo_thumbnail(request: FacilityRequest, entry: uuid.UUID) -> HttpResponseBase:
    found, owner = _load(request, entry)
    small = thumbnail_path(found.digest)
    if not small.is_file() and photo_path(found.digest).is_file():  # brought back from a backup of the large ones alone
        try:
            store_file(small, thumbnail_of(photo_path(found.digest).read_bytes()))
        except Refused as refused:
            raise Http404("This photo’s file is damaged.") from refused
    return _streamed(request, small, name=f"small-{_name(found, owner)}", tag=f"{found.digest}-small")


def _load(request: FacilityRequest, entry: uuid.UUID) -> tuple[Photo, LoggedRecord]:
    """A photo that is hidden, or of a note not meant for everybody, is not there for who may not see it."""
    photo = Photo.all_rows.filter(entry=entry).first()
    owner = find_entry(photo.table, photo.of_entry) if photo is not None else None
    if photo is None or owner is None:
        raise Http404("There is no such photo here.")
    if isinstance(owner, HealthNote) and owner.restricted and not roles.may(request.membership, SEES_RESTRICTED):
        raise Http404("There is no such photo here.")
    if is_hidden(photo, owner) and not roles.may(request.membership, CORRECTORS):
        raise Http404("This photo was taken back.")
    return photo, owner


def _back_to(owner: Any) -> str:
    enclosure = owner.filter.enclosure if hasattr(owner, "filter_id") else owner.enclosure
    if enclosure is not None:
        return reverse("enclosure-dashboard", args=(enclosure.code,))
    return reverse("animal-life", args=(owner.animal.code,))


def _streamed(request: FacilityRequest, path: Path, *, name: str, tag: str) -> HttpResponseBase:
    etag = f'"{tag}"'
    response: HttpResponseBase | None = get_conditional_response(request, etag=etag)  # the browser has it already
    if response is None:
        try:
            response = FileResponse(path.open("rb"), content_type="image/jpeg", filename=name)
        except FileNotFoundError as missing:
            raise Http404("This photo is described here, but its file is not on this server.") from missing
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = "private, no-cache"  # a shared tablet asks again who may see it
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = NOTHING_ELSE
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return response


def _name(photo: Photo, owner: LoggedRecord) -> str:
    safe = "".join(sign if sign.isalnum() else "-" for sign in place_of(owner))
    return f"{safe}-{photo.occurred_on.isoformat()}-{photo.digest[:8]}.jpg"
