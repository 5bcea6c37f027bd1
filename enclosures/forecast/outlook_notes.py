"""What must be said beside an outlook: unknown starts, gaps, readings left out, dates split by a winter. Plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from .history import History
from .priors import Floats
from .sureness import day_words

MIN_HUMP = 0.12
VALLEY_DAYS = 60
VALLEY_SHARE = 0.3  # of the sixty days either side


def unexplained_words(history: History, left_out: frozenset[str], *, since: date | None = None) -> Iterator[str]:
    """Readings that were left out, of the whole history or from `since` on."""
    for event in history.events:
        if since is not None and event.on < since:
            continue
        if event.sounding is not None and event.sounding.entry in left_out:
            mm = sum(event.sounding.depths_mm) / len(event.sounding.depths_mm)
            yield (
                f"The model does not explain the sounding of {day_words(event.on)} ({mm:.0f} mm); "
                "it was left out. Repeat it if you can."
            )
        done = event.cleanout
        if done is None:
            continue
        named = {
            "before": f"depth before of {done.depth_before_mm or 0:.0f} mm",
            "after": f"depth after of {done.depth_after_mm or 0:.0f} mm",
            "slurry": f"{done.slurry_l or 0:.0f} L of slurry",
        }
        for label, words in named.items():
            if f"{done.entry}:{label}" in left_out:
                yield f"The model does not explain the {words} at the cleanout of {day_words(event.on)}; it was left out."


def notes_of(history: History, due: Floats, weights: Floats) -> Iterator[str]:
    e, load = history.evidence, history.load
    if history.start_kind == "unknown" and not any(
        event.cleanout is not None and event.cleanout.outcome == "full" for event in history.events
    ):
        since = history.silent_from or history.start
        yield (
            f"How full the void was on {day_words(history.start)} is not known"
            + (f": nothing is on record from {day_words(since)} to then." if history.silent_from else ".")
        )
    if not load.logged_kg.any():
        if history.unlogged_kind == "stock":
            yield "No feed on record: the load is guessed from the animals' mass."
        elif history.unlogged_kind == "readings":
            yield "No feed on record: the rate is taken from the readings alone."
        else:
            yield "No feed on record: only dust, plants and leaves are counted."
    if load.gaps:
        yield _gap_note(load.gaps)
    if not load.is_running[-1]:
        yield "Drained: nothing is added until it is filled again."
    if not e.is_indoor and e.surface_m2 is None:
        yield "The water's surface is not on record, so leaves are not counted."
    for event in history.events:
        if event.sounding is not None and event.sounding.is_disputed:
            yield f"The sounding of {day_words(event.on)} was taken while signals disagreed, so it taught nothing."
        if event.kind == "rebuild" and not _was_cleaned(history, event.on):
            yield f"The rebuild of {day_words(event.on)} has no cleanout beside it: what was left in is guessed."
    if not e.is_indoor and (split := _valley(due, weights, history.as_of)):
        yield split


def _was_cleaned(history: History, on: date) -> bool:
    return any(e.cleanout is not None and e.cleanout.outcome != "attempted" and e.on == on for e in history.events)


def _gap_note(gaps) -> str:
    days = sum(gap.n_days for gap in gaps)
    if len(gaps) == 1:
        span = f"from {day_words(gaps[0].from_on)} to {day_words(gaps[0].to_on)}"
    else:
        span = f"in {len(gaps)} stretches, the longest from " + " to ".join(
            day_words(d) for d in max((g.n_days, g.from_on, g.to_on) for g in gaps)[1:]
        )
    return f"Feed was not logged {span} ({days} days in all); the usual amount was assumed."


def _valley(due: Floats, weights: Floats, as_of: date) -> str | None:
    """ "Before winter or after March": said when due dates fall in two humps with next to nothing between."""
    reached = np.isfinite(due) & (due > 0)
    if float(weights[reached].sum()) < 2 * MIN_HUMP:
        return None
    order = np.argsort(due[reached], kind="stable")
    days = due[reached][order]
    share = np.concatenate([[0.0], np.cumsum(weights[reached][order])])

    def by(day: Floats) -> Floats:
        return share[np.searchsorted(days, day, side="right")]

    starts = np.arange(0, int(days[-1]), 7, dtype=float)
    inside = by(starts + VALLEY_DAYS) - by(starts)
    before, after = by(starts) - by(starts - VALLEY_DAYS), by(starts + 2 * VALLEY_DAYS) - by(starts + VALLEY_DAYS)
    is_valley = (
        (inside <= VALLEY_SHARE * np.minimum(before, after))
        & (by(starts) >= MIN_HUMP)
        & (share[-1] - by(starts + VALLEY_DAYS) >= MIN_HUMP)
    )
    if not is_valley.any():
        return None
    start = float(starts[is_valley][0])
    first = as_of + timedelta(days=int(days[np.searchsorted(days, start, side="right") - 1]))
    then = as_of + timedelta(days=int(days[np.searchsorted(days, start + VALLEY_DAYS, side="right")]))
    return f"Due before about {day_words(first)} or after {day_words(then)}, hardly between: little is fed then."
