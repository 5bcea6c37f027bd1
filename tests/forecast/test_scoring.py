"""Scores against closed forms and scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enclosures.forecast.scoring import brier, censored_log_score, coverage, crps_ensemble, crps_normal, pinball


@pytest.mark.parametrize(
    ("mean", "sd", "y", "expected"), [(0, 1, 0, 0.233695), (0, 1, 1, 0.602441), (10, 2, 13, 1.988848)]
)
def test_crps_of_a_normal_matches_reference_values(mean, sd, y, expected):
    """Check 18g (lib: scipy 1.17.1), closed form of Gneiting & Raftery 2007."""
    assert crps_normal(mean, sd, y) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("mean", "sd", "y"), [(0, 1, 0.4), (10, 2, 13), (-3, 0.5, -2.1)])
def test_crps_of_a_normal_is_the_integral_of_the_squared_difference(mean, sd, y):
    """Against numerical integration with scipy's normal distribution."""
    stats, integrate = pytest.importorskip("scipy.stats"), pytest.importorskip("scipy.integrate")
    normal = stats.norm(mean, sd)
    below, _ = integrate.quad(lambda x: normal.cdf(x) ** 2, mean - 12 * sd, y)
    above, _ = integrate.quad(lambda x: normal.sf(x) ** 2, y, mean + 12 * sd)
    assert crps_normal(mean, sd, y) == pytest.approx(below + above, abs=1e-6)


def test_crps_of_an_ensemble_matches_the_reference_value():
    """Check 18h (lib: numpy 2.4.6)."""
    assert crps_ensemble([1, 2, 4], 3) == pytest.approx(2 / 3, abs=1e-9)


def test_crps_of_a_weighted_ensemble_is_that_of_repeated_values():
    assert crps_ensemble([4, 1, 2], 2.5, [2, 1, 3]) == pytest.approx(crps_ensemble([1, 2, 2, 2, 4, 4], 2.5), abs=1e-12)


def test_crps_of_a_large_ensemble_nears_the_normal():
    stats = pytest.importorskip("scipy.stats")
    values = stats.norm(10, 2).ppf((np.arange(4000) + 0.5) / 4000)
    assert crps_ensemble(values, 13) == pytest.approx(1.988848, abs=2e-3)


def test_crps_of_one_value_is_its_absolute_error():
    assert crps_ensemble([7.0], 4.5) == pytest.approx(2.5)


def test_a_score_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        crps_ensemble([], 1.0)


def test_pinball_matches_worked_values():
    """q.10 = 10, y = 7 -> 2.7; q.90 = 10, y = 13 -> 2.7 (closed form)."""
    assert pinball(10, 0.10, 7) == pytest.approx(2.7)
    assert pinball(10, 0.90, 13) == pytest.approx(2.7)


def test_coverage_counts_ends_as_inside():
    assert coverage([0, 0, 0], [1, 1, 1], [1, 2, 0]) == pytest.approx(2 / 3)


def test_brier_of_certainty_and_of_a_coin():
    assert brier([1.0, 0.0], [True, False]) == 0.0
    assert brier([0.5, 0.5], [True, False]) == pytest.approx(0.25)


def test_a_filter_cleaned_before_it_was_full_scores_the_chance_it_had_lasted():
    days = [100, 200, 300, math.inf]
    assert censored_log_score(days, 250) == pytest.approx(-math.log(0.5))
    assert censored_log_score([1, 2, 3, 4], 250) == pytest.approx(-math.log(0.5 / 4))
