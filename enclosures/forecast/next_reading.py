"""How much one sounding today would tell: the range of the due date now, and the range to expect once the rod has been read.

The particles themselves say what the rod might read. Each such reading, weighed back over all particles, leaves a narrower range; the
mean over the readings that might come is what a sounding is worth before it is taken. Filters are ranked by it when somebody has time
for one reading.

**Which pipe first.** Not the one with the widest range: a filter whose whole range lies two years ahead may be wide by years, and nobody
has to decide anything about it today. What a reading is for is the next decision (empty it on the coming crew day, or leave it), and
that is about days soon to come. A filter in use is sounded about every half year anyway, and whatever is decided after that reading can
rest on it. So a day of the range counts whole if it is today, half if it lies half a year ahead, a quarter at a year: it loses half with
every ordinary interval between soundings (`counted_days`). The worth of a reading is the part of the range, so counted, that it is
expected to take away. A void that is surely due has no range left, so a reading of it is worth nothing: it wants emptying, not reading.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from .due_dates import first_passage_days, project
from .future_feed import FutureLoad, future_load
from .history import History, history_for
from .inputs import FilterEvidence
from .likelihood import rod_spread_mm, t4_log_pdf, t4_upper_tail
from .outlook import rng_for, usable
from .posterior import Posterior, posterior_for
from .priors import Floats, Prior
from .run import unpack

N_READINGS = 64  # how many readings that might come are tried
RANGE = (0.1, 0.9)
DAYS_PER_MONTH = 365.25 / 12
HALF_COUNTS_DAYS = 180.0  # the ordinary interval between two soundings: common practice, no source
LEAST_SHARE = 0.1  # of the range: less is no gain that anybody would notice
LEAST_WORTH_DAYS = 7.0  # counted days: less is not worth the walk; judgement


@dataclass(frozen=True, kw_only=True, slots=True)
class Narrowing:
    """Width of the 80 % range of the due date, now and as expected after one sounding today.

    In days; dates beyond the horizon count as the horizon. `fill_*` is the same for today's fill (share of the void height), `counted_*`
    the same range in days that count the less the further ahead they lie.
    """

    filter: str
    due_days_now: float
    due_days_then: float
    fill_now: float
    fill_then: float
    counted_now: float
    counted_then: float

    @property
    def worth_days(self) -> float:
        """What the reading is expected to take off the range, in days counted by how soon they come."""
        return max(self.counted_now - self.counted_then, 0.0)

    @property
    def is_worth_it(self) -> bool:
        return self.share_saved >= LEAST_SHARE and self.worth_days >= LEAST_WORTH_DAYS

    @property
    def gain_words(self) -> str:
        """'from 9 months wide to about 4', 'from 4 months wide to about 5 weeks'."""
        (wide, unit), (then, unit_then) = (_length(days) for days in (self.due_days_now, self.due_days_then))
        return f"from {wide} {unit} wide to about {then}" + ("" if unit == unit_then else f" {unit_then}")

    @property
    def days_saved(self) -> float:
        return max(self.due_days_now - self.due_days_then, 0.0)

    @property
    def share_saved(self) -> float:
        """Part of the range of the due date that a sounding is expected to take away (0-1)."""
        return self.days_saved / self.due_days_now if self.due_days_now > 0 else 0.0

    @property
    def sentence(self) -> str:
        """For the page beside the filter."""
        if self.due_days_now <= 0 or self.share_saved < LEAST_SHARE:
            return "One sounding today would hardly narrow the due date."
        return f"One sounding today would narrow the due date {self.gain_words}."


def expected_narrowing(
    evidence: FilterEvidence,
    *,
    as_of: date,
    n_particles: int = 1000,
    horizon_days: int = 1095,
    shared: Prior | None = None,
) -> Narrowing | None:
    """What one sounding at the end of as_of is worth; None when the filter cannot be forecast."""
    history = history_for(usable(evidence), as_of=as_of)
    if history is None:
        return None
    posterior = posterior_for(history, rng=rng_for(evidence.filter, as_of), n_particles=n_particles, shared=shared)
    return expected_narrowing_from(posterior, history, horizon_days=horizon_days)


def expected_narrowing_from(
    posterior: Posterior,
    history: History,
    *,
    future: FutureLoad | None = None,
    horizon_days: int = 1095,
    seed: int = 18,
) -> Narrowing:
    """The same from a belief already at hand."""
    rng = np.random.default_rng(seed)
    future = future_load(history, horizon_days=horizon_days) if future is None else future
    projection = project(posterior, history, future, rng=rng)
    posterior = replace(posterior, weights=projection.weights)
    days = first_passage_days(projection, history.geometry.due_fill, horizon_days=horizon_days)
    days = np.minimum(days, float(horizon_days))
    fills = projection.fills[0]
    weights = np.vstack([posterior.weights, _weights_after(posterior, history, rng)])
    due, fill = _ranges(days, weights), _ranges(fills, weights)
    (due_now, due_then), (fill_now, fill_then) = _now_and_then(due), _now_and_then(fill)
    counted_now, counted_then = _now_and_then(counted_days(due))
    return Narrowing(
        filter=history.evidence.filter,
        due_days_now=due_now,
        due_days_then=due_then,
        fill_now=fill_now,
        fill_then=fill_then,
        counted_now=counted_now,
        counted_then=counted_then,
    )


def counted_days(days_ahead: Floats) -> Floats:
    """Days from today up to each of some days ahead, each counted by how soon it comes: whole today, half after HALF_COUNTS_DAYS."""
    whole = HALF_COUNTS_DAYS / np.log(2.0)
    return whole * (1.0 - np.exp2(-np.asarray(days_ahead, dtype=float) / HALF_COUNTS_DAYS))


def best_first(narrowings: Iterable[Narrowing | None]) -> list[Narrowing]:
    """Where one reading is worth most, first (see the head of this module); those not worth the walk are left out."""
    known = [n for n in narrowings if n is not None and n.is_worth_it]
    return sorted(known, key=lambda n: (-n.worth_days, n.filter))


def _weights_after(posterior: Posterior, history: History, rng: np.random.Generator) -> Floats:
    """Weights (readings, particles) after each of some readings that might come; at the grid the rod says only "at least"."""
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[history.n_cycles - 1] * posterior.state.volume_l / history.geometry.usable_area_m2
    spread = rod_spread_mm(at_pipe, drawn.rod)
    grid = history.geometry.void_height_mm
    order = np.argsort(at_pipe, kind="stable")
    cumulative = np.cumsum(posterior.weights[order])
    goal = (np.arange(N_READINGS) + rng.random()) / N_READINGS * cumulative[-1]
    chosen = order[np.minimum(np.searchsorted(cumulative, goal), len(order) - 1)]
    read = np.maximum(at_pipe[chosen] + spread[chosen] * rng.standard_t(4, N_READINGS), 0.0)
    x = (read[:, None] - at_pipe) / spread
    log_like = t4_log_pdf(x) - np.log(spread)
    is_at_grid = read >= grid
    if is_at_grid.any():
        log_like[is_at_grid] = np.log(t4_upper_tail((grid - at_pipe) / spread) + 1e-300)
    log_w = np.log(posterior.weights + 1e-300) + log_like
    weights = np.exp(log_w - log_w.max(axis=1, keepdims=True))
    return weights / weights.sum(axis=1, keepdims=True)


def _ranges(values: Floats, weights: Floats) -> Floats:
    """Ends of the range (2, rows) of the same values under several rows of weights, by the definition of `weighted_quantiles`."""
    order = np.argsort(values, kind="stable")
    cumulative = np.cumsum(weights[:, order], axis=1)
    goals = (np.array(RANGE)[:, None] - 1e-12) * cumulative[:, -1]
    at = [(cumulative < goal[:, None]).sum(axis=1) for goal in goals]
    return values[order][np.minimum(at, len(order) - 1)]


def _now_and_then(ends: Floats) -> tuple[float, float]:
    """Width under the first row of weights, and its mean under the others."""
    widths = ends[1] - ends[0]
    return float(widths[0]), float(widths[1:].mean())


def _length(days: float) -> tuple[int, str]:
    """(3, "weeks"), (5, "months"): how long a range is, rounded as a person would."""
    if days < 92:
        weeks = max(round(days / 7), 1)
        return weeks, "weeks" if weeks > 1 else "week"
    return round(days / DAYS_PER_MONTH), "months"
