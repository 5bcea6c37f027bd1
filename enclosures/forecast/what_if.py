"""What if: the same belief carried through another future, beside the one that is expected. No record is touched.

Both futures run the same particles with the same random numbers, so that the difference between the two answers is the change and not chance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from ..estimates.settling import capture_share
from . import priors
from .due_dates import (
    Projection,
    believed_now,
    chances_within,
    day_quantiles,
    first_passage_days,
    weighted_quantiles,
)
from .future_feed import FutureLoad, future_load, future_parts_kg
from .history import History, history_for
from .inputs import DayQuantiles, FilterEvidence, FoodClass, Outlook, Quantiles, Trace
from .outlook import CHANCE_DAYS, outlook_from, rng_for, usable, without_geometry
from .posterior import Posterior, posterior_for
from .priors import COMPONENTS, Floats, Prior
from .run import Drawn, unpack

BLOCK_DAYS = 7


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """What is tried out, from `on` (the day after as_of when None). Leave out what stays as it is.

    feed_factor      all feed times this (0-20): more or fewer animals, another ration;
    food_class       the whole diet of another class, the same dry grams;
    void_height_mm   another void height (> 0);
    upflow_m_per_h   before and after, for another pump: what settles changes with the speed of rise;
    is_cleaned       a full cleanout on `cleaned_on` (on `on` when None); the dates then count from that day.
    """

    on: date | None = None
    feed_factor: float = 1.0
    food_class: FoodClass | None = None
    void_height_mm: float | None = None
    upflow_m_per_h: tuple[float, float] | None = None
    is_cleaned: bool = False
    cleaned_on: date | None = None

    def cleaning_on(self, as_of: date) -> date | None:
        """The day of the cleanout; None without one."""
        return (self.cleaned_on or self.on or as_of) if self.is_cleaned else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Shift:
    """How far the likeliest due date moves, days (later is positive). `is_at_least`: one of the two lies beyond the horizon, so that
    only the least it moves is known. `days` None: both do, or one and nothing can be said."""

    days: int | None
    is_at_least: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Compared:
    """The two answers side by side, and the change of the median due date in days (None where one lies beyond the horizon).

    `due_before_chance`: for a cleanout, the chance that the void is due before it.
    """

    now: Outlook
    then: Outlook
    later_by_days: int | None
    due_before_chance: float | None = None

    @property
    def shift(self) -> Shift:
        return shift_of(self.now.due_on, self.then.due_on, horizon_on=self.now.not_before or self.then.not_before)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Ahead:
    """A belief carried through a changed future: days to due and full per particle, counted from as_of (from a cleanout on, if there is
    one), and `due_before` it."""

    projection: Projection
    before_cleaning: Projection | None
    height_mm: float
    due_days: Floats
    full_days: Floats
    due_before: float | None

    def due_on(self, as_of: date) -> DayQuantiles:
        return day_quantiles(self.due_days, self.projection.weights, as_of)


def what_if(
    evidence: FilterEvidence,
    *,
    as_of: date,
    change: Change,
    n_particles: int = 1000,
    horizon_days: int = 1095,
    shared: Prior | None = None,
) -> Compared:
    """The outlook as things stand and under one change. Raises ValueError for a change that cannot be, in a plain sentence."""
    check_change(change, as_of=as_of, horizon_days=horizon_days)
    history = history_for(usable(evidence), as_of=as_of)
    if history is None:
        same = without_geometry(evidence, as_of=as_of)
        return Compared(now=same, then=same, later_by_days=None)
    rng = rng_for(evidence.filter, as_of)
    posterior = posterior_for(history, rng=rng, n_particles=n_particles, shared=shared)
    return what_if_from(posterior, history, change=change, horizon_days=horizon_days)


def what_if_from(
    posterior: Posterior,
    history: History,
    *,
    change: Change,
    horizon_days: int = 1095,
    seed: int = 18,
    future: FutureLoad | None = None,
) -> Compared:
    """The same from a belief already at hand, in a few hundredths of a second.

    `seed` as the outlook was drawn with (`seed_for`) makes `now` that very outlook.
    """
    future = future_load(history, horizon_days=horizon_days) if future is None else future
    now = outlook_from(posterior, history, future, rng=np.random.default_rng(seed), horizon_days=horizon_days)
    believed = believed_now(posterior, history, future, rng=np.random.default_rng(seed))
    ahead = ahead_under(believed, history, future, change=change, seed=seed)
    weights, as_of = believed.weights, history.as_of
    due_on = ahead.due_on(as_of)
    horizon_on = as_of + timedelta(days=horizon_days)
    is_at_once = change.on is None or change.on <= as_of
    then = replace(
        now,
        void_height_mm=ahead.height_mm if is_at_once else now.void_height_mm,
        fill=_quantiles(ahead.projection.fills[0], weights),
        due_on=due_on,
        full_on=day_quantiles(ahead.full_days, weights, as_of),
        not_before=horizon_on if None in (due_on.p10, due_on.p50, due_on.p90) else None,
        chance_due_within=chances_within(ahead.due_days, weights, CHANCE_DAYS),
        trace=_trace_ahead(now.trace, ahead, as_of),
        next_reading="",
    )
    both = (now.due_on and now.due_on.p50, due_on.p50)
    later = (both[1] - both[0]).days if both[0] and both[1] else None
    return Compared(now=now, then=then, later_by_days=later, due_before_chance=ahead.due_before)


def ahead_under(posterior: Posterior, history: History, future: FutureLoad, *, change: Change, seed: int = 18) -> Ahead:
    """What the change does to the days until due, and no more: one run of the future. Raises ValueError as `check_change`.

    `posterior` as `believed_now` returns it: a doubt of the present future stays as it is under another.
    """
    horizon_days = future.horizon_days
    check_change(change, as_of=history.as_of, horizon_days=horizon_days)
    projection, before, height_mm = _projected(posterior, history, future, change, rng=np.random.default_rng(seed))
    due_fill = history.geometry.due_fill
    counted, due_before = projection, None
    if before is not None:
        cleaned_on = change.cleaning_on(history.as_of)
        assert cleaned_on is not None
        at = (cleaned_on - history.as_of).days
        early = first_passage_days(before, due_fill, horizon_days=horizon_days)
        due_before = float(posterior.weights[early < at].sum() / posterior.weights.sum())
        counted = _from_row(projection, at)
    return Ahead(
        projection=projection,
        before_cleaning=before,
        height_mm=height_mm,
        due_days=first_passage_days(counted, due_fill, horizon_days=horizon_days),
        full_days=first_passage_days(counted, 1.0, horizon_days=horizon_days),
        due_before=due_before,
    )


def shift_of(now: DayQuantiles | None, then: DayQuantiles | None, *, horizon_on: date | None) -> Shift:
    """From the one median to the other; where one lies beyond the horizon, the least that it moves."""
    first, second = now and now.p50, then and then.p50
    if first and second:
        return Shift(days=(second - first).days)
    if horizon_on is None or (first is None and second is None):
        return Shift(days=None)
    if first:
        return Shift(days=(horizon_on - first).days, is_at_least=True)
    assert second is not None
    return Shift(days=(second - horizon_on).days, is_at_least=True)


def check_change(change: Change, *, as_of: date, horizon_days: int) -> None:
    """Raises ValueError, in a sentence for the person who typed it."""
    last_on = as_of + timedelta(days=horizon_days)
    if change.on is not None and not as_of <= change.on <= last_on:
        raise ValueError("The day of the change must be today or later, and within the next three years.")
    cleaned_on = change.cleaning_on(as_of)
    if cleaned_on is not None and not as_of <= cleaned_on <= last_on:
        raise ValueError("The day of the cleanout must be today or later, and within the next three years.")
    if not (np.isfinite(change.feed_factor) and 0 <= change.feed_factor <= 20):
        raise ValueError("The feed can be nothing or up to twenty times what it is now.")
    if change.void_height_mm is not None and not (np.isfinite(change.void_height_mm) and change.void_height_mm > 0):
        raise ValueError("The height of the void must be more than 0 mm.")
    if change.upflow_m_per_h is not None and not all(np.isfinite(v) and v > 0 for v in change.upflow_m_per_h):
        raise ValueError("Both speeds of rise must be more than 0 m/h.")
    if change.food_class is not None and change.food_class not in priors.FOOD_OFFSET:
        raise ValueError(f"“{change.food_class}” is not a class of food.")


def _projected(
    posterior: Posterior, history: History, future: FutureLoad, change: Change, *, rng: np.random.Generator
) -> tuple[Projection, Projection | None, float]:
    """Fill ahead under the change, as share of the void height in force by then; and, with a cleanout, the fill up to it."""
    drawn = unpack(posterior.z, history)
    feed, litter = future_parts_kg(future, drawn, rng)  # the first draws are those of the future as it stands
    own_rng = np.random.default_rng(rng.integers(2**32))
    row_at = _row_on(change.on, history.as_of)
    feed[row_at:] *= _feed_factor(future, drawn, change, own_rng)
    loads = feed if litter is None else feed + litter
    if change.upflow_m_per_h is not None:
        before, after = change.upflow_m_per_h
        loads[row_at:] *= capture_share(after) / capture_share(before)
    cleaned_on = change.cleaning_on(history.as_of)
    clean_row = None if cleaned_on is None else min(_row_on(cleaned_on, history.as_of), future.n_blocks - 1)
    kept = None if clean_row is None else COMPONENTS["resid_full"].value(own_rng.standard_normal(drawn.n))
    geometry = history.geometry
    height_mm = change.void_height_mm or geometry.void_height_mm
    litres = np.full(future.n_blocks + 1, geometry.usable_void_l)
    litres[row_at:] *= height_mm / geometry.void_height_mm
    offsets = np.minimum(np.arange(future.n_blocks + 1) * BLOCK_DAYS, future.horizon_days)
    state = posterior.state.copy()
    fills = np.empty((future.n_blocks + 1, drawn.n))
    fills[0] = state.volume_l / litres[0]
    before_cleaning = None
    for row in range(future.n_blocks):
        if kept is not None and row == clean_row:
            before_cleaning = Projection(
                as_of=history.as_of,
                offsets=offsets[: row + 1],
                fills=fills[: row + 1].copy(),
                weights=posterior.weights,
            )
            state.keep(kept)
            fills[row] = state.volume_l / litres[row]
        if days := int(future.days[row]):
            drawn.stepper.advance(state, days=days, load_kg=loads[row], temp_c=float(future.temp_c[row]))
        fills[row + 1] = state.volume_l / litres[row + 1]
    projection = Projection(as_of=history.as_of, offsets=offsets, fills=fills, weights=posterior.weights)
    return projection, before_cleaning, height_mm


def _row_on(day: date | None, as_of: date) -> int:
    """The block of a week that begins on a day or next after it."""
    return 0 if day is None else -(-(day - as_of).days // BLOCK_DAYS)


def _feed_factor(future: FutureLoad, drawn: Drawn, change: Change, rng: np.random.Generator) -> Floats | float:
    """On the feed's part of the load; leaves fall as they do."""
    if change.food_class is None:
        return change.feed_factor
    return change.feed_factor * _food_ratio(change.food_class, future, drawn, rng)


def _food_ratio(food_class: FoodClass, future: FutureLoad, drawn: Drawn, rng: np.random.Generator) -> Floats:
    """What a gram of the new diet leaves over a gram of the present one, per particle; leftovers stay as they are."""
    key = f"food:{food_class}"
    if food_class == priors.REFERENCE_FOOD:
        new = priors.food_factor(food_class, None)
    else:
        z = drawn.component(key) if key in drawn.column else rng.standard_normal(drawn.n)
        new = priors.food_factor(food_class, z)
    left = priors.ETA_LEFTOVER * future.left_per_eaten
    present = future.mix @ drawn.food[: len(future.mix)]
    return (drawn.s * new + left) / np.maximum(drawn.s * present + left, 1e-12)


def _from_row(projection: Projection, at: int) -> Projection:
    row = -(-at // BLOCK_DAYS)
    return replace(projection, offsets=projection.offsets[row:], fills=projection.fills[row:])


def _quantiles(values: Floats, weights: Floats) -> Quantiles:
    p10, p50, p90 = weighted_quantiles(values, weights)
    return Quantiles(p10=p10, p50=p50, p90=p90)


def _trace_ahead(trace: Trace | None, ahead: Ahead, as_of: date) -> Trace | None:
    """The trace behind as it was, and the changed one ahead, month by month; a cleanout stands twice, before and after."""
    if trace is None:
        return None
    projection, before = ahead.projection, ahead.before_cleaning
    n_behind = sum(not is_ahead for is_ahead in trace.is_ahead)
    points = [(row, projection.fills[row]) for row in range(4, len(projection.offsets), 4)]
    if before is not None:
        row = len(before.offsets) - 1
        points = [point for point in points if point[0] != row] + [
            (row, before.fills[row]),
            (row, projection.fills[row]),
        ]
        points.sort(key=lambda point: point[0])
    lines = [weighted_quantiles(fills, projection.weights) for _, fills in points]
    days = tuple(as_of + timedelta(days=int(projection.offsets[row])) for row, _ in points)

    def joined(old: tuple, position: int) -> tuple:
        return old[:n_behind] + tuple(round(line[position], 4) for line in lines)

    return Trace(
        days=trace.days[:n_behind] + days,
        p10=joined(trace.p10, 0),
        p50=joined(trace.p50, 1),
        p90=joined(trace.p90, 2),
        is_ahead=trace.is_ahead[:n_behind] + (True,) * len(points),
    )
