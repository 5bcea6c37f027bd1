"""Photos of what was odd, and where their files lie. The row says what the picture is of; the file is named by its own content."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import ClassVar

from django.conf import settings
from django.db import models

from enclosures.models.constraints import one_of, within
from enclosures.models.record import LoggedRecord

# The tables whose entries may have photos, by the name that flags know them by too.
PHOTO_TABLES = ("roundcheck", "healthnote", "sounding")
THUMBNAIL_PX = 320  # the longest side of the small version
DIGEST = re.compile(r"[0-9a-f]{64}")


class Photo(LoggedRecord):
    """One picture of one entry: taken at `occurred_at`, entered when the server had it.

    table, of_entry   the entry it belongs to; a correction of that entry carries the photo over by a new row
    digest            SHA-256 of the file, in hexadecimal; it is also the file's name
    caption           what it shows, in words; may be empty
    """

    table = models.CharField("belongs to", max_length=40, choices=[(name, name) for name in PHOTO_TABLES])
    of_entry = models.UUIDField(db_index=True)
    digest = models.CharField("SHA-256", max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    caption = models.CharField("what it shows", max_length=200, blank=True)

    CONTENT = ("table", "of_entry", "digest", "width_px", "height_px", "caption")

    class Meta(LoggedRecord.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            one_of("table", list(PHOTO_TABLES)),
            within("width_px", 1, 20_000),
            within("height_px", 1, 20_000),
        ]


def photo_path(digest: str) -> Path:
    """Where the file of this digest lies, or would lie. Raises ValueError for what is no digest."""
    return _path(digest, "jpg")


def thumbnail_path(digest: str) -> Path:
    """Its small version, which can be made anew from the file at any time."""
    return _path(digest, "small.jpg")


def has_photo_file(digest: str) -> bool:
    return photo_path(digest).is_file()


def store_file(path: Path, data: bytes) -> None:
    """Whole or not at all, and on the disk before this returns: the row that names it is saved next.

    Raises OSError when the place cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, aside = tempfile.mkstemp(prefix=".photo-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(aside, 0o640)
        os.replace(aside, path)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _path(digest: str, ending: str) -> Path:
    if not DIGEST.fullmatch(digest):
        raise ValueError(f"{digest!r} is not a SHA-256 in hexadecimal.")
    return Path(settings.MEDIA_ROOT) / "photos" / digest[:2] / f"{digest}.{ending}"
