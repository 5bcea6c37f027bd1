"""The pictures themselves: streamed to whoever may read the entry they are of, asked anew each time, never from a public address."""

from __future__ import annotations

import uuid
from pathlib import Path

from django.http import FileResponse, Http404, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.actions.entries import Refused
from enclosures.actions.photo_images import thumbnail_of
from enclosures.actions.photos import is_hidden
from enclosures.boards.my_last_entries import place_of
from enclosures.models import HealthNote, LoggedRecord, Photo, photo_path, store_file, thumbnail_path
from enclosures.roles import CORRECTORS, INSIDE, SEES_RESTRICTED, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.tables import find_entry

NOTHING_ELSE = "default-src 'none'; sandbox"


@require_GET
@for_role(INSIDE)
def photo_file(request: FacilityRequest, entry: uuid.UUID) -> HttpResponseBase:
    photo, owner = _load(request, entry)
    return _streamed(request, photo_path(photo.digest), name=_name(photo, owner), tag=photo.digest)


@require_GET
@for_role(INSIDE)
def photo_thumbnail(request: FacilityRequest, entry: uuid.UUID) -> HttpResponseBase:
    photo, owner = _load(request, entry)
    small = thumbnail_path(photo.digest)
    if not small.is_file() and photo_path(photo.digest).is_file():  # brought back from a backup of the large ones alone
        try:
            store_file(small, thumbnail_of(photo_path(photo.digest).read_bytes()))
        except Refused as refused:
            raise Http404("This photo’s file is damaged.") from refused
    return _streamed(request, small, name=f"small-{_name(photo, owner)}", tag=f"{photo.digest}-small")


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
