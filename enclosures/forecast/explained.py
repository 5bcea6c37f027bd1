"""Why a forecast says what it says: what the sludge came of, what the last rod reading did to the answer, what its filter teaches about
sludge per feed, and how far the usual changes would move the due date. From a belief already at hand, in a few hundredths of a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from . import priors
from .due_dates import believed_now, quantiles
from .future_feed import FutureLoad
from .history import History
from .inputs import Outlook, Quantiles
from .levers import Lever, levers_from
from .likelihood import sounding_fit
from .outlook_notes import unexplained_words
from .posterior import Posterior
from .priors import Floats, Prior
from .run import Drawn, litter_kg, run_history, unpack
from .sureness import Cycle, cycle_of
from .tempering import effective_size, normalised
from .void_model import VoidState

YEAR_DAYS = 365
MOST_GUESSED = 0.1  # of a year's feed: with more of it imputed, two years are not compared
N_PRIOR = 300
LEAST_EFFECTIVE = 0.02  # of the particles: fewer speak for the belief without the reading, and it cannot be told
STEP_DAYS = 28


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
class Explained:
    """All of it. `litres_per_kg` and `usual_litres_per_kg`: settled sludge a year on per kg of dry feed eaten, as learnt here and as
    believed before any reading; None where nothing is fed. `unexplained` and `disputed_on`: readings of this void not learnt from."""

    feed: FeedSeen
    parts: tuple[Part, ...]
    reading: LastReading | None
    levers: tuple[Lever, ...]
    unexplained: tuple[str, ...]
    disputed_on: tuple[date, ...]
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
    posterior = believed_now(posterior, history, future, rng=np.random.default_rng(seed))
    drawn = unpack(posterior.z, history)
    cycle = cycle_of(history, frozenset(posterior.left_out))
    learnt, usual = _litres_per_kg(posterior, history, future, drawn)
    return Explained(
        feed=_feed_seen(history, cycle),
        parts=_parts(posterior, history, drawn, cycle.opened_on),
        reading=_last_reading(posterior, history, drawn, cycle),
        levers=levers_from(posterior, history, future, outlook=outlook, seed=seed, cleanable_on=cleanable_on),
        unexplained=tuple(unexplained_words(history, frozenset(posterior.left_out), since=cycle.opened_on)),
        disputed_on=tuple(
            event.on
            for event in history.events
            if event.sounding is not None and event.sounding.is_disputed and event.on > cycle.opened_on
        ),
        litres_per_kg=learnt,
        usual_litres_per_kg=usual,
    )


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
