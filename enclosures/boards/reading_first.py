"""Where one reading tells most: the two or three pipes at which a rod today would narrow a due date that matters soon, best first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from enclosures.boards.stored_outlook import stored_outlook
from enclosures.forecast.next_reading import Narrowing, best_first
from enclosures.models import Filter, FilterOutlook
from enclosures.verdicts.words import capital, count_words, kept_together, listed

MOST_SHOWN = 3
LATELY_DAYS = 14  # a second reading within a fortnight mostly repeats the first: judgement


@dataclass(frozen=True, kw_only=True, slots=True)
class PipeToRead:
    code: str
    label: str
    gain: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadingFirst:
    """`pipes` can be read now; `notes` say why others that would tell much cannot, or that nowhere a sounding is worth the walk."""

    pipes: tuple[PipeToRead, ...]
    notes: tuple[str, ...]


def reading_first(filters: Iterable[Filter], *, labels: Mapping[int, str], today: date) -> ReadingFirst | None:
    """From filters with their stored answer joined; None when of none it is known what a reading would be worth."""
    known = {
        each.code: (each, row)
        for each in filters
        if (row := stored_outlook(each)) is not None and row.detail.get("narrowing")
    }
    if not known:
        return None
    pipes: list[PipeToRead] = []
    unsettled: list[str] = []
    waiting: dict[str, list[str]] = {}
    for worth in best_first(_narrowing(row) for _, row in known.values()):
        each, stored = known[worth.filter]
        label = labels[each.pk]
        waits_for = str(stored.detail["narrowing"].get("waits_for") or "")
        if _was_read_lately(stored, today):
            continue
        if stored.pinned:
            unsettled.append(_settle_words(label, stored))
        elif waits_for:
            waiting.setdefault(waits_for, []).append(label)
        else:
            pipes.append(PipeToRead(code=each.code, label=label, gain=_gain_words(worth, stored)))
    notes = [*unsettled[:MOST_SHOWN], *(_wait_words(what, places) for what, places in waiting.items())]
    if not pipes:
        notes.insert(0, "No single sounding that can be taken today would much narrow a due date that is near.")
    return ReadingFirst(pipes=tuple(pipes[:MOST_SHOWN]), notes=tuple(kept_together(note) for note in notes))


def _narrowing(row: FilterOutlook) -> Narrowing:
    """The stored worth of a reading as the forecast's own dataclass."""
    stored = row.detail["narrowing"]
    return Narrowing(**{name: stored[name] for name in Narrowing.__dataclass_fields__})


def _was_read_lately(stored: FilterOutlook, today: date) -> bool:
    last = str(stored.detail.get("last_sounding_on") or "")
    return bool(last) and (today - date.fromisoformat(last)).days < LATELY_DAYS


def _gain_words(worth: Narrowing, stored: FilterOutlook) -> str:
    """'narrows its due date from 9 months wide to about 4'; a range that reaches beyond the horizon is wider than can be told."""
    has_end = bool((stored.answer.get("due_on") or {}).get("p90"))
    return kept_together(
        "narrows its due date " + (worth.gain_words if has_end else worth.gain_words.replace("from", "from over", 1))
    )


def _settle_words(label: str, stored: FilterOutlook) -> str:
    check = str((stored.detail.get("diagnosis") or {}).get("check") or "").strip()
    return f"{label}: its signals disagree; settle that before the rod is believed. {check}".strip()


def _wait_words(what: str, places: list[str]) -> str:
    few = (
        places
        if len(places) <= MOST_SHOWN
        else [*places[: MOST_SHOWN - 1], f"{count_words(len(places) - MOST_SHOWN + 1)} more"]
    )
    return capital(f"{listed(few)} would tell much too, after the {what}.")
