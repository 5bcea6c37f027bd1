"""What was done at a stop of the round, in words, and what of it can still be taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any

from enclosures.boards.entry_words import said
from enclosures.boards.round_facts import PlaceFacts
from enclosures.boards.round_meal import What
from enclosures.models import Feeding, RoundCheck, RoundSkip
from enclosures.verdicts.words import kept_together, listed


@dataclass(frozen=True, kw_only=True, slots=True)
class Reader:
    """For whom the round is shown: only own entries of the last minutes can be undone."""

    initials: str
    now: datetime
    undo_within: timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class DoneStop:
    """What was done there today. `undo` names the records of it that this person can still take back."""

    words: str
    by: str
    undo: tuple[str, ...] = ()
    is_skip: bool = False
    odd: tuple[str, ...] = ()


def done_stop(each: PlaceFacts, what: What, *, reader: Reader) -> DoneStop | None:
    heads = [record for record in each.done if isinstance(record, Feeding | RoundCheck | RoundSkip)]
    settles = [r for r in heads if what == "look" or not isinstance(r, RoundCheck)]
    if not settles:
        return None
    stops: dict[Any, list[Any]] = {}
    for record in each.done:
        stops.setdefault((record.entered_at, record.entered_by), []).append(record)
    newest = max(stops, key=lambda key: key[0])
    entered_at, by = newest
    may_undo = by == reader.initials and bool(by) and reader.now - entered_at <= reader.undo_within
    undo = tuple(f"{r._meta.model_name}|{r.entry}" for r in stops[newest]) if may_undo else ()
    return DoneStop(
        words=kept_together("; ".join(_stop_words(records) for records in stops.values())),
        by=listed(dict.fromkeys(r.entered_by for r in settles if r.entered_by)),
        undo=undo,
        is_skip=all(isinstance(r, RoundSkip) for r in settles),
        odd=tuple(r.odd for r in heads if isinstance(r, RoundCheck) and r.odd),
    )


def _stop_words(records: list[Any]) -> str:
    """'As planned, 07:44, water 14.2 °C'."""
    first = records[0]
    local = first.occurred_at.astimezone(timezone(timedelta(minutes=first.utc_offset_min)))
    what = ", ".join(filter(None, (_record_words(record) for record in records)))
    return f"{what}, {local:%H:%M}" if first.precision == "minute" else what


def _record_words(record: Any) -> str:
    if isinstance(record, Feeding):
        if record.not_fed_reason:
            return f"not fed: {record.not_fed_reason}"
        if record.outcome == "planned" and not record.refused:
            return "as planned"
        told = said(record)
        what = told.what[:1].lower() + told.what[1:]
        return f"{what}; {told.came}" if told.came else what
    if isinstance(record, RoundCheck):
        count = f"counted {record.head_count}" if record.head_count is not None else ""
        if count and record.n_expected is not None and record.n_expected != record.head_count:
            count += f" of {record.n_expected}"
        odd = f"odd: {record.odd.rstrip('.')}" if record.odd else ""
        return "; ".join(filter(None, [count, odd])) or "looked at"
    if isinstance(record, RoundSkip):
        return f"skipped: {record.cause}"
    told = said(record)
    return told.what[:1].lower() + told.what[1:]
