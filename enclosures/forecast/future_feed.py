"""The load ahead: the filter's own feeding level, its appetite by season, the growth of its stock, what is planned, and leaves.

Feed on a day is level x appetite(temperature) x (stock mass)^x x planned changes. Appetite and exponent are weighted by how well they fit
the filter's own fortnights; the level is last year's feed over last year's shape, so that season is counted once and a forecast made
in winter does not say "never".
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from . import priors
from .daily_load import DEFAULT_DRY_G_PER_METABOLIC_G, appetite, litter_weights
from .feed_level import LEVEL_DAYS, feed_levels, feed_shapes
from .history import History
from .inputs import FilterEvidence
from .priors import Floats
from .run import Drawn, leaf_swing
from .seasons_ahead import unfed_mask
from .stock import stock_for
from .temperature import temperatures_c
from .turnover import turnover_for

FIT_DAYS = 730
BLOCK_DAYS = 7
PERIOD = priors.NOISE_PERIOD_DAYS


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class FutureLoad:
    """What lies ahead of as_of, in blocks of a week.

    `feed_kg` (shapes, blocks): dry feed eaten under each shape; `shape_weights` how likely each is. `mix` (sources,) the share of each food
    class; `left_per_eaten` what is left in the water per unit eaten.
    """

    first_on: date
    days: np.ndarray  # running days per block
    temp_c: Floats
    feed_kg: Floats
    shape_weights: Floats
    mix: Floats
    left_per_eaten: float
    litter_base: Floats
    litter_autumn: Floats
    unlogged_kg: Floats | None
    level_spread: float
    habit_per_root_year: float
    horizon_days: int
    turnover: Floats | None = None  # (scenarios, blocks): factor on the feed where young animals may move on
    turnover_weights: Floats | None = None
    taken_for_granted: str = ""  # said where nobody planned it

    @property
    def n_blocks(self) -> int:
        return len(self.days)

    def scaled(self, factor: float) -> FutureLoad:
        """The same future with all feed times `factor`: a what-if."""
        unlogged = None if self.unlogged_kg is None else self.unlogged_kg * factor
        return replace(self, feed_kg=self.feed_kg * factor, unlogged_kg=unlogged)


def future_load(history: History, *, horizon_days: int) -> FutureLoad:
    """The load for horizon_days after history.as_of, from what was known then."""
    e, as_of, load = history.evidence, history.as_of, history.load
    back = min(load.n_days, FIT_DAYS)
    start = as_of - timedelta(days=back - 1)
    n_days = back + horizon_days
    temp_c = temperatures_c(e, start=start, n_days=n_days, as_of=as_of)
    stock = stock_for(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c)
    turnover = turnover_for(e, stock, n_days=n_days, as_of=as_of)
    if turnover is not None:
        stock = turnover.stock
    fed_days = ~unfed_mask(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c) & stock.is_present
    change = _planned(e, start=start, n_days=n_days)
    running = ~unfed_mask(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c, kinds=("drained",))
    shapes, prior = feed_shapes(e, temp_c, stock, fed_days * change)
    eaten = load.sources_kg.sum(axis=1)[-back:]
    weights, daily, level_spread, habit = feed_levels(e, shapes, prior, eaten, back, stock)
    ahead = slice(back, n_days)
    n_classes = len(load.classes)
    recent = load.sources_kg[-LEVEL_DAYS:]
    mix = recent[:, :n_classes].sum(axis=0)
    if mix.sum() <= 0:
        mix = load.sources_kg[:, :n_classes].sum(axis=0)
    offered = float(load.sources_kg[-LEVEL_DAYS:].sum())
    base, autumn = litter_weights(
        start,
        n_days,
        is_southern=e.is_southern,
        is_outdoors=not e.is_indoor,
        surface_m2=(e.surface_m2 or 0.0) * e.feed_share,
    )
    unlogged = None
    if history.unlogged_kind == "stock":
        grams = DEFAULT_DRY_G_PER_METABOLIC_G * stock.metabolic(0.75) * appetite(temp_c, stop_c=e.feeding_stops_below_c)
        unlogged = grams * fed_days * change * e.feed_share / 1000.0
    elif history.unlogged_kind == "readings":
        unlogged = np.full(n_days, float(history.unlogged_kg.sum()) / load.n_days) * change
    edges = np.arange(0, horizon_days, BLOCK_DAYS)
    is_on = running[ahead]

    def blocks(values: Floats) -> Floats:
        return np.add.reduceat(values[..., ahead] * is_on, edges, axis=-1)

    lengths = np.diff(np.append(edges, horizon_days))
    return FutureLoad(
        first_on=as_of + timedelta(days=1),
        days=np.add.reduceat(is_on.astype(int), edges),
        temp_c=np.round(np.add.reduceat(temp_c[ahead], edges) / lengths * 4) / 4,
        feed_kg=blocks(daily),
        shape_weights=weights,
        mix=mix / mix.sum() if mix.sum() > 0 else np.full(n_classes, 1.0 / n_classes),
        left_per_eaten=float(load.leftover_kg[-LEVEL_DAYS:].sum()) / offered if offered > 0 else 0.0,
        litter_base=blocks(base),
        litter_autumn=blocks(autumn),
        unlogged_kg=None if unlogged is None else blocks(unlogged),
        level_spread=level_spread,
        habit_per_root_year=habit,
        horizon_days=horizon_days,
        turnover=None if turnover is None else np.add.reduceat(turnover.factors, edges, axis=-1) / lengths,
        turnover_weights=None if turnover is None else turnover.weights,
        taken_for_granted="" if turnover is None else turnover.words,
    )


def future_loads_kg(future: FutureLoad, drawn: Drawn, rng: np.random.Generator) -> Floats:
    """Dry solids reaching the void per block and particle (blocks, n)."""
    feed, litter = future_parts_kg(future, drawn, rng)
    if litter is not None:
        feed += litter
    return feed


def future_parts_kg(future: FutureLoad, drawn: Drawn, rng: np.random.Generator) -> tuple[Floats, Floats | None]:
    """The same in its two parts, from feed and from leaves (None where there are none)."""
    n, n_blocks = drawn.n, future.n_blocks
    shape_of = _spread_out(future.shape_weights, n, rng)
    n_knots = (n_blocks * BLOCK_DAYS) // PERIOD + 2
    steps = rng.standard_normal((n_knots, n)) * (future.habit_per_root_year * np.sqrt(PERIOD / 365.25))
    steps[0] = rng.standard_normal(n) * future.level_spread
    habit = np.cumsum(steps, axis=0)
    noise = rng.standard_normal((n_knots, n)) * drawn.noise_sd - 0.5 * drawn.noise_sd**2
    period = (np.arange(n_blocks) * BLOCK_DAYS + BLOCK_DAYS // 2) // PERIOD
    swing = np.exp(habit + noise)
    mix = future.mix @ drawn.food[: len(future.mix)]
    per_eaten = drawn.s * mix + priors.ETA_LEFTOVER * future.left_per_eaten
    out = future.feed_kg.T[:, shape_of]
    out *= per_eaten
    if future.unlogged_kg is not None and drawn.unlogged is not None:
        out += future.unlogged_kg[:, None] * (drawn.s * drawn.unlogged)
    out *= swing[period]
    if future.turnover is not None and future.turnover_weights is not None:
        out *= future.turnover.T[:, _spread_out(future.turnover_weights, n, rng)]
    if not (future.litter_base.any() or future.litter_autumn.any()):
        return out, None
    litter = future.litter_base[:, None] * (drawn.litter_g * (1.0 - drawn.autumn))
    litter += future.litter_autumn[:, None] * (drawn.litter_g * drawn.autumn)
    if future.litter_autumn.any():  # outdoors
        litter *= leaf_swing(drawn.noise_sd, rng.standard_normal((n_knots, n)))[period]
    return out, litter


def _spread_out(weights: Floats, n: int, rng: np.random.Generator) -> np.ndarray:
    """n shape numbers in proportion to their weights, in random order."""
    at = (rng.random() + np.arange(n)) / n
    index = np.minimum(np.searchsorted(np.cumsum(weights), at), len(weights) - 1)
    return rng.permutation(index)


def _planned(evidence: FilterEvidence, *, start: date, n_days: int) -> Floats:
    """Product of planned factors in force, per day."""
    out = np.ones(n_days)
    for change in evidence.planned:
        at = max((change.on - start).days, 0)
        if at < n_days:
            out[at:] *= max(change.feed_factor, 0.0)
    return out
