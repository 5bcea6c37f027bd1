"""A meal, from what was offered to dry grams: computed once, from the recipe of the day."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import prefetch_related_objects

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.stale import mark_stale
from enclosures.models import Enclosure, Feeding, FoodItem, LoggedRecord, Moment


@dataclass(frozen=True, kw_only=True)
class LineGiven:
    """One food of a meal: grams as fed, or an amount in a keeper's unit of that food. `eaten` all, most, some, none or ""."""

    food_item: FoodItem
    offered_g: float | None = None
    amount: float | None = None
    unit: str = ""
    eaten: str = ""


def log_feeding(
    *,
    enclosure: Enclosure,
    moment: Moment,
    lines: Sequence[LineGiven],
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    slot: str = "",
    outcome: str = "",
    not_fed_reason: str = "",
    leftovers_removed: bool | None = None,
    refused: str = "",
    head_count: int | None = None,
    is_another: bool = False,
) -> Logged:
    """Record one meal of one enclosure, or that it was looked after and not fed.

    `is_another`: the keeper was shown the meal already logged for this slot and says this is one more. Without it, a meal that
    anybody, the same keeper too, already logged for the day and slot is kept and flagged as a possible repeat (DUP).
    Raises Refused (unknown unit, nothing said, out of range, future) and EntryConflict.
    """
    if not lines and not not_fed_reason:
        raise Refused({"lines": "Say what was fed, or why nothing was."})
    rows, flags = feeding_lines(lines, on=moment.on)
    with transaction.atomic():
        if not is_another and _is_possible_repeat(enclosure, moment=moment, slot=slot, entry=entry):
            flags = (*flags, "DUP")
        logged = record_entry(
            Feeding,
            entry=entry,
            moment=moment,
            values={
                "enclosure": enclosure,
                "slot": slot,
                "outcome": outcome,
                "not_fed_reason": not_fed_reason,
                "leftovers_removed": leftovers_removed,
                "refused": refused,
                "head_count": head_count,
            },
            parts={"lines": rows},
            stamp=replace(stamp, flags=(*stamp.flags, *flags)),
        )
        if logged.is_new:
            mark_stale(enclosures=[enclosure])
    return logged


def meals_already_logged(enclosure: Enclosure, *, on: date, slot: str) -> list[Feeding]:
    """The meals on record for the day and slot, first first: for “Fed at 07:52 by K2 – add another?”."""
    return list(Feeding.objects.filter(enclosure=enclosure, occurred_on=on, slot=slot).oldest_first())


def feeding_lines(
    lines: Sequence[LineGiven], *, on: date, frozen: LoggedRecord | None = None
) -> tuple[list[dict[str, Any]], tuple[str, ...]]:
    """Rows for FeedingLine, and the flag CMP when a food has no recipe.

    `frozen`: the entry being corrected; a line it already had on the same day keeps the dry grams it was given then.
    """
    items = {line.food_item.pk: line.food_item for line in lines}
    prefetch_related_objects(list(items.values()), "compositions")
    if any(line.offered_g is None for line in lines):
        prefetch_related_objects(list(items.values()), "units")
    kept = _frozen_lines(frozen, on=on)
    rows, flags = [], set()
    for line in lines:
        item = items[line.food_item.pk]
        offered_g = _offered_g(line, item)
        if (item.pk, offered_g) in kept:
            dry_g, protein_g = kept[item.pk, offered_g]
        elif recipe := item.composition_on(on):
            dry_g = offered_g * (1 - recipe.moisture_percent / 100)
            protein_g = offered_g * recipe.protein_percent / 100
        else:
            dry_g = protein_g = None
        if dry_g is None:
            flags.add("CMP")
        rows.append(
            {
                "food_item": item,
                "amount": line.amount,
                "unit": line.unit,
                "offered_g": offered_g,
                "dry_g": dry_g,
                "protein_g": protein_g,
                "eaten": line.eaten,
            }
        )
    return rows, tuple(sorted(flags))


def lines_given(feeding: Feeding) -> list[LineGiven]:
    """A meal's lines as they were given, to be repeated in a correction."""
    return [
        LineGiven(
            food_item=line.food_item, offered_g=line.offered_g, amount=line.amount, unit=line.unit, eaten=line.eaten
        )
        for line in feeding.lines.select_related("food_item").order_by("position")
    ]


def _frozen_lines(
    frozen: LoggedRecord | None, *, on: date
) -> dict[tuple[int, float], tuple[float | None, float | None]]:
    if not isinstance(frozen, Feeding) or frozen.occurred_on != on:
        return {}
    return {(line.food_item_id, line.offered_g): (line.dry_g, line.protein_g) for line in frozen.lines.all()}


def _offered_g(line: LineGiven, item: FoodItem) -> float:
    if line.offered_g is not None:
        return float(line.offered_g)
    if line.amount is None:
        raise Refused({"lines": f"How much {item} was offered?"})
    if line.unit in {"", "g"}:
        return float(line.amount)
    grams = {unit.name: unit.grams for unit in item.units.all()}
    if line.unit not in grams:
        known = ", ".join(sorted(grams)) or "only grams"
        raise Refused({"lines": f"“{line.unit}” is not a unit of {item} ({known})."})
    return float(line.amount) * grams[line.unit]


def _is_possible_repeat(enclosure: Enclosure, *, moment: Moment, slot: str, entry: uuid.UUID | str | None) -> bool:
    """A meal is on record for this day and slot already (not for a day without slots), whoever entered it."""
    if not slot:
        return False
    others = Feeding.objects.filter(enclosure=enclosure, occurred_on=moment.on, slot=slot)
    return (others if entry is None else others.exclude(entry=entry)).exists()
