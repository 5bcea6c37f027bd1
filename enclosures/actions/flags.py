"""Doubts found after an entry was made, and what a person decided about them. The entry itself is never touched."""

from __future__ import annotations

from django.db import transaction

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.stale import mark_stale
from enclosures.models import LoggedRecord, RecordFlag

KEPT = "kept"


def table_of(record: LoggedRecord | type[LoggedRecord]) -> str:
    """The name flags know a table by: 'feeding', 'watertest', ..."""
    return str(record._meta.model_name)


def raise_flag(record: LoggedRecord, *, code: str, stamp: Stamp, text: str = "") -> RecordFlag:
    """Note a doubt. The same doubt twice is one."""
    flag, _ = RecordFlag.objects.get_or_create(
        table=table_of(record),
        entry=record.entry,
        code=code,
        defaults={"text": text, "found_at": stamp.entered_at, "found_by": stamp.entered_by},
    )
    return flag


def settle_flag(record: LoggedRecord, *, code: str, stamp: Stamp, resolution: str = KEPT) -> RecordFlag:
    """A person looked at it. `resolution` in plain words; "kept": the entry is right as it stands.

    A meal flagged as a possible repeat (DUP) counts from then on; one that is a repeat is withdrawn instead.
    Raises Refused when it was settled already.
    """
    if not resolution.strip():
        raise Refused({"resolution": "Say what was decided."})
    with transaction.atomic():
        flag = raise_flag(record, code=code, stamp=stamp)
        if flag.resolved_at is not None:
            raise Refused({"__all__": f"{flag.resolved_by or 'Somebody'} settled this already: {flag.resolution}."})
        flag.resolved_at, flag.resolved_by, flag.resolution = stamp.entered_at, stamp.entered_by, resolution
        flag.save()
        if hasattr(record, "enclosure_id"):
            mark_stale(enclosures=[record.enclosure_id])
        elif hasattr(record, "filter_id"):
            mark_stale(filters=[record.filter_id])
    return flag
