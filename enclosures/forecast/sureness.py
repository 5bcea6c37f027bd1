"""How sure, on what basis, and which reading would tell more: plain words from counts and dates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from .history import Event, History
from .inputs import DayQuantiles, Quantiles

Sureness = Literal["none", "rough", "fair", "good"]
STALE_DAYS = 365
SILENT_DAYS = 45
FRESH_DAYS = 60
GOOD_READINGS = 3
MOSTLY_GUESSED = 0.5  # share of this cycle's feed that was imputed
PARTLY_GUESSED = 0.25
WIDE_FILL = 0.2
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Cycle:
    """Facts since the void was last emptied or rebuilt, and counts over all that was learnt from."""

    n_readings: int
    last_reading_on: date | None
    opened_on: date
    is_start_known: bool
    n_soundings: int
    n_cleanouts: int
    last_emptied_on: date | None
    imputed_share: float
    has_feed: bool
    is_silent: bool = False  # running for weeks, and nothing says what went in
    has_contradiction: bool = False  # a sounding of this cycle does not fit the others
    is_last_far: bool = False  # the last sounding, lately read, lies far from what all else says


def cycle_of(history: History, left_out: frozenset[str]) -> Cycle:
    """Readings that tell of the present sludge: since the last full cleanout or rebuild, or a part cleanout nobody read after."""
    opened_on, opens_at, tells_from = history.start, 0, 0
    is_known = history.start_kind != "unknown"
    emptied = [c.on for c in history.evidence.cleanouts if c.outcome == "full" and c.on <= history.as_of] + (
        [history.start] if history.start_kind == "clean" else []
    )
    for number, event in enumerate(history.events):
        if event.kind == "rebuild" or (event.cleanout is not None and event.cleanout.outcome == "full"):
            opened_on, opens_at = event.on, number + 1
            is_known = is_known or event.cleanout is not None
        done = event.cleanout
        if done is not None and done.outcome == "part" and done.depth_after_mm is None:
            tells_from = number + 1
    used = [e for e in history.events if e.sounding is not None and _is_used(e, left_out)]
    mine = [e for e in history.events[max(opens_at, tells_from) :] if e.sounding is not None and _is_used(e, left_out)]
    first = max((opened_on - history.start).days, 0)
    load = history.load
    eaten = load.sources_kg[first:]
    guessed = float(eaten[:, len(load.classes) :].sum())
    return Cycle(
        n_readings=len(mine),
        last_reading_on=mine[-1].on if mine else None,
        opened_on=opened_on,
        is_start_known=is_known,
        n_soundings=len(used),
        n_cleanouts=sum(e.cleanout is not None and e.cleanout.outcome != "attempted" for e in history.events),
        last_emptied_on=max(emptied) if emptied else None,
        imputed_share=guessed / float(eaten.sum()) if eaten.sum() > 0 else 0.0,
        has_feed=bool(load.logged_kg.any()),
        is_silent=not load.logged_kg.any()
        and history.unlogged_kind == ""
        and (history.as_of - opened_on).days > SILENT_DAYS
        and bool(load.is_running[-1]),
        has_contradiction=any(
            e.sounding is not None and e.sounding.entry in left_out for e in history.events[max(opens_at, tells_from) :]
        ),
    )


def _is_used(event: Event, left_out: frozenset[str]) -> bool:
    assert event.sounding is not None
    return not event.sounding.is_disputed and event.sounding.entry not in left_out


def sureness_of(cycle: Cycle, *, as_of: date) -> Sureness:
    """none: no reading, and its start or what went in is not known; rough: no reading this cycle, or an old one; good: three, one
    fresh; fair: the rest.

    Never better than rough without any feed on record, when most feed was imputed, or when a sounding of this cycle is not explained or
    lies far off; never better than fair when a quarter was imputed.
    """
    if cycle.n_readings == 0 or cycle.last_reading_on is None:
        return "rough" if cycle.is_start_known and not cycle.is_silent else "none"
    age = (as_of - cycle.last_reading_on).days
    is_doubtful = cycle.has_contradiction or cycle.is_last_far
    if age > STALE_DAYS or not cycle.has_feed or cycle.imputed_share > MOSTLY_GUESSED or is_doubtful:
        return "rough"
    if cycle.n_readings >= GOOD_READINGS and age <= FRESH_DAYS and cycle.imputed_share <= PARTLY_GUESSED:
        return "good"
    return "fair"


def basis_of(cycle: Cycle) -> str:
    """ "2 soundings, 1 cleanout" of the whole history used, or that it rests on the feed alone."""
    parts = []
    if cycle.n_soundings:
        parts.append(f"{cycle.n_soundings} sounding{'s' if cycle.n_soundings > 1 else ''}")
    if cycle.n_cleanouts:
        parts.append(f"{cycle.n_cleanouts} cleanout{'s' if cycle.n_cleanouts > 1 else ''}")
    if parts:
        return ", ".join(parts)
    return "no readings yet: from feed alone" if cycle.has_feed else "no readings and no feed on record"


def day_words(day: date) -> str:
    """ "1 Jun 2026", whatever the server's locale."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def next_reading_words(
    cycle: Cycle, *, fill: Quantiles, due_fill: float, due_on: DayQuantiles, as_of: date, horizon_on: date
) -> str:
    """The one reading that would tell most, and when."""
    age = (as_of - cycle.last_reading_on).days if cycle.last_reading_on else None
    if cycle.has_contradiction:
        return "Repeat the sounding now: those of this void contradict each other."
    if cycle.is_last_far:
        return "Repeat the sounding now: the last one lies far from what all else on record says."
    if not cycle.is_start_known and age is None:
        return "One sounding now: how full the void was at the start is not known."
    if cycle.is_silent and age is None:
        return "One sounding now: nothing on record says what went in."
    if fill.p50 >= due_fill:
        if fill.p10 >= due_fill or (age is not None and age <= FRESH_DAYS):
            return "Read the rod before and after the cleanout; nothing else is needed."
        return "One sounding now would settle whether it is due."
    earliest = due_on.p10 or horizon_on
    recent = age is not None and age <= 30
    if not recent and (earliest - as_of).days <= 60:
        return "One sounding now would narrow this most."
    if (age is None or age > 90) and fill.p90 - fill.p10 > WIDE_FILL:
        return "One sounding now would narrow this most."
    halfway = as_of + (earliest - as_of) / 2
    by = min(as_of + timedelta(days=180), halfway, earliest - timedelta(days=30))
    by = max(by, as_of + timedelta(days=14))
    if (by - as_of).days <= 45:
        return f"Next sounding by {day_words(by)}."
    return f"Nothing needed before {MONTHS[by.month - 1]}; next sounding by {day_words(by)}."
