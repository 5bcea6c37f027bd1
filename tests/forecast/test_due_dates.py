"""First passage and weighted quantiles."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.forecast.due_dates import (
    Projection,
    chances_within,
    day_quantiles,
    first_passage_days,
    weighted_quantiles,
)
from enclosures.forecast.inputs import DayQuantiles

AS_OF = date(2025, 10, 4)


def test_weighted_quantile_is_the_smallest_value_with_enough_weight():
    """Check 18i (lib): {10, 20, 30, 40} with weights .1 .4 .4 .1 -> 10, 20, 30."""
    assert weighted_quantiles(np.array([30, 10, 40, 20]), np.array([0.4, 0.1, 0.1, 0.4])) == (10, 20, 30)


@given(
    values=st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=30),
    seed=st.integers(0, 2**32 - 1),
)
def test_weighted_quantiles_match_their_definition(values, seed):
    weights = np.random.default_rng(seed).dirichlet(np.ones(len(values)))
    got = weighted_quantiles(np.array(values), weights)
    for level, found in zip((0.1, 0.5, 0.9), got, strict=True):
        at_or_below = sum(w for v, w in zip(values, weights, strict=True) if v <= found)
        below = sum(w for v, w in zip(values, weights, strict=True) if v < found)
        assert at_or_below >= level - 1e-9
        assert below < level + 1e-9


def projection(*paths: list[float]) -> Projection:
    fills = np.array(paths).T
    offsets = np.arange(len(fills)) * 7
    n = len(paths)
    return Projection(as_of=AS_OF, offsets=offsets, fills=fills, weights=np.full(n, 1 / n))


def test_a_filter_already_there_is_due_today():
    assert first_passage_days(projection([0.7, 0.8]), 0.7, horizon_days=7)[0] == 0


def test_a_level_crossed_within_a_week_is_met_on_the_first_whole_day():
    # .60 -> .74 in seven days is .02 a day: .70 on day 5
    assert first_passage_days(projection([0.60, 0.74]), 0.70, horizon_days=7)[0] == 5


def test_a_level_not_reached_is_beyond_the_horizon():
    days = first_passage_days(projection([0.1, 0.2], [0.6, 0.8]), 0.7, horizon_days=7)
    assert days[0] == np.inf
    assert np.isfinite(days[1])


def test_a_fall_after_the_crossing_does_not_take_it_back():
    assert first_passage_days(projection([0.65, 0.72, 0.60]), 0.7, horizon_days=14)[0] <= 7


def test_quantiles_beyond_the_horizon_are_none():
    days = np.array([10.0, 20.0, np.inf, np.inf])
    assert day_quantiles(days, np.full(4, 0.25), AS_OF) == DayQuantiles(
        p10=date(2025, 10, 14), p50=date(2025, 10, 24), p90=None
    )


def test_chances_sum_the_weight_of_those_due_by_then():
    days = np.array([0.0, 30.0, 31.0, np.inf])
    assert chances_within(days, np.array([0.1, 0.2, 0.3, 0.4]), (30, 60)) == (
        (30, pytest.approx(0.3)),
        (60, pytest.approx(0.6)),
    )
