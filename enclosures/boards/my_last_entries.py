"""What one person entered lately, newest first, with what can still be undone; and one line for any entry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from enclosures.boards.entry_words import Said, said
from enclosures.boards.photos import PhotoShown, photos_of
from enclosures.estimates.units import recorded_quantity
from enclosures.models import PHOTO_TABLES, LoggedRecord, Measurement, Photo
from enclosures.verdicts.words import kept_together

SHOWN_HOURS = 24
MOST_SHOWN = 60


@dataclass(frozen=True, kw_only=True, slots=True)
class MyEntry:
    record: Any
    table: str
    place: str
    line: str
    may_undo: bool
    is_withdrawn: bool
    is_first_half: bool
    photos: tuple[PhotoShown, ...] = ()


def line_of(record: LoggedRecord) -> str:
    """The entry in one line, what came of it included."""
    told = _weighed(record) if isinstance(record, Measurement) else said(record)
    return f"{told.what}; {told.came}" if told.came else told.what


def place_of(record: Any) -> str:
    """The code an entry is known by: its animal, its filter's enclosure, or its enclosure."""
    if isinstance(record, Photo):
        return "Photo"
    if getattr(record, "animal_id", None) is not None:
        return str(record.animal.code)
    if hasattr(record, "filter_id"):
        return str(record.filter.code)
    return str(record.enclosure.code)


def build_my_last_entries(
    *, initials: str, now: datetime, undo_within: timedelta, models: Sequence[type[LoggedRecord]]
) -> list[MyEntry]:
    """One query a table, and its parts."""
    since = now - timedelta(hours=SHOWN_HOURS)
    mine: list[Any] = []
    for model in models:
        names = {field.name for field in model._meta.get_fields()}
        related = [path for path in ("enclosure", "filter", "animal") if path in names]
        related += ["treatment__animal"] if "treatment" in names else []
        parts = [part for part in ("lines__food_item", "readings") if part.partition("__")[0] in names]
        parts += ["filter__builds"] if "filter" in names else []
        rows = model.all_rows.filter(entered_by=initials, entered_at__gte=since, superseded_by__isnull=True)
        mine += rows.select_related(*related).prefetch_related(*parts).order_by("-entered_at")[:MOST_SHOWN]
    mine.sort(key=lambda record: record.entered_at, reverse=True)
    lines = [_mine(record, may_undo=now - record.entered_at <= undo_within) for record in mine[:MOST_SHOWN]]
    photos = photos_of([line.record.entry for line in lines if line.table in PHOTO_TABLES])
    return [replace(line, photos=photos.get(str(line.record.entry), ())) for line in lines]


def _mine(record: Any, *, may_undo: bool) -> MyEntry:
    return MyEntry(
        record=record,
        table=str(record._meta.model_name),
        place=place_of(record),
        line=line_of(record),
        may_undo=may_undo and not record.withdrawn,
        is_withdrawn=record.withdrawn,
        is_first_half=getattr(record, "stage", "") == "before",
    )


def _weighed(record: Measurement) -> Said:
    parts = [recorded_quantity(record.mass_g, "g")] if record.mass_g is not None else []
    if record.scl_mm is not None:
        parts.append(f"SCL {recorded_quantity(record.scl_mm, 'mm')}")
    return Said(kept_together(f"{record.animal.code} {', '.join(parts)}"))
