"""One stop of the round in one act: the meal or why there was none, the water, the count, anything odd; or that it was skipped.

All of it hangs on one id made on the device: each record's own id is made from it, so that a retry doubles nothing.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from enclosures.actions.corrections import UNDONE, supersede, undo
from enclosures.actions.entries import EntryConflict, Logged, Refused, Stamp, record_entry
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import (
    Enclosure,
    Feeding,
    Instruction,
    LoggedRecord,
    Moment,
    RoundCheck,
    RoundSkip,
    WaterTest,
)

PARTS: dict[str, type[LoggedRecord]] = {
    "feeding": Feeding,
    "water": WaterTest,
    "check": RoundCheck,
    "skip": RoundSkip,
}

ABOUT_WATER = {"UNIT", "OUT"}  # the only figure of a stop that is converted or past the usual is its temperature


@dataclass(frozen=True, kw_only=True)
class MealGiven:
    """What was offered; no lines and a reason: held back. `outcome` planned, changed or not_fed."""

    lines: Sequence[LineGiven] = ()
    outcome: str = ""
    not_fed_reason: str = ""
    refused: str = ""


@dataclass(frozen=True, kw_only=True)
class StopLogged:
    """`is_new` False: all of it had been recorded before, by this same entry."""

    records: tuple[LoggedRecord, ...]
    is_new: bool


def part_entry(entry: uuid.UUID, part: str) -> uuid.UUID:
    """The id of one record of a stop: "feeding", "water", "check" or "skip"."""
    return uuid.uuid5(entry, part)


def log_round_stop(
    *,
    enclosure: Enclosure,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    slot: str = "",
    meal: MealGiven | None = None,
    water: ReadingGiven | None = None,
    head_count: int | None = None,
    n_expected: int | None = None,
    odd: str = "",
    skip_cause: str = "",
    is_another: bool = False,
) -> StopLogged:
    """Record what one stop brought; nothing at all: it was looked at. `water` is the temperature read there.

    Raises Refused (a skip that also brings something, and what each record refuses) and EntryConflict (same id, other content).
    """
    stop = _as_uuid(entry)
    if skip_cause and (meal is not None or water is not None or head_count is not None or odd):
        raise Refused({"skip": "Skipped, or looked at? Clear the reason, or what was seen."})
    has_check = not skip_cause and (meal is None or head_count is not None or bool(odd.strip()))
    names = {
        name
        for name, is_there in (
            ("feeding", meal is not None), ("water", water is not None), ("check", has_check), ("skip", bool(skip_cause)),
        )
        if is_there
    }  # fmt: skip
    common: dict[str, Any] = {"enclosure": enclosure, "moment": moment}
    plain = replace(stamp, note="", flags=tuple(flag for flag in stamp.flags if flag not in ABOUT_WATER))
    logged: list[Logged] = []
    with transaction.atomic():
        _refuse_other_parts(stop, names)
        if meal is not None:
            logged.append(
                log_feeding(
                    **common, stamp=plain, entry=part_entry(stop, "feeding"), slot=slot, lines=meal.lines,
                    outcome=meal.outcome, not_fed_reason=meal.not_fed_reason, refused=meal.refused, is_another=is_another,
                )
            )  # fmt: skip
        if water is not None:
            logged.append(log_water_test(**common, stamp=stamp, entry=part_entry(stop, "water"), readings=[water]))
        if has_check:
            values = {
                "enclosure": enclosure, "slot": slot, "head_count": head_count,
                "n_expected": n_expected if head_count is not None else None, "odd": odd.strip(),
            }  # fmt: skip
            logged.append(_record(RoundCheck, part_entry(stop, "check"), moment=moment, values=values, stamp=plain))
        if skip_cause:
            values = {"enclosure": enclosure, "slot": slot, "cause": skip_cause}
            logged.append(_record(RoundSkip, part_entry(stop, "skip"), moment=moment, values=values, stamp=plain))
    return StopLogged(records=tuple(each.record for each in logged), is_new=any(each.is_new for each in logged))


def recorded_stop(entry: uuid.UUID) -> list[Any]:
    """What an entry of the round brought the first time it was sent; empty when it never was."""
    found = (model.all_rows.filter(entry=part_entry(entry, part)).first() for part, model in PARTS.items())  # type: ignore[attr-defined]
    return [record for record in found if record is not None]


def undo_round_stop(records: Iterable[LoggedRecord], *, stamp: Stamp) -> int:
    """Take back what one stop brought, all of it or nothing, and ask anew what it had ticked off. Returns how many records stood.

    Raises Refused (somebody else's, too late, put right since). What was undone already stays undone.
    """
    n = 0
    with transaction.atomic():
        for record in records:
            newer = type(record)._base_manager.filter(supersedes=record).first()
            if newer is not None and newer.reason == UNDONE:
                continue
            undo(record, stamp=stamp, entry=uuid.uuid5(record.entry, UNDONE))
            _ask_again(record, stamp=stamp)
            n += 1
    return n


def _ask_again(record: LoggedRecord, *, stamp: Stamp) -> None:
    """Instructions that were ticked off in the same act as this record of a stop: they carry its very stamp."""
    same_act = {"entered_at": record.entered_at, "entered_by": record.entered_by, "enclosure_id": record.enclosure_id}  # type: ignore[attr-defined]
    for told in Instruction.objects.filter(is_done=True, reason="done", **same_act):
        entry = uuid.uuid5(told.entry, UNDONE)
        supersede(told, stamp=stamp, reason=UNDONE, changes={"is_done": False}, entry=entry)


def instruction_done(instruction: Instruction, *, stamp: Stamp) -> Logged | None:
    """Followed: shown no more. None when it was done or taken back already."""
    if instruction.is_done or instruction.withdrawn or hasattr(instruction, "superseded_by"):
        return None
    entry = uuid.uuid5(instruction.entry, "done")
    return supersede(instruction, stamp=stamp, reason="done", changes={"is_done": True}, entry=entry)


def _record(
    model: type[LoggedRecord], entry: uuid.UUID, *, moment: Moment, values: dict[str, Any], stamp: Stamp
) -> Logged:
    return record_entry(model, entry=entry, moment=moment, values=values, stamp=stamp)


def _refuse_other_parts(stop: uuid.UUID, names: set[str]) -> None:
    """An entry that brought a meal the first time and a skip the second says something else, though no id is the same."""
    there = {part: model._base_manager.filter(entry=part_entry(stop, part)).first() for part, model in PARTS.items()}
    present = {part for part, record in there.items() if record is not None}
    if present and present != names:
        raise EntryConflict(next(record for record in there.values() if record is not None))


def _as_uuid(entry: uuid.UUID | str | None) -> uuid.UUID:
    if entry is None:
        return uuid.uuid4()
    try:
        return entry if isinstance(entry, uuid.UUID) else uuid.UUID(str(entry))
    except ValueError as wrong:
        raise Refused({"entry": f"“{entry}” is not an entry id (a UUID)."}) from wrong
