"""Entries that look copied: the same meal twice, and the same reading three times running."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from enclosures.verdicts.words import count_words

SAME_READING = 3
SAME_MEAL_HOURS = 3.0  # without a slot on either entry, two feedings this near are one meal


@dataclass(frozen=True, kw_only=True, slots=True)
class MealEntry:
    """One logged feeding, enough of it to see a double. `at` is local wall-clock time, None when only the day is known."""

    entry: str
    enclosure: str
    on: date
    slot: str = ""
    at: datetime | None = None
    by: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Repeat:
    """`entry` came second; `of` is what it repeats."""

    entry: str
    of: str
    sentence: str


def repeats_of_meals(entries: Iterable[MealEntry]) -> tuple[Repeat, ...]:
    """Possible repeats, in the order entered: same enclosure, same day, same meal. Nothing is merged; a person decides."""
    seen: list[MealEntry] = []
    found = []
    for entry in entries:
        earlier = next((other for other in seen if _is_same_meal(other, entry)), None)
        if earlier is None:
            seen.append(entry)
        else:
            found.append(Repeat(entry=entry.entry, of=earlier.entry, sentence=meal_sentence(earlier)))
    return tuple(found)


def _is_same_meal(one: MealEntry, other: MealEntry) -> bool:
    if (one.enclosure, one.on) != (other.enclosure, other.on):
        return False
    if one.slot and other.slot:
        return one.slot == other.slot
    if one.at is not None and other.at is not None:
        return abs((one.at - other.at).total_seconds()) <= SAME_MEAL_HOURS * 3600
    return False


def meal_sentence(earlier: MealEntry) -> str:
    """'Fed at 07:52 by K2. Add another?'"""
    at = f" at {earlier.at:%H:%M}" if earlier.at is not None else " already"
    by = f" by {earlier.by}" if earlier.by else ""
    return f"Fed{at}{by}. Add another?"


def identical_readings(values: Sequence[tuple[str, float]], *, times: int = SAME_READING) -> tuple[str, ...]:
    """Entries (id, value), oldest first, that close a run of at least `times` equal values: the last of each run and any after it."""
    found, run = [], 0
    previous: float | None = None
    for entry, value in values:
        run = run + 1 if value == previous else 1
        previous = value
        if run >= times:
            found.append(entry)
    return tuple(found)


def identical_sentence(n: int, value_words: str) -> str:
    return f"The same reading {count_words(n)} times running ({value_words}): was it read each time?"
