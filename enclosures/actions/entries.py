"""The one door through which every log row is written: once, by its device-made id, and never changed afterwards."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from enclosures.models import LoggedRecord, Moment, RecordPart

CLOCKS_MAY_DIFFER = timedelta(minutes=10)
CLOCK_FLAG_S = 300
LATE_AFTER = timedelta(hours=48)

Parts = Mapping[str, Sequence[Mapping[str, Any]]]


@dataclass(frozen=True, kw_only=True)
class Stamp:
    """Who entered it, when and how. `entered_at` by the server's clock; `clock_offset_s` is device minus server."""

    entered_at: datetime
    entered_by: str
    sent_by: str = ""
    device_at: datetime | None = None
    clock_offset_s: int | None = None
    how: str = "form"
    note: str = ""
    flags: tuple[str, ...] = ()


@dataclass
class Logged:
    """`is_new` False: the same entry had been made before, and this is it."""

    record: Any
    is_new: bool


class EntryConflict(Exception):
    """The id is taken by an entry with other content; a person settles which is right."""

    def __init__(self, record: LoggedRecord) -> None:
        super().__init__("Another entry with this id says something else; both are kept until a person settles it.")
        self.record = record


class Refused(Exception):
    """What cannot be recorded, as sentences by field; `__all__` when no one field is at fault."""

    def __init__(self, errors: Mapping[str, str]) -> None:
        super().__init__(" ".join(errors.values()))
        self.errors = dict(errors)


def record_entry(
    model: type[LoggedRecord],
    *,
    entry: uuid.UUID | str | None,
    moment: Moment,
    values: Mapping[str, Any],
    parts: Parts | None = None,
    stamp: Stamp,
    supersedes: LoggedRecord | None = None,
    withdrawn: bool = False,
    reason: str = "",
) -> Logged:
    """Insert one entry with its parts, or find that it is there already.

    Raises Refused (future, out of range, already superseded) and EntryConflict (same id, other content).
    """
    record = model(
        **values,
        entry=_as_uuid(entry),
        entered_at=stamp.entered_at,
        entered_by=stamp.entered_by,
        sent_by=stamp.sent_by if stamp.sent_by != stamp.entered_by else "",
        device_at=stamp.device_at,
        clock_offset_s=stamp.clock_offset_s,
        how=stamp.how,
        note=stamp.note,
        flags=flags_at_entry(moment=moment, stamp=stamp) if supersedes is None else list(dict.fromkeys(stamp.flags)),
        supersedes=supersedes,
        withdrawn=withdrawn,
        reason=reason,
    )
    record.moment = moment
    rows = {
        related: [_part(record, related, row, n) for n, row in enumerate(given, 1)]
        for related, given in (parts or {}).items()
    }
    with transaction.atomic():
        if entry is not None and (known := _known(record, rows)):
            return known
        refuse_future(moment=moment, entered_at=stamp.entered_at)
        _refuse_what_cannot_be(record, *(row for group in rows.values() for row in group))
        if supersedes is not None:
            refuse_superseded(supersedes)
        try:
            with transaction.atomic():
                record.save(force_insert=True)
                for group in rows.values():
                    if group:
                        type(group[0])._base_manager.bulk_create(group)
        except IntegrityError:
            if known := _known(record, rows):  # two requests with one id at once: the other was first
                return known
            if supersedes is not None:
                refuse_superseded(supersedes)
            _explain(record, *(row for group in rows.values() for row in group))
            raise
    return Logged(record, is_new=True)


def flags_at_entry(*, moment: Moment, stamp: Stamp) -> list[str]:
    """The given flags, with CLK for a device clock far off and LATE for what was entered more than a day afterwards."""
    flags = list(dict.fromkeys(stamp.flags))
    if stamp.clock_offset_s is not None and abs(stamp.clock_offset_s) > CLOCK_FLAG_S:
        flags.append("CLK")
    if stamp.how == "late" or stamp.entered_at - moment.at > LATE_AFTER:
        flags.append("LATE")
    return list(dict.fromkeys(flags))


def refuse_future(*, moment: Moment, entered_at: datetime, field: str = "occurred_at") -> None:
    """A day may be today's; an instant may be ten minutes ahead, as clocks differ."""
    latest = entered_at + CLOCKS_MAY_DIFFER
    if moment.precision == "day":
        is_ahead = moment.on > (latest + timedelta(minutes=moment.offset_min)).date()
    else:
        is_ahead = moment.at > latest
    if is_ahead:
        raise Refused({field: f"{moment.text()} is still to come; enter it when it has happened, or correct the date."})


def refuse_superseded(record: LoggedRecord) -> None:
    newer = type(record)._base_manager.filter(supersedes=record).first()
    if newer is not None:
        did = "withdrawn" if newer.withdrawn else "corrected"
        raise Refused(
            {
                "__all__": f"This entry was already {did} by {newer.entered_by or 'somebody'}; open the newest version of it."
            }
        )


def _as_uuid(entry: uuid.UUID | str | None) -> uuid.UUID:
    if entry is None:
        return uuid.uuid4()
    try:
        return entry if isinstance(entry, uuid.UUID) else uuid.UUID(str(entry))
    except ValueError as wrong:
        raise Refused({"entry": f"“{entry}” is not an entry id (a UUID)."}) from wrong


def _part(record: LoggedRecord, related: str, row: Mapping[str, Any], position: int) -> RecordPart:
    relation = record._meta.get_field(related)
    return relation.related_model(**{relation.field.name: record, "position": position, **row})  # type: ignore[union-attr]


def _known(record: LoggedRecord, rows: Mapping[str, Sequence[RecordPart]]) -> Logged | None:
    """The entry that already has this id, if any; EntryConflict when it says something else."""
    there = type(record)._base_manager.filter(entry=record.entry).first()
    if there is None:
        return None
    proposed = record.content()
    for related, names in type(record).PARTS.items():
        proposed[related] = [
            {name: getattr(row, row._meta.get_field(name).attname) for name in names} for row in rows.get(related, [])
        ]
    is_same_step = (there.supersedes_id, there.withdrawn) == (record.supersedes_id, record.withdrawn)
    if not is_same_step or there.content() != proposed:
        raise EntryConflict(there)
    return Logged(there, is_new=False)


def _refuse_what_cannot_be(*rows: models.Model) -> None:
    """Checks that need no query: numbers that are numbers, words of the list, texts that fit."""
    errors: dict[str, str] = {}
    for row in rows:
        for field in row._meta.concrete_fields:
            value = getattr(row, field.attname)
            if value is None or value == "":
                continue
            if isinstance(value, float) and not math.isfinite(value):
                errors[field.name] = f"{_name(field)}: enter a number."
            elif field.choices and value not in dict(field.flatchoices):
                known = ", ".join(str(choice) for choice, _ in field.flatchoices if choice != "")
                errors[field.name] = f"{_name(field)}: “{value}” is not one of {known}."
            elif isinstance(field, models.CharField) and len(str(value)) > (field.max_length or len(str(value))):
                errors[field.name] = f"{_name(field)}: at most {field.max_length} characters."
    if errors:
        raise Refused(errors)


def _explain(*rows: models.Model) -> None:
    """Turns what the database refused into its sentence; silent when no constraint of ours was broken."""
    errors: dict[str, str] = {}
    for row in rows:
        for constraint in row._meta.constraints:
            if not isinstance(constraint, models.CheckConstraint):
                continue
            try:
                constraint.validate(type(row), row)
            except ValidationError as broken:
                errors.setdefault(_field_of(constraint), " ".join(broken.messages))
    if errors:
        raise Refused(errors)


def _field_of(constraint: models.CheckConstraint) -> str:
    names = list(dict.fromkeys(_names_in(constraint.condition)))
    return names[0] if len(names) == 1 else "__all__"


def _names_in(condition: Any) -> Iterable[str]:
    for child in condition.children:
        if isinstance(child, tuple):
            yield child[0].split("__")[0]
        else:
            yield from _names_in(child)


def _name(field: models.Field[Any, Any]) -> str:
    name = str(field.verbose_name)
    return name[:1].upper() + name[1:]
