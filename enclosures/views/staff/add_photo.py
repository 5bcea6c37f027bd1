"""A photo on its way to an entry that is here already: sent by itself, after it, from the tablet's queue or at once."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_POST

from enclosures import roles
from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.photo_images import MAX_BYTES
from enclosures.actions.photos import attach_photo
from enclosures.actions.rounds import part_entry
from enclosures.models import LoggedRecord, Moment, Photo
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.author import author_of
from enclosures.views.staff.log_page import device_time, entry_of, initials_of, offset_seen, tapped_at
from enclosures.views.staff.tables import find_entry


@require_POST
@for_role(HEALTH_LOGGERS)
def add_photo(request: FacilityRequest, table: str, entry: uuid.UUID) -> HttpResponse:
    """201 kept, 200 it was here already, 409 the id is another photo's, 422 with a sentence. X-Entry names the photo, not its entry."""
    record = _owner(table, entry)
    if record is None:
        return _refused(request, "The entry this photo belongs to is not on the server; send that first.")
    author = author_of(request) or initials_of(request)
    if not roles.may_change(request.membership, record, initials=author):
        raise PermissionDenied("Photos are added to an entry by whoever made it, or by a supervisor.")
    sent = request.FILES.get("photo")
    if sent is None:
        return _refused(request, "There is no photo in what was sent.")
    try:
        logged = attach_photo(
            record,
            data=sent.read(MAX_BYTES + 1),
            moment=_taken(request, record),
            stamp=_stamp(request, author),
            entry=entry_of(request),
            caption=request.POST.get("caption", ""),
        )
    except EntryConflict:
        return _refused(request, "Another photo was sent with this id before; nothing was changed.", status=409)
    except Refused as refused:
        return _refused(request, str(refused))
    response = HttpResponse(status=201 if logged.is_new else 200)
    response.headers["X-Entry"] = str(entry_of(request) or logged.record.entry)
    return response


def attach_sent_photos(request: FacilityRequest, record: LoggedRecord, *, caption: str = "") -> None:
    """For a form sent without script: its photos come with it. One that cannot be kept is said, and the entry stands."""
    for n, sent in enumerate(request.FILES.getlist("photo"), 1):
        own = uuid.uuid5(record.entry, f"photo-{n}")
        moment, stamp = _taken(request, record), _stamp(request, initials_of(request))
        try:
            attach_photo(record, data=sent.read(MAX_BYTES + 1), moment=moment, stamp=stamp, entry=own, caption=caption)
        except EntryConflict:
            messages.warning(request, "This entry has another photo already; nothing was changed.")
        except Refused as refused:
            messages.warning(request, f"The entry is saved without the photo. {refused}")


def _owner(table: str, entry: uuid.UUID) -> Any:
    """The entry; of the round a device knows only the id of the whole stop."""
    found = find_entry(table, entry)
    if found is None and table == "roundcheck":
        found = find_entry(table, part_entry(entry, "check"))
    return found


def _taken(request: FacilityRequest, record: LoggedRecord) -> Moment:
    """When it was taken, by the server's clock; a device that cannot say leaves it at its entry's time."""
    taken_at = tapped_at(request)
    known = Photo.all_rows.filter(entry=entry_of(request)).first() if entry_of(request) else None
    if known is not None:
        return known.moment
    return (
        record.moment
        if taken_at is None
        else Moment.of_instant(taken_at.astimezone(request.facility.zone), zone=request.facility.zone)
    )


def _stamp(request: FacilityRequest, author: str) -> Stamp:
    return Stamp(
        entered_at=request.now,
        entered_by=author,
        sent_by=initials_of(request),
        device_at=device_time(request, "device_at"),
        clock_offset_s=offset_seen(request),
    )


def _refused(request: FacilityRequest, sentence: str, *, status: int = 422) -> HttpResponse:
    return TemplateResponse(request, "staff/_photo_refused.html", {"sentence": sentence}, status=status)
