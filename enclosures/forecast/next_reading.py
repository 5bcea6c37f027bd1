"""How much one sounding today would tell: the range of the due date now, and the range to expect once the rod has been read.

The particles themselves say what the rod might read. Each such reading, weighed back over all particles, leaves a narrower range; the
mean over the readings that might come is what a sounding is worth before it is taken. Filters are ranked by it when somebody has time
for one reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from .due_dates import first_passage_days, project, weighted_quantiles
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


@dataclass(frozen=True, kw_only=True, slots=True)
class Narrowing:
    """Width of the 80 % range of the due date, now and as expected after one sounding today.

    In days; dates beyond the horizon count as the horizon. `fill_*` is the same for today's fill (share of the void height).
    """

    filter: str
    due_days_now: float
    due_days_then: float
    fill_now: float
    fill_then: float

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
        if self.due_days_now <= 0 or self.share_saved < 0.1:
            return "One sounding today would hardly narrow the due date."
        return (
            f"One sounding today would narrow the due date from {_months(self.due_days_now)} wide to about "
            f"{_months(self.due_days_then)}."
        )


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
    days = first_passage_days(projection, history.geometry.due_fill, horizon_days=horizon_days)
    days = np.minimum(days, float(horizon_days))
    fills = projection.fills[0]
    after = _weights_after(posterior, history, rng)
    return Narrowing(
        filter=history.evidence.filter,
        due_days_now=_width(days, posterior.weights),
        due_days_then=float(np.mean([_width(days, w) for w in after])),
        fill_now=_width(fills, posterior.weights),
        fill_then=float(np.mean([_width(fills, w) for w in after])),
    )


def best_first(narrowings: Mapping[str, Narrowing | None]) -> list[Narrowing]:
    """Where one reading is worth most, first: by the days it is expected to take off the range."""
    known = [n for n in narrowings.values() if n is not None]
    return sorted(known, key=lambda n: (-n.days_saved, n.filter))


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


def _width(values: Floats, weights: Floats) -> float:
    low, high = weighted_quantiles(values, weights, RANGE)
    return high - low


def _months(days: float) -> str:
    """ "three weeks", "5 months": how wide a range is, rounded as a person would."""
    if days < 45:
        weeks = max(round(days / 7), 1)
        return f"{weeks} week{'s' if weeks > 1 else ''}"
    months = round(days / DAYS_PER_MONTH)
    return f"{months} months"
