"""Why a filter's forecast is what it is, read back from beside its stored answer: causes, what would change it, the numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from enclosures.models import FilterOutlook
from enclosures.verdicts.words import kept_together

SAID_IN_ITS_OWN_WORDS = ("Feed was not logged ", "The sounding of ")


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One thing that would change the answer; `query` fills in the what-if page, "" where it cannot be tried there."""

    text: str
    query: str = ""


@dataclass(frozen=True, slots=True)
class NumberLine:
    term: str
    values: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Explanation:
    """`notes` are the forecast's remarks that the causes do not say already."""

    why: tuple[str, ...]
    changes: tuple[ChangeLine, ...]
    spans: tuple[NumberLine, ...]
    parts: tuple[NumberLine, ...]
    numbers: tuple[NumberLine, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]


def explanation_of(stored: FilterOutlook | None) -> Explanation | None:
    """None before the first answer, without geometry, and for an answer kept by an earlier version."""
    kept: dict[str, Any] = (stored.trace.get("explained") if stored is not None else None) or {}
    if stored is None or not kept:
        return None
    notes = tuple(str(note) for note in stored.detail.get("notes") or ())
    return Explanation(
        why=_texts(kept.get("why")),
        changes=(*_sounding_line(stored), *_levers(kept.get("levers"))),
        spans=_rows(kept.get("spans")),
        parts=_rows(kept.get("parts")),
        numbers=_rows(kept.get("numbers")),
        assumed=(*_texts(kept.get("why_more")), *_texts(kept.get("assumed"))),
        notes=tuple(kept_together(note) for note in notes if not note.startswith(SAID_IN_ITS_OWN_WORDS)),
    )


def _sounding_line(stored: FilterOutlook) -> tuple[ChangeLine, ...]:
    """What one sounding today would be worth; while the season keeps the pipe shut, that it can wait."""
    narrowing: dict[str, Any] = stored.detail.get("narrowing") or {}
    sentence = str(narrowing.get("sentence") or stored.answer.get("next_reading") or "")
    if not sentence:
        return ()
    wait = str(narrowing.get("waits_for") or "")
    return (ChangeLine(kept_together(f"{sentence} It can wait: {wait}." if wait else sentence)),)


def _levers(kept: Any) -> tuple[ChangeLine, ...]:
    return tuple(ChangeLine(kept_together(str(row["text"])), str(row["query"])) for row in kept or ())


def _texts(kept: Any) -> tuple[str, ...]:
    return tuple(kept_together(str(text)) for text in kept or ())


def _rows(kept: Any) -> tuple[NumberLine, ...]:
    return tuple(NumberLine(str(row["term"]), _texts(row["values"])) for row in kept or ())
