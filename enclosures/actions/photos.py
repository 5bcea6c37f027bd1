"""Photos come to an entry after it: each with its own id, so that one sent twice is one, and one refused takes nothing with it."""

from __future__ import annotations

import uuid
from dataclasses import replace
from typing import Any

from django.db import transaction

from enclosures.actions.entries import EntryConflict, Logged, Refused, Stamp, record_entry
from enclosures.actions.flags import table_of
from enclosures.actions.photo_images import picture_from, thumbnail_of
from enclosures.models import (
    PHOTO_TABLES,
    LoggedRecord,
    Moment,
    Photo,
    photo_path,
    store_file,
    thumbnail_path,
)

MOST_OF_AN_ENTRY = 12
CARRIED = "its entry was put right"


def attach_photo(
    record: LoggedRecord,
    *,
    data: bytes,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    caption: str = "",
) -> Logged:
    """Keep a picture and say that it is of `record`, or of the version that took its place since.

    The same picture of the same entry is one row, whatever id it came with. An entry taken back meanwhile gets it all the same, hidden.
    Raises Refused (no picture, too large, too many, no photos of such entries, no room) and EntryConflict (same id, other content).
    """
    table = table_of(record)
    if table not in PHOTO_TABLES:
        raise Refused({"photo": "Photos belong to what was odd on the round, to health notes and to soundings."})
    picture = picture_from(data)
    try:
        for path, content in (
            (photo_path(picture.digest), lambda: picture.data),
            (thumbnail_path(picture.digest), lambda: thumbnail_of(picture.data)),
        ):
            if not path.is_file():
                store_file(path, content())
    except OSError as wrong:
        raise Refused({"photo": f"The server could not keep the photo ({wrong.strerror or wrong})."}) from wrong
    with transaction.atomic():
        owner, _ = _standing(record)
        if known := _known(owner, entry=entry, digest=picture.digest):
            return known
        values = {
            "table": table,
            "of_entry": owner.entry,
            "digest": picture.digest,
            "width_px": picture.width_px,
            "height_px": picture.height_px,
            "caption": caption.strip(),
        }
        return record_entry(Photo, entry=entry, moment=moment, values=values, stamp=stamp)


def carry_photos(old: LoggedRecord, new: LoggedRecord, *, stamp: Stamp) -> None:
    """A corrected entry keeps its photos: each gets a new row of the new version, under its taker's name."""
    if table_of(old) not in PHOTO_TABLES:
        return
    for photo in Photo.objects.filter(table=table_of(old), of_entry=old.entry).oldest_first():
        record_entry(
            Photo,
            entry=uuid.uuid5(photo.entry, str(new.entry)),
            moment=photo.moment,
            values={**{name: getattr(photo, name) for name in Photo.CONTENT}, "of_entry": new.entry},
            stamp=replace(stamp, entered_by=photo.entered_by, sent_by=stamp.entered_by, note=photo.note),
            supersedes=photo,
            reason=CARRIED,
        )


def is_hidden(photo: Photo, owner: LoggedRecord | None) -> bool:
    """Taken back, or its entry was: then it is kept and no longer shown. `owner` is the entry the photo names."""
    newest: Any = photo
    while (newer := getattr(newest, "superseded_by", None)) is not None:
        newest = newer
    return owner is None or newest.withdrawn or _standing(owner)[1]


def _standing(record: LoggedRecord) -> tuple[Any, bool]:
    """The newest version that says something, and whether it was taken back."""
    newest: Any = record
    while (newer := type(record)._base_manager.filter(supersedes=newest).first()) is not None:
        newest = newer
    return (newest.supersedes, True) if newest.withdrawn else (newest, False)


def _known(owner: LoggedRecord, *, entry: uuid.UUID | str | None, digest: str) -> Logged | None:
    """The row that already says this, if any. Raises EntryConflict (the id is another picture's) and Refused (too many)."""
    sent_before = Photo.all_rows.filter(entry=entry).first() if entry is not None else None
    if sent_before is not None:
        if sent_before.digest != digest:
            raise EntryConflict(sent_before)
        return Logged(sent_before, is_new=False)
    there = list(Photo.objects.filter(table=table_of(owner), of_entry=owner.entry))
    for photo in there:
        if photo.digest == digest:
            return Logged(photo, is_new=False)
    if len(there) >= MOST_OF_AN_ENTRY:
        raise Refused({"photo": f"This entry has {MOST_OF_AN_ENTRY} photos already; more do not fit."})
    return None
