"""How far the usual changes would move the due date: half the ration, fewer animals, a cleanout. And what feed means in animals."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from .future_feed import FutureLoad
from .history import History
from .inputs import DayQuantiles, Outlook
from .posterior import Posterior
from .what_if import Change, Shift, ahead_under, shift_of

CLEAN_UNDER = 0.1  # of the void: under it nobody would empty it, so nothing is said of that
MANY_ANIMALS = 2  # fewer are none to choose from
FEWER_SHARE = 3  # a third of them
METABOLIC = 0.75  # feed scales with mass to this: see stock.py and feed_level.py
LeverKind = Literal["ration", "animals", "cleanout"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Lever:
    """One usual change, and what it does to the due date. `n` of `of` animals fewer; `on` the day of a cleanout."""

    kind: LeverKind
    shift: Shift
    due_on: DayQuantiles
    not_before: date | None
    n: int = 0
    of: int = 0
    on: date | None = None


def animals_here_g(history: History) -> tuple[float, ...]:
    """Mass of each animal present at the end of as_of, grown to that day, g; empty when none is on record."""
    masses = history.load.stock.mass_g
    return () if not masses.size else tuple(float(mass) for mass in masses[:, -1] if mass > 0)


def metabolic_g(masses_g: tuple[float, ...]) -> float:
    """Sum of mass^0.75: what feed scales with."""
    return float(sum(mass**METABOLIC for mass in masses_g))


def levers_from(
    posterior: Posterior,
    history: History,
    future: FutureLoad,
    *,
    outlook: Outlook,
    seed: int,
    cleanable_on: date | None,
) -> tuple[Lever, ...]:
    """Half the ration, a third of the animals fewer, a cleanout; what changes nothing any more (it is due) is left out."""
    as_of = history.as_of
    horizon_on = as_of + timedelta(days=future.horizon_days)

    def lever(kind: LeverKind, change: Change, *, n: int = 0, of: int = 0) -> Lever:
        due_on = ahead_under(posterior, history, future, change=change, seed=seed).due_on(as_of)
        is_open = None in (due_on.p10, due_on.p50, due_on.p90)
        return Lever(
            kind=kind,
            shift=shift_of(outlook.due_on, due_on, horizon_on=horizon_on),
            due_on=due_on,
            not_before=horizon_on if is_open else None,
            n=n,
            of=of,
            on=change.cleaning_on(as_of),
        )

    found = []
    is_due = outlook.due_on is not None and outlook.due_on.p50 is not None and outlook.due_on.p50 <= as_of
    is_fed = bool(future.feed_kg.any()) or (future.unlogged_kg is not None and bool(future.unlogged_kg.any()))
    if is_fed and not is_due:
        found.append(lever("ration", Change(feed_factor=0.5)))
        here = animals_here_g(history)
        if len(here) >= MANY_ANIMALS:
            n = max(round(len(here) / FEWER_SHARE), 1)
            found.append(lever("animals", Change(feed_factor=1.0 - n / len(here)), n=n, of=len(here)))
    cleaned_on = max(cleanable_on or as_of, as_of)
    is_clean = outlook.fill is not None and outlook.fill.p50 < CLEAN_UNDER
    if cleaned_on < horizon_on and not is_clean:
        found.append(lever("cleanout", Change(is_cleaned=True, cleaned_on=cleaned_on)))
    return tuple(found)


def feed_factor(
    here_g: tuple[float, ...],
    *,
    leave_n: int = 0,
    leave_g: float | None = None,
    come_n: int = 0,
    come_g: float | None = None,
) -> float:
    """Feed then over feed now when some of those here leave and others like them come; each fed in proportion to mass^0.75.

    `leave_g` and `come_g` are the mass of one of them, g (> 0); None: like those here. Raises ValueError, in a sentence, where nobody is on
    record here or more would leave than there are.
    """
    if not leave_n and not come_n:
        return 1.0
    if not here_g:
        raise ValueError(
            "No animals are on record here today, so more or fewer of them cannot be reckoned; use the ration."
        )
    if leave_n > len(here_g):
        raise ValueError(f"Only {len(here_g)} live here.")
    fed = metabolic_g(here_g)
    mean = fed / len(here_g)
    gone = leave_n * (mean if leave_g is None else leave_g**METABOLIC)
    if leave_n == len(here_g):
        gone = fed
    if gone > fed * (1 + 1e-9):
        raise ValueError("So many of that size weigh more than all that live here.")
    come = come_n * (mean if come_g is None else come_g**METABOLIC)
    return max(fed - gone, 0.0) / fed + come / fed
