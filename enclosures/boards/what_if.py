"""What if: the stored answer and the answer under a change, side by side, in the same words. Nothing is recorded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from enclosures.boards.explained import ChangeLine, explanation_of
from enclosures.boards.fill_history import trace_of
from enclosures.boards.stored_outlook import OutlookWords, due_fill_of, outlook_from, outlook_words, stored_outlook
from enclosures.boards.what_if_besides import MEDIA_SAID, Moved, besides
from enclosures.boards.what_if_change import Present, asked_words
from enclosures.figures.fillbar import fillbar_svg
from enclosures.figures.what_if_fill import what_if_description, what_if_fill
from enclosures.forecast.history import History
from enclosures.forecast.inputs import Outlook
from enclosures.forecast.what_if import Change, Compared
from enclosures.models import Filter
from enclosures.verdicts.explained import shift_words
from enclosures.verdicts.words import (
    DueWords,
    FillWords,
    capital,
    day_words,
    due_words,
    fill_words,
    kept_together,
    listed,
    rounded,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Future:
    """One of the two answers. `due` range first; `full` the same for the grid, "" when far."""

    fill: FillWords
    bar: str
    due: DueWords
    chance_year: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WhatIf:
    """`then` None: nothing is tried yet. `chance_before` is of being due before the planned cleanout."""

    words: OutlookWords
    now: Future
    then: Future | None
    asked: str
    lead: str
    chance_before: str
    moved: tuple[Moved, ...]
    said: str
    figure: dict[str, Any]
    description: str
    offers: tuple[ChangeLine, ...]


def build_what_if(
    *,
    filter: Filter,
    history: History,
    present: Present,
    today: date,
    asked: Mapping[str, Any] | None = None,
    change: Change | None = None,
    compared: Compared | None = None,
) -> WhatIf:
    """`filter` with its answer joined, no older than the last record: "now" is that very answer. No query."""
    stored = stored_outlook(filter)
    due_fill = due_fill_of(stored, present.build, usual=filter.enclosure.facility.default_due_fill)
    words = outlook_words(stored, today=today, due_fill=due_fill)
    assert stored is not None
    now, trace = outlook_from(stored), trace_of(stored)
    now = replace(
        now, chance_due_within=tuple((int(d), float(c)) for d, c in stored.detail.get("chance_due_within", ()))
    )
    then = _unsaid_past(compared.then) if compared is not None else None
    cleaned_on = change.cleaning_on(today) if change is not None else None
    after = then.trace if then is not None else None
    explained = explanation_of(stored)
    return WhatIf(
        words=words,
        now=Future(
            fill=words.fill,
            bar=fillbar_svg(words.quantiles, due_fill),
            due=words.due,
            chance_year=_chance(now),
        ),
        then=None if then is None else _future(then, due_fill, today=today),
        asked="" if then is None or asked is None or change is None else _asked(asked, change, present, today=today),
        lead="" if compared is None else lead_words(compared, cleaned_on=cleaned_on, today=today),
        chance_before=_before_words(compared, cleaned_on, today=today),
        moved=()
        if asked is None or change is None
        else besides(asked, change, present, history=history, water_volume_l=filter.enclosure.water_volume_l),
        said=MEDIA_SAID if asked is not None and asked.get("media") else "",
        figure={}
        if trace is None
        else what_if_fill(
            trace,
            after,
            due_fill=due_fill,
            due_on=(now.due_on, then.due_on if then is not None else None),
            today=today,
            then_fill=then.fill if then is not None else None,
            cleaned_on=cleaned_on,
        ),
        description="" if trace is None else kept_together(what_if_description(trace, after, due_fill=due_fill)),
        offers=tuple(line for line in explained.changes if line.query) if explained else (),
    )


def _unsaid_past(outlook: Outlook) -> Outlook:
    """Since when it has been past the due line is no matter of a future that is only thought of."""
    return replace(outlook, last_sounding_fill=None)


def _future(then: Outlook, due_fill: float, *, today: date) -> Future:
    fill = fill_words(then.fill)
    due = due_words(replace(then, trace=None), today)
    return Future(
        fill=FillWords(kept_together(fill.likely), kept_together(fill.span)),
        bar=fillbar_svg(then.fill, due_fill),
        due=DueWords(kept_together(due.lead), kept_together(due.rest.removesuffix("."))),
        chance_year=_chance(then),
    )


def _chance(outlook: Outlook) -> str:
    """The chance to be due within a year, in tenths: nobody decides by more."""
    chance = next((share for days, share in outlook.chance_due_within if days == 365), None)
    return "" if chance is None else chance_words(chance)


def chance_words(chance: float) -> str:
    """'about 3 in 10', 'hardly any', 'almost sure'."""
    tenths = rounded(chance * 10)
    if chance < 0.03:
        return "hardly any"
    if chance > 0.97:
        return "almost sure"
    return (
        f"about {min(max(tenths, 1), 9)} in 10"
        if 0.05 <= chance <= 0.95
        else ("under 1 in 10" if chance < 0.5 else "over 9 in 10")
    )


def lead_words(compared: Compared, *, cleaned_on: date | None, today: date) -> str:
    """'Due about 3 months later.' 'Due at least 5 months later: beyond three years.'"""
    shift = compared.shift
    said = shift_words(shift)
    again = "again " if cleaned_on is not None else ""
    if shift.days is None:
        return "Due more than three years ahead, with or without it."
    if "hardly" in said:
        is_now = (
            compared.now.due_on is not None and compared.now.due_on.p50 is not None and compared.now.due_on.p50 <= today
        )
        return "It is due already; this changes little." if is_now and cleaned_on is None else capital(f"{said}.")
    return kept_together(f"Due {again}{said}.")


def _asked(asked: Mapping[str, Any], change: Change, present: Present, *, today: date) -> str:
    return capital(listed(asked_words(asked, change, present, today=today))) + "."


def _before_words(compared: Compared | None, cleaned_on: date | None, *, today: date) -> str:
    if compared is None or compared.due_before_chance is None or cleaned_on is None or cleaned_on <= today:
        return ""
    return kept_together(
        f"The chance that it is due before it is emptied on {day_words(cleaned_on, today)}: "
        f"{chance_words(compared.due_before_chance)}."
    )
