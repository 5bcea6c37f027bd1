"""Meals that may be on record twice: each beside the other of its round, until a person says whether it counts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.boards.entry_words import when_said
from enclosures.boards.my_last_entries import line_of
from enclosures.evidence.known import AsOf
from enclosures.evidence.meals import load_repeats
from enclosures.models import Facility, Feeding


@dataclass(frozen=True, kw_only=True, slots=True)
class DoubtfulMeal:
    """`beside` are the other meals of the same place, day and round, in words."""

    record: Feeding
    place: str
    when: str
    line: str
    who: str
    beside: tuple[str, ...]


def build_doubtful_meals(*, facility: Facility, today: date) -> tuple[DoubtfulMeal, ...]:
    """Latest first. A fixed number of queries."""
    places = list(facility.enclosures.values_list("pk", flat=True))
    left_out = set(load_repeats(places, as_of=AsOf.of(today, zone=facility.zone)))
    if not left_out:
        return ()
    days = Feeding.objects.filter(pk__in=left_out).values("occurred_on")
    meals = (
        Feeding.objects.filter(enclosure__in=places, occurred_on__in=days)
        .select_related("enclosure")
        .prefetch_related("lines__food_item")
    )
    by_round: dict[tuple[int, date, str], list[Feeding]] = {}
    for meal in meals:
        by_round.setdefault((meal.enclosure_id, meal.occurred_on, meal.slot), []).append(meal)
    found = [
        DoubtfulMeal(
            record=meal,
            place=str(meal.enclosure),
            when=when_said(meal.moment, today),
            line=line_of(meal),
            who=meal.entered_by,
            beside=tuple(
                f"{when_said(other.moment, today)}, {other.entered_by}: {line_of(other)}"
                for other in together
                if other.pk != meal.pk
            ),
        )
        for together in by_round.values()
        for meal in together
        if meal.pk in left_out
    ]
    return tuple(sorted(found, key=lambda each: each.record.occurred_at, reverse=True))
