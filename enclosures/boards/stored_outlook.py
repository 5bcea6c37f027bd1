"""One stored answer, read back as the words a page shows. The list, the enclosure page and the walk all read it here."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from enclosures.forecast.inputs import DayQuantiles, Outlook, Quantiles
from enclosures.models import Filter, FilterBuild, FilterOutlook
from enclosures.verdicts.windows import LEAVE_IT, LEAVE_THEM
from enclosures.verdicts.words import (
    Band,
    DueWords,
    FillWords,
    Sureness,
    capital,
    day_words,
    due_words,
    fill_words,
    kept_together,
)

USUAL_DUE_FILL = 0.7


@dataclass(frozen=True, slots=True)
class Marked:
    """A piece of a sentence; `is_strong` where it is a day that matters."""

    text: str
    is_strong: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class OutlookWords:
    """`due_marked` is the lead of the due sentence with its days marked; `stale` says quietly what the answer does not know yet."""

    band: Band
    sureness: Sureness
    fill: FillWords
    quantiles: Quantiles | None
    due_fill: float
    due: DueWords
    due_marked: tuple[Marked, ...]
    why: str
    season: str
    pinned: str
    stale: str
    as_of: date | None

    @property
    def has_forecast(self) -> bool:
        return self.quantiles is not None

    @property
    def is_to_wait(self) -> bool:
        """The season forbids work on it for now: winter rest, cold water, nesting, a new bed."""
        return LEAVE_THEM in self.season or LEAVE_IT in self.season

    @property
    def wants_emptying(self) -> bool:
        """Likeliest at or past the due line, no signs that the fault lies elsewhere, and not a time to leave them be."""
        is_due = self.quantiles is not None and self.quantiles.p50 >= self.due_fill
        return is_due and not self.pinned and not self.is_to_wait

    @property
    def pinned_advice(self) -> str:
        """The sentence of signals that disagree, where those words stand before it already."""
        return capital(self.pinned.removeprefix("Signals disagree: "))


def stored_outlook(each: Filter) -> FilterOutlook | None:
    """The filter's stored answer, or None; expects it to be joined or prefetched."""
    return getattr(each, "outlook", None)


LEFT_OUT = "left out until somebody looks"  # as evidence/filters.py says of a meal that may be a repeat


def has_doubtful_meals(row: FilterOutlook | None) -> bool:
    """A meal that may be a repeat is left out of this answer."""
    return row is not None and any(LEFT_OUT in str(note) for note in row.detail.get("notes") or ())


def fill_of(row: FilterOutlook | None) -> Quantiles | None:
    if row is None or row.fill_p10 is None or row.fill_p50 is None or row.fill_p90 is None:
        return None
    return Quantiles(p10=row.fill_p10, p50=row.fill_p50, p90=row.fill_p90)


def due_fill_of(row: FilterOutlook | None, build: FilterBuild | None, *, usual: float = USUAL_DUE_FILL) -> float:
    """The due line: what the answer was computed with, else the build's own, else the facility's."""
    answered = row.answer.get("due_fill") if row is not None else None
    return answered or (build.due_fill if build is not None else None) or usual


def outlook_words(row: FilterOutlook | None, *, today: date, due_fill: float) -> OutlookWords:
    """Words of a stored answer, said from today. None: nothing was ever computed."""
    if row is None:
        return OutlookWords(
            band=Band.UNKNOWN,
            sureness=Sureness.NONE,
            fill=fill_words(None),
            quantiles=None,
            due_fill=due_fill,
            due=DueWords("Not known.", ""),
            due_marked=(Marked("Not known.", True),),
            why="Not forecast yet: open it, and it will be.",
            season="",
            pinned="",
            stale="",
            as_of=None,
        )
    quantiles = fill_of(row)
    fill = fill_words(quantiles)
    due = _due(row, today)
    why = kept_together(row.sentence)
    if due.rest and due.rest.rstrip(".") in why:
        due = DueWords(due.lead, "")  # why it is not known is said once
    return OutlookWords(
        band=Band.named(row.band),
        sureness=Sureness.named(row.sureness),
        fill=FillWords(kept_together(fill.likely), kept_together(fill.span)),
        quantiles=quantiles,
        due_fill=due_fill,
        due=due,
        due_marked=marked_days(due.lead),
        why=why,
        season=kept_together(str(row.detail.get("season") or "")),
        pinned=kept_together(row.pinned),
        stale=_stale_words(row, today),
        as_of=row.as_of,
    )


def _due(row: FilterOutlook, today: date) -> DueWords:
    """As it was said when computed today, else said anew from its days: 'now' and 'near' move with the calendar."""
    sentence = str(row.detail.get("due_sentence", ""))
    if sentence and row.as_of == today:
        is_two_sentences = sentence.startswith(("Now. ", "Not known. "))
        lead, _, rest = sentence.partition(". " if is_two_sentences else ", ")
        mark = "" if not rest else "." if is_two_sentences else ","
        return DueWords(kept_together(lead + mark), kept_together(rest.removesuffix(".")))
    due = due_words(outlook_from(row), today)
    return DueWords(kept_together(due.lead), kept_together(due.rest.removesuffix(".")))


def _stale_words(row: FilterOutlook, today: date) -> str:
    if row.is_stale:
        return "Something was entered since; open it for the newest answer."
    if row.as_of < today:
        return kept_together(f"As of {day_words(row.as_of, today)}; open it for today’s.")
    return ""


_DAYS = re.compile(r"(Between |Not before |Within days of )(.+?)(?:( and )(.+?))?([,.]?)$")


def marked_days(lead: str) -> tuple[Marked, ...]:
    """'Between Mar 2026 and Aug 2027,' with its days marked; a lead without days is marked whole."""
    found = _DAYS.fullmatch(lead)
    if found is None:
        return (Marked(lead, True),)
    opening, first, between, second, end = found.groups()
    pieces = [Marked(opening, False), Marked(first, True)]
    if between:
        pieces += [Marked(between, False), Marked(second, True)]
    return tuple([*pieces, Marked(end, False)] if end else pieces)


def outlook_from(row: FilterOutlook) -> Outlook:
    """The stored answer as the forecast's own dataclass, without its trace."""
    answer: dict[str, Any] = row.answer
    quantiles = fill_of(row)
    reasons = tuple(str(reason) for reason in answer.get("reasons", ()))
    return Outlook(
        filter=str(answer.get("filter", "")),
        as_of=row.as_of,
        due_fill=answer.get("due_fill"),
        void_height_mm=row.detail.get("void_height_mm"),
        fill=quantiles,
        depth_mm=_quantiles(answer.get("depth_mm")),
        rod_mm=_quantiles(row.detail.get("rod_mm")),
        due_on=_days(answer.get("due_on")) if quantiles else None,
        full_on=_days(row.detail.get("full_on")),
        not_before=_day(answer.get("not_before")),
        sureness=row.sureness,  # type: ignore[arg-type]
        basis=str(answer.get("basis", "")),
        last_sounding_on=_day(row.detail.get("last_sounding_on")),
        last_sounding_fill=row.detail.get("last_sounding_fill"),
        last_emptied_on=_day(row.detail.get("last_emptied_on")),
        dry_feed_since_emptied_g=float(row.detail.get("dry_feed_since_emptied_g") or 0.0),
        next_reading=str(answer.get("next_reading") or ""),
        notes=reasons if quantiles is None else (),
        model_version=row.model_version,
    )


def _quantiles(given: dict[str, float | None] | None) -> Quantiles | None:
    if not given or any(given.get(name) is None for name in ("p10", "p50", "p90")):
        return None
    return Quantiles(p10=float(given["p10"]), p50=float(given["p50"]), p90=float(given["p90"]))  # type: ignore[arg-type]


def _days(given: dict[str, str | None] | None) -> DayQuantiles | None:
    if given is None:
        return None
    return DayQuantiles(p10=_day(given.get("p10")), p50=_day(given.get("p50")), p90=_day(given.get("p90")))


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
