"""How past outlooks turned out: proper scores for ranges, shares and dates that were never reached.

Gneiting & Raftery 2007, JASA 102:359; Hersbach 2000 (memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np


def crps_ensemble(values: Sequence[float], observed: float, weights: Sequence[float] | None = None) -> float:
    """Continuous ranked probability score of weighted values (same unit; 0 is perfect; the absolute error of a single value).

    sum w|x - y| - sum w_i x_i (2 C_i - w_i - 1), values sorted, C cumulative weight including i. Raises ValueError when empty or when the
    weights do not sum to something positive.
    """
    x = np.asarray(values, dtype=float)
    w = np.ones(len(x)) if weights is None else np.asarray(weights, dtype=float)
    if not len(x) or not w.sum() > 0:
        raise ValueError("a score needs at least one value with positive weight")
    order = np.argsort(x, kind="stable")
    x, w = x[order], w[order] / w.sum()
    return float(w @ np.abs(x - observed) - (w * x) @ (2.0 * np.cumsum(w) - w - 1.0))


def crps_normal(mean: float, sd: float, observed: float) -> float:
    """CRPS of N(mean, sd): sd [z (2 Phi(z) - 1) + 2 phi(z) - 1/sqrt(pi)]."""
    z = (observed - mean) / sd
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return sd * (z * math.erf(z / math.sqrt(2.0)) + 2.0 * density - 1.0 / math.sqrt(math.pi))


def pinball(quantile: float, level: float, observed: float) -> float:
    """Loss of a quantile forecast: level x shortfall above, (1 - level) x excess below."""
    return max(level * (observed - quantile), (level - 1.0) * (observed - quantile))


def coverage(lows: Sequence[float], highs: Sequence[float], observed: Sequence[float]) -> float:
    """Share of observations inside their range, ends included. Raises ValueError when there are none."""
    inside = [low <= y <= high for low, high, y in zip(lows, highs, observed, strict=True)]
    if not inside:
        raise ValueError("coverage needs at least one observation")
    return sum(inside) / len(inside)


def brier(chances: Sequence[float], happened: Sequence[bool]) -> float:
    """Mean squared distance of stated chances from what happened (0 perfect, .25 for always saying one half)."""
    pairs = [(p - float(h)) ** 2 for p, h in zip(chances, happened, strict=True)]
    if not pairs:
        raise ValueError("a Brier score needs at least one forecast")
    return sum(pairs) / len(pairs)


def censored_log_score(days: Sequence[float], censored_at: float, weights: Sequence[float] | None = None) -> float:
    """-ln P(T > censored_at) for a filter cleaned before it was full; `days` may hold infinity for "not within the horizon".

    Half a particle's weight stands in where no particle survives, so that the score stays finite.
    """
    t = np.asarray(days, dtype=float)
    w = np.ones(len(t)) if weights is None else np.asarray(weights, dtype=float)
    survived = float(w[t > censored_at].sum() / w.sum())
    return -math.log(max(survived, 0.5 / len(t)))
