"""What the supervisor plans: meals from a day on, and instructions for whoever comes by."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from enclosures.actions.corrections import withdraw
from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.feedings import LineGiven, feeding_lines
from enclosures.actions.plain import save_described
from enclosures.actions.stale import mark_stale
from enclosures.models import Animal, Enclosure, FeedingPlan, FeedingPlanLine, Instruction, Moment, Stay


def save_feeding_plan(
    *,
    lines: Sequence[LineGiven],
    from_on: date,
    stamp: Stamp,
    enclosure: Enclosure | None = None,
    animal: Animal | None = None,
    replaces: FeedingPlan | None = None,
    **rules: Any,
) -> FeedingPlan:
    """A meal as planned from a day on; `rules` are other fields of models.FeedingPlan.

    The plan it replaces ends the day before; one that had not begun before that day is rewritten in place.
    Raises Refused (no food, an unknown unit, days that are none, what the model refuses).
    """
    if not any((line.amount or line.offered_g or 0) > 0 for line in lines):
        raise Refused({"lines": "Say how much of which food."})
    rows, _ = feeding_lines(lines, on=from_on)
    with transaction.atomic():
        if replaces is not None and replaces.from_on >= from_on:
            plan = replaces
            plan.lines.all().delete()
        else:
            if replaces is not None:
                save_described(replaces, changes={"to_on": from_on - timedelta(days=1)})
            plan = FeedingPlan(enclosure=enclosure, animal=animal)
            plan.code = _next_code(enclosure or animal, slot=rules.get("slot", "am"))
        changes = {**rules, "from_on": from_on, "entered_at": stamp.entered_at, "entered_by": stamp.entered_by}
        save_described(plan, changes=changes)
        FeedingPlanLine.objects.bulk_create(
            FeedingPlanLine(
                plan=plan, position=n, food_item=row["food_item"], amount=row["amount"], unit=row["unit"],
                offered_g=row["offered_g"],
            )
            for n, row in enumerate(rows, 1)
        )  # fmt: skip
        mark_stale(enclosures=_fed_by(plan))
    return plan


def end_feeding_plan(plan: FeedingPlan, *, last_on: date) -> None:
    """Its last day; one that would end before it began never was, and goes. Raises Refused."""
    with transaction.atomic():
        mark_stale(enclosures=_fed_by(plan))
        if last_on < plan.from_on:
            plan.delete()
        else:
            save_described(plan, changes={"to_on": last_on})


def give_instruction(
    *,
    enclosure: Enclosure,
    text: str,
    from_on: date,
    moment: Moment,
    stamp: Stamp,
    to_on: date | None = None,
    entry: uuid.UUID | str | None = None,
) -> Logged:
    """Ask something of whoever comes by, shown from a day on. Raises Refused (nothing said, days the wrong way round)."""
    if not text.strip():
        raise Refused({"text": "Say what to do."})
    values = {"enclosure": enclosure, "text": text.strip(), "from_on": from_on, "to_on": to_on, "is_done": False}
    return record_entry(Instruction, entry=entry, moment=moment, values=values, stamp=stamp)


def take_back_instruction(instruction: Instruction, *, stamp: Stamp) -> Logged:
    """It is not wanted any more. Raises Refused when it was taken back or done already."""
    return withdraw(instruction, stamp=stamp, reason="not wanted any more", entry=uuid.uuid5(instruction.entry, "gone"))


def _fed_by(plan: FeedingPlan) -> list[int]:
    """The enclosure whose feed ahead it changes: its own, or where the animal lives."""
    if plan.enclosure_id is not None:
        return [plan.enclosure_id]
    return list(Stay.objects.open_now().filter(animal=plan.animal_id).values_list("enclosure_id", flat=True))


def _next_code(subject: Enclosure | Animal | None, *, slot: str) -> str:
    """'P1-am-3': the first free number."""
    if subject is None:
        raise Refused({"__all__": "A plan is of an enclosure or of one animal."})
    start = f"{subject.code}-{slot}-"
    taken = set(FeedingPlan.objects.filter(code__startswith=start).values_list("code", flat=True))
    return next(code for n in range(1, len(taken) + 2) if (code := f"{start}{n}") not in taken)
