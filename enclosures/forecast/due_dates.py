"""When a level is reached: first passage of each particle, and the quantiles of what the particles say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from .custom import doubted, has_custom
from .future_feed import BLOCK_DAYS, FutureLoad, future_loads_kg
from .history import History
from .inputs import DayQuantiles, Quantiles
from .posterior import Posterior
from .priors import Floats
from .run import unpack

LEVELS = (0.1, 0.5, 0.9)
NEVER = np.inf  # not within the horizon


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Projection:
    """Fill ahead: `fills` (1 + blocks, n) at `offsets` days after as_of, the first being as_of itself.

    `weights` are the belief's own, save in a first cycle, where a very long one is doubted (`custom`): use these, not the posterior's.
    """

    as_of: date
    offsets: np.ndarray
    fills: Floats
    weights: Floats


def project(posterior: Posterior, history: History, future: FutureLoad, *, rng: np.random.Generator) -> Projection:
    """Carry a belief through a future. Only this is rerun for a what-if: give it another `future`."""
    drawn = unpack(posterior.z, history)
    state = posterior.state.copy()
    loads = future_loads_kg(future, drawn, rng)
    per_fill = 1.0 / history.geometry.usable_void_l
    fills = np.empty((future.n_blocks + 1, drawn.n))
    np.multiply(state.volume_l, per_fill, out=fills[0])
    for row in range(future.n_blocks):
        days = int(future.days[row])
        if days:
            drawn.stepper.advance(state, days=days, load_kg=loads[row], temp_c=float(future.temp_c[row]))
        np.multiply(state.volume_l, per_fill, out=fills[row + 1])
    offsets = np.minimum(np.arange(future.n_blocks + 1) * BLOCK_DAYS, future.horizon_days)
    projection = Projection(as_of=history.as_of, offsets=offsets, fills=fills, weights=posterior.weights)
    if not has_custom(history, future):
        return projection
    days = first_passage_days(projection, history.geometry.due_fill, horizon_days=future.horizon_days)
    return replace(projection, weights=doubted(posterior.weights, days, history))


def believed_now(posterior: Posterior, history: History, future: FutureLoad, *, rng: np.random.Generator) -> Posterior:
    """The same particles with the weights of their projection: where a very long first cycle is doubted, not the posterior's own."""
    if not has_custom(history, future):
        return posterior
    return replace(posterior, weights=project(posterior, history, future, rng=rng).weights)


def first_passage_days(projection: Projection, level: float, *, horizon_days: int) -> Floats:
    """Days from as_of to the first at or above `level` per particle: 0 when already there, inf beyond the horizon."""
    above = projection.fills >= level
    reached = above.any(axis=0)
    row = np.argmax(above, axis=0)
    columns = np.arange(projection.fills.shape[1])
    before = np.maximum(row - 1, 0)
    low, high = projection.fills[before, columns], projection.fills[row, columns]
    start, end = projection.offsets[before], projection.offsets[row]
    share = np.where(row > 0, (level - low) / np.maximum(high - low, 1e-12), 0.0)
    days = np.ceil(start + np.clip(share, 0.0, 1.0) * (end - start) - 1e-9)
    return np.where(reached & (days <= horizon_days), days, NEVER)


def weighted_quantiles(values: Floats, weights: Floats, levels: Sequence[float] = LEVELS) -> tuple[float, ...]:
    """Smallest value with cumulative weight at or above each level (weights need not sum to one)."""
    order = np.argsort(values, kind="stable")
    cumulative = np.cumsum(np.asarray(weights, dtype=float)[order])
    goal = np.array(levels) * cumulative[-1]
    at = np.searchsorted(cumulative, goal - 1e-12 * cumulative[-1])
    return tuple(float(v) for v in np.asarray(values, dtype=float)[order][np.minimum(at, len(order) - 1)])


def quantiles(values: Floats, weights: Floats) -> Quantiles:
    p10, p50, p90 = weighted_quantiles(values, weights)
    return Quantiles(p10=p10, p50=p50, p90=p90)


def day_quantiles(days: Floats, weights: Floats, as_of: date) -> DayQuantiles:
    """Quantiles of first-passage days as dates; None beyond the horizon."""
    dates = [as_of + timedelta(days=int(d)) if np.isfinite(d) else None for d in weighted_quantiles(days, weights)]
    return DayQuantiles(p10=dates[0], p50=dates[1], p90=dates[2])


def chances_within(days: Floats, weights: Floats, horizons: Sequence[int]) -> tuple[tuple[int, float], ...]:
    """Probability of being due within each number of days."""
    total = float(weights.sum())
    return tuple((h, round(float(weights[days <= h].sum()) / total, 4)) for h in horizons)
