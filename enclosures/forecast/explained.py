"""Why a forecast says what it says: what the sludge came of, what the last rod reading did to the answer, what its filter teaches about
sludge per feed, and how far the usual changes would move the due date. From a belief already at hand, in a few hundredths of a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from . import priors
from .due_dates import quantiles
from .future_feed import FutureLoad
from .history import History
from .inputs import DayQuantiles, Outlook, Quantiles
from .likelihood import sounding_fit
from .posterior import Posterior
from .priors import Floats, Prior
from .run import Drawn, litter_kg, run_history, unpack
from .sureness import Cycle, cycle_of
from .tempering import effective_size, normalised
from .void_model import VoidState
from .what_if import Change, Shift, ahead_under, shift_of

YEAR_DAYS = 365
MOST_GUESSED = 0.1  # of a year's feed: with more of it imputed, two years are not compared
N_PRIOR = 300
LEAST_EFFECTIVE = 0.02  # of the particles: fewer speak for the belief without the reading, and it cannot be told
STEP_DAYS = 28
MANY_ANIMALS = 2
FEWER_SHARE = 3  # a third of them
METABOLIC = 0.75  # feed scales with mass to this: see stock.py and feed_level.py
LeverKind = Literal["ration", "animals", "cleanout"]


@dataclass(frozen=True, kw_only=True, slots=True)
class FeedSeen:
    """Dry feed of this filter, kg, since `since_on` (it was emptied or rebuilt, or the account opens), and of the last two years.

    `year_before_kg` None: the log does not reach so far back, or too much of one of the two years was not logged.
    `gap_*`: stretches that nobody logged since then, and what was assumed for them.
    """

    since_on: date
    is_emptied: bool
    offered_kg: float
    year_kg: float
    year_before_kg: float | None
    gap_days: int = 0
    gap_kg: float = 0.0
    gap_from: date | None = None  # of the longest
    gap_to: date | None = None
    n_gaps: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A part of what came into the void since then: a food class, "litter", "gaps", "unlogged" or "leftovers"; shares sum to one."""

    name: str
    share: float


@dataclass(frozen=True, kw_only=True, slots=True)
class LastReading:
    """The last sounding learnt from, of this void: today's fill with and without it. `without` None: it decides nearly alone."""

    on: date
    fill_read: float
    fill: Quantiles
    without: Quantiles | None


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Explained:
    """All of it. `litres_per_kg` and `usual_litres_per_kg`: settled sludge a year on per kg of dry feed eaten, as learnt here and as
    believed before any reading; None where nothing is fed."""

    feed: FeedSeen
    parts: tuple[Part, ...]
    reading: LastReading | None
    levers: tuple[Lever, ...]
    litres_per_kg: Quantiles | None
    usual_litres_per_kg: Quantiles | None


def explained_from(
    posterior: Posterior,
    history: History,
    future: FutureLoad,
    *,
    outlook: Outlook,
    seed: int,
    cleanable_on: date | None = None,
) -> Explained:
    """`outlook` as drawn from this belief with `seed`. `cleanable_on`: the first day on which a cleanout may be done (as_of when None)."""
    drawn = unpack(posterior.z, history)
    cycle = cycle_of(history, frozenset(posterior.left_out))
    learnt, usual = _litres_per_kg(posterior, history, future, drawn)
    return Explained(
        feed=_feed_seen(history, cycle),
        parts=_parts(posterior, history, drawn, cycle.opened_on),
        reading=_last_reading(posterior, history, drawn, cycle),
        levers=_levers(posterior, history, future, outlook=outlook, seed=seed, cleanable_on=cleanable_on),
        litres_per_kg=learnt,
        usual_litres_per_kg=usual,
    )


def animals_here_g(history: History) -> tuple[float, ...]:
    """Mass of each animal present at the end of as_of, grown to that day, g; empty when none is on record."""
    masses = history.load.stock.mass_g
    return () if not masses.size else tuple(float(mass) for mass in masses[:, -1] if mass > 0)


def metabolic_g(masses_g: tuple[float, ...]) -> float:
    """Sum of mass^0.75: what feed scales with."""
    return float(sum(mass**METABOLIC for mass in masses_g))


# What went in --------------------------------------------------------------------------------------------------------


def _feed_seen(history: History, cycle: Cycle) -> FeedSeen:
    load = history.load
    first = max((cycle.opened_on - history.start).days, 0)
    mine = [gap for gap in load.gaps if gap.to_on > cycle.opened_on]
    longest = max(mine, key=lambda gap: (gap.n_days, gap.from_on), default=None)
    return FeedSeen(
        since_on=cycle.opened_on,
        is_emptied=cycle.last_emptied_on is not None and cycle.last_emptied_on == cycle.opened_on,
        offered_kg=float(load.logged_kg[first:].sum()),
        year_kg=float(load.logged_kg[-YEAR_DAYS:].sum()),
        year_before_kg=_year_before_kg(history),
        gap_days=sum(gap.n_days for gap in mine),
        gap_kg=sum(gap.dry_g for gap in mine) / 1000.0,
        gap_from=longest.from_on if longest else None,
        gap_to=longest.to_on if longest else None,
        n_gaps=len(mine),
    )


def _year_before_kg(history: History) -> float | None:
    load = history.load
    fed = np.flatnonzero(load.logged_kg > 0)
    if not len(fed) or load.n_days - int(fed[0]) < 2 * YEAR_DAYS:
        return None
    n_classes = len(load.classes)
    for year in (slice(-YEAR_DAYS, None), slice(-2 * YEAR_DAYS, -YEAR_DAYS)):
        eaten = load.sources_kg[year]
        if eaten[:, n_classes:].sum() > MOST_GUESSED * eaten.sum():
            return None
    return float(load.logged_kg[-2 * YEAR_DAYS : -YEAR_DAYS].sum())


def _parts(posterior: Posterior, history: History, drawn: Drawn, opened_on: date) -> tuple[Part, ...]:
    """Mean shares of the dry load since the void was emptied, largest first."""
    rows = np.array([block.last_on > opened_on for block in history.blocks])
    if not rows.any():
        return ()
    noise = drawn.period[history.block_period[rows]]
    fed = (history.sources_kg[rows].T @ noise) * drawn.food * drawn.s
    n_classes = len(history.load.classes)
    amounts: dict[str, Floats] = {name: fed[i] for i, name in enumerate(history.load.classes)}
    amounts["gaps"] = fed[n_classes:].sum(axis=0)
    amounts["leftovers"] = priors.ETA_LEFTOVER * (history.leftover_kg[rows] @ noise)
    if history.unlogged_kg is not None and drawn.unlogged is not None:
        amounts["unlogged"] = (history.unlogged_kg[rows] @ noise) * drawn.s * drawn.unlogged
    if history.has_litter:
        amounts["litter"] = litter_kg(history, drawn)[rows].sum(axis=0)
    total = np.maximum(sum(amounts.values()), 1e-12)
    parts = [Part(name=name, share=float(posterior.weights @ (kg / total))) for name, kg in amounts.items()]
    return tuple(sorted((p for p in parts if p.share > 0), key=lambda part: -part.share))


def _litres_per_kg(
    posterior: Posterior, history: History, future: FutureLoad, drawn: Drawn
) -> tuple[Quantiles | None, Quantiles | None]:
    """Settled sludge after a year of steady feeding, per kg eaten, at the last year's water: learnt, and before any reading."""
    if not history.load.logged_kg.any():
        return None, None
    temp_c = round(float(history.load.temp_c[-YEAR_DAYS:].mean()) * 4) / 4
    prior = unpack(Prior.standard(history.names).draw(np.random.default_rng(1), N_PRIOR), history)
    return (
        quantiles(_litres_after_a_year(drawn, future, temp_c), posterior.weights),
        quantiles(_litres_after_a_year(prior, future, temp_c), np.ones(N_PRIOR)),
    )


def _litres_after_a_year(drawn: Drawn, future: FutureLoad, temp_c: float) -> Floats:
    per_eaten = drawn.s * (future.mix @ drawn.food[: len(future.mix)]) + priors.ETA_LEFTOVER * future.left_per_eaten
    steps = YEAR_DAYS // STEP_DAYS
    state = VoidState.empty(drawn.n)
    for _ in range(steps):
        drawn.stepper.advance(state, days=STEP_DAYS, load_kg=per_eaten / steps, temp_c=temp_c)
    return state.volume_l


# The last reading ----------------------------------------------------------------------------------------------------


def _last_reading(posterior: Posterior, history: History, drawn: Drawn, cycle: Cycle) -> LastReading | None:
    """The same particles with the last sounding taken out of their weights again; what it taught them comes back out."""
    left_out = frozenset(posterior.left_out)
    learnt = [
        (number, event)
        for number, event in enumerate(history.events)
        if event.sounding is not None and not event.sounding.is_disputed and event.sounding.entry not in left_out
    ]
    if not learnt or learnt[-1][1].on < cycle.opened_on or cycle.n_readings == 0:
        return None
    number, event = learnt[-1]
    assert event.sounding is not None
    _, volumes = run_history(history, drawn)
    at_pipe = drawn.gamma[event.cycle] * volumes[number] / event.geometry.usable_area_m2
    log_like, _ = sounding_fit(event.sounding, event.geometry, at_pipe, drawn.rod)
    weights = normalised(np.log(posterior.weights + 1e-300) - log_like)
    fills = posterior.state.volume_l / history.geometry.usable_void_l
    can_tell = effective_size(weights) >= LEAST_EFFECTIVE * posterior.n
    depths = event.sounding.depths_mm
    return LastReading(
        on=event.on,
        fill_read=sum(depths) / len(depths) / event.geometry.void_height_mm,
        fill=quantiles(fills, posterior.weights),
        without=quantiles(fills, weights) if can_tell else None,
    )


# What would change it ------------------------------------------------------------------------------------------------


def _levers(
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
    if cleaned_on < horizon_on:
        found.append(lever("cleanout", Change(is_cleaned=True, cleaned_on=cleaned_on)))
    return tuple(found)
