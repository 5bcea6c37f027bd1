"""Putting a record right: a new row takes the place of the old one, which stays as it was."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from enclosures import roles
from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.feedings import feeding_lines, lines_given
from enclosures.actions.flags import table_of
from enclosures.actions.measurements import places_of
from enclosures.actions.photos import carry_photos
from enclosures.actions.sludge import depth_rows, depths_given, refuse_cleanout
from enclosures.actions.stale import mark_stale
from enclosures.actions.water import reading_rows, readings_given
from enclosures.models import (
    Cleanout,
    Enclosure,
    Feeding,
    LoggedRecord,
    Moment,
    PlannedMove,
    RecordFlag,
    Sounding,
    WaterTest,
)

UNDONE = "undone"
FLAGS_OF_CONTENT = {"CMP", "BASE"}  # found anew each time the content is read

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True, kw_only=True)
class _Kind:
    """How the parts of one table are given again, and made into rows for a (perhaps other) day and filter."""

    related: str
    given: Callable[[Any], Sequence[Any]]
    rows: Callable[[Sequence[Any], LoggedRecord, Mapping[str, Any], date], tuple[Rows, tuple[str, ...]]]


KINDS: dict[type[LoggedRecord], _Kind] = {
    Feeding: _Kind(
        related="lines",
        given=lines_given,
        rows=lambda given, old, values, on: _lines(given, old, values, on),
    ),
    WaterTest: _Kind(
        related="readings",
        given=readings_given,
        rows=lambda given, old, values, on: reading_rows(given),
    ),
    Sounding: _Kind(
        related="readings",
        given=depths_given,
        rows=lambda given, old, values, on: (depth_rows(given, filter=values["filter"], on=on), ()),
    ),
    PlannedMove: _Kind(
        related="movers",
        given=lambda old: [mover.animal for mover in old.movers.select_related("animal")],
        rows=lambda given, old, values, on: ([{"animal": animal} for animal in given], ()),
    ),
}


def supersede(
    record: LoggedRecord,
    *,
    stamp: Stamp,
    reason: str,
    changes: Mapping[str, Any] | None = None,
    moment: Moment | None = None,
    parts: Mapping[str, Sequence[Any]] | None = None,
    note: str | None = None,
    entry: uuid.UUID | str | None = None,
) -> Logged:
    """A corrected version of `record`: its content with `changes` (fields), another `moment`, other `parts`
    ({"lines": [LineGiven]}, {"readings": [ReadingGiven or DepthGiven]}) or `note`. What is not given stays as it was.

    What is computed from it is computed again for its (new) day and place. Both places' outlooks are marked stale.
    Raises Refused (already superseded or withdrawn, no reason, and what the table itself refuses) and EntryConflict.
    """
    if record.withdrawn:
        raise Refused({"__all__": "This entry was withdrawn; enter it anew."})
    if not reason.strip():
        raise Refused({"reason": "Say why it is put right."})
    when = moment or record.moment
    values = {**_content_of(record), **(changes or {})}
    rows, found = _parts_of(record, values, when.on, parts or {})
    if isinstance(record, Cleanout):
        refuse_cleanout(values, on=when.on)
    with transaction.atomic():
        logged = record_entry(
            type(record),
            entry=entry,
            moment=when,
            values=values,
            parts=rows,
            stamp=replace(
                stamp,
                note=record.note if note is None else note,
                flags=(*_kept_flags(record, values, when.on), *stamp.flags, *found),
            ),
            supersedes=record,
            reason=reason,
        )
        if logged.is_new:
            carry_photos(record, logged.record, stamp=stamp)
            _mark_stale_for(record, logged.record)
    return logged


def withdraw(record: LoggedRecord, *, stamp: Stamp, reason: str, entry: uuid.UUID | str | None = None) -> Logged:
    """A row that says: this never was so. It repeats what it withdraws; the old row stays.

    Raises Refused (already superseded or withdrawn, no reason) and EntryConflict.
    """
    if record.withdrawn:
        raise Refused({"__all__": "This entry was withdrawn already."})
    if not reason.strip():
        raise Refused({"reason": "Say why it is withdrawn."})
    with transaction.atomic():
        logged = record_entry(
            type(record),
            entry=entry,
            moment=record.moment,
            values=_content_of(record),
            parts=_same_parts(record),
            stamp=replace(stamp, note=record.note, flags=(*record.flags, *stamp.flags)),
            supersedes=record,
            withdrawn=True,
            reason=reason,
        )
        if logged.is_new:
            _mark_stale_for(record)
    return logged


def undo(record: LoggedRecord, *, stamp: Stamp, entry: uuid.UUID | str | None = None) -> Logged:
    """Takes back one's own entry within minutes: withdrawn, or, where it was a correction, as it stood before.

    Raises Refused (somebody else's, too late, already superseded).
    """
    if not stamp.entered_by or record.entered_by != stamp.entered_by:
        raise Refused({"__all__": "Only the person who made an entry can undo it; a supervisor can correct it."})
    if stamp.entered_at - record.entered_at > timedelta(minutes=roles.UNDO_MINUTES):
        raise Refused({"__all__": f"Undo works for {roles.UNDO_MINUTES} minutes; correct the entry instead."})
    before = record.supersedes
    if before is None or record.withdrawn:
        return withdraw(record, stamp=stamp, reason=UNDONE, entry=entry)
    with transaction.atomic():
        logged = record_entry(
            type(record),
            entry=entry,
            moment=before.moment,
            values=_content_of(before),
            parts=_same_parts(before),
            stamp=replace(stamp, note=before.note, flags=tuple(before.flags)),
            supersedes=record,
            reason=UNDONE,
        )
        if logged.is_new:
            carry_photos(record, logged.record, stamp=stamp)
            _mark_stale_for(before, record)
    return logged


def move_to_enclosure(
    record: LoggedRecord, *, to: Enclosure, stamp: Stamp, reason: str, entry: uuid.UUID | str | None = None
) -> Logged:
    """It was logged to the wrong enclosure. Raises Refused (it is of that enclosure, or of a filter) and EntryConflict."""
    if not hasattr(record, "enclosure_id"):
        raise Refused({"to": "This entry belongs to a filter or an animal, not to an enclosure."})
    if record.enclosure_id == to.pk:
        raise Refused({"to": f"It is logged to {to.code} already."})
    return supersede(record, changes={"enclosure": to}, stamp=stamp, reason=reason, entry=entry)


def _lines(
    given: Sequence[Any], old: LoggedRecord, values: Mapping[str, Any], on: date
) -> tuple[Rows, tuple[str, ...]]:
    if not given and not values["not_fed_reason"]:
        raise Refused({"lines": "Say what was fed, or why nothing was."})
    return feeding_lines(given, on=on, frozen=old)


def _kept_flags(record: LoggedRecord, values: Mapping[str, Any], on: date) -> list[str]:
    """Doubts that the corrected version inherits: not those of its content, those settled, or a repeat that is now another meal."""
    gone = set(FLAGS_OF_CONTENT)
    if isinstance(record, Feeding):
        same_meal = (values["enclosure"].pk, values["slot"], on) == (
            record.enclosure_id,
            record.slot,
            record.occurred_on,
        )
        gone |= set() if same_meal else {"DUP"}
    if set(record.flags) - gone:
        settled = RecordFlag.objects.filter(table=table_of(record), entry=record.entry, resolved_at__isnull=False)
        gone |= set(settled.values_list("code", flat=True))
    return [flag for flag in record.flags if flag not in gone]


def _content_of(record: LoggedRecord) -> dict[str, Any]:
    return {name: getattr(record, name) for name in record.CONTENT}


def _parts_of(
    record: LoggedRecord, values: Mapping[str, Any], on: date, parts: Mapping[str, Sequence[Any]]
) -> tuple[dict[str, Rows], tuple[str, ...]]:
    kind = KINDS.get(type(record))
    unknown = set(parts) - ({kind.related} if kind else set())
    if unknown:
        raise TypeError(f"{type(record).__name__} has no {', '.join(sorted(unknown))}")
    if kind is None:
        return {}, ()
    given = parts.get(kind.related)
    rows, flags = kind.rows(kind.given(record) if given is None else given, record, values, on)
    return {kind.related: rows}, flags


def _same_parts(record: LoggedRecord) -> dict[str, Rows]:
    """Every column of the old parts, computed ones included."""
    same: dict[str, Rows] = {}
    for related in record.PARTS:
        rows = getattr(record, related).order_by("position")
        own = {"id", "position", record._meta.get_field(related).field.name}  # type: ignore[union-attr]
        names = [f.attname for f in rows.model._meta.concrete_fields if f.name not in own]
        same[related] = list(rows.values(*names))
    return same


def _mark_stale_for(*records: Any) -> None:
    ends = ("enclosure_id", "from_enclosure_id", "to_enclosure_id")
    places = {getattr(record, name, None) for record in records for name in ends} - {None}
    filters = {getattr(record, "filter_id", None) for record in records} - {None}
    for record in records:
        if hasattr(record, "animal_id") and record.animal_id is not None:
            places |= set(places_of(record.animal))
    mark_stale(enclosures=places, filters=filters)
