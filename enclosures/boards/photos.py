"""The photos of entries that are shown, for all of them in one query."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from enclosures.models import Photo
from enclosures.models.photos import THUMBNAIL_PX


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoShown:
    """`alt` says what it shows, else of what and by whom it is. `height_px` and `width_px` of the small version."""

    entry: uuid.UUID
    alt: str
    caption: str
    width_px: int
    height_px: int


def photos_of(entries: Collection[uuid.UUID | str], *, place: str = "") -> dict[str, tuple[PhotoShown, ...]]:
    """By entry, oldest first; entries without any are left out."""
    found: dict[str, list[PhotoShown]] = defaultdict(list)
    if entries:
        for photo in Photo.objects.filter(of_entry__in=entries).oldest_first():
            found[str(photo.of_entry)].append(_shown(photo, place=place))
    return {entry: tuple(shown) for entry, shown in found.items()}


def alt_of(photo: Photo, *, place: str) -> str:
    return photo.caption or f"Photo of {place or 'what was odd'} by {photo.entered_by or 'somebody'}"


def _shown(photo: Photo, *, place: str) -> PhotoShown:
    share = min(1.0, THUMBNAIL_PX / max(photo.width_px, photo.height_px))
    return PhotoShown(
        entry=photo.entry,
        alt=alt_of(photo, place=place),
        caption=photo.caption,
        width_px=max(1, round(photo.width_px * share)),
        height_px=max(1, round(photo.height_px * share)),
    )
