"""The prior table against the project's coefficients and their sources, and beliefs placed on named components."""

from __future__ import annotations

import numpy as np
import pytest

from enclosures.estimates.coefficients import COEFFICIENTS
from enclosures.estimates.sources import SOURCES
from enclosures.forecast import priors
from enclosures.forecast.priors import COMPONENTS, Prior, food_factor, litter_belief

TWINS = {
    "s": "solids_yield",
    "phi": "degradable_share",
    "k20": "decay_labile_per_day",
    "kr20": "decay_refractory_per_day",
    "theta": "decay_theta",
    "c0": "fresh_solids_kg_m3",
    "c_inf": "consolidated_solids_kg_m3",
    "kappa": "compaction_per_day",
    "gamma": "rod_over_mean_filter",
    "mound": "rod_over_mean_cycle",
    "rod": "rod_noise_person",
    "resid_full": "residual_full",
    "resid_part": "residual_part",
    "autumn": "autumn_share",
    "noise_sd": "load_noise",
}


@pytest.mark.parametrize(("name", "twin"), TWINS.items())
def test_a_prior_is_that_of_the_assumptions_page(name, twin):
    """Median, and the 5-95 % range within a tenth of its width (theta's printed range is rounded: within a fifth)."""
    component, coefficient = COMPONENTS[name], COEFFICIENTS[twin]
    low, middle, high = component.value(np.array([-1.645, 0.0, 1.645]))
    width = coefficient.high - coefficient.low
    assert middle == pytest.approx(coefficient.value, rel=0.005)
    assert low == pytest.approx(coefficient.low, abs=0.2 * width)
    assert high == pytest.approx(coefficient.high, abs=0.2 * width)
    assert component.source == coefficient.source


def test_every_prior_names_a_known_source():
    assert {component.source for component in COMPONENTS.values()} <= set(SOURCES)


@pytest.mark.parametrize("level", ["none", "open", "near", "canopy"])
def test_litter_levels_are_those_of_the_assumptions_page(level):
    median, spread = litter_belief(litter_level=level, litter_g_m2_year=None)
    assert median == COEFFICIENTS[f"litter_{level}"].value
    assert median * np.exp(-1.645 * spread) == pytest.approx(COEFFICIENTS[f"litter_{level}"].low, rel=0.05)


def test_a_facilitys_own_litterfall_is_caught_in_part():
    assert litter_belief(litter_level="none", litter_g_m2_year=220.0) == (pytest.approx(77.0), 0.6)


def test_food_classes_offset_the_yield():
    z = np.zeros(1)
    assert food_factor("pellet", None) == 1.0
    assert food_factor("fish", z)[0] == pytest.approx(np.exp(COEFFICIENTS["yield_offset_prey"].value))
    assert food_factor("insect", z)[0] == pytest.approx(np.exp(COEFFICIENTS["yield_offset_insect"].value))
    assert food_factor("plant", z)[0] == pytest.approx(np.exp(COEFFICIENTS["yield_offset_plant"].value))
    assert food_factor("fish", np.ones(1))[0] == pytest.approx(np.exp(-0.5 + 0.2))


def test_theta_stays_within_its_limits():
    values = COMPONENTS["theta"].value(np.array([-9.0, 9.0]))
    assert values.tolist() == [1.0, 1.1]


def test_a_shared_belief_is_placed_by_name():
    shared = Prior(names=("b", "a"), mean=np.array([2.0, 1.0]), covariance=np.array([[0.5, 0.2], [0.2, 0.8]]))
    placed = shared.spread_over(("x", "a", "b"))
    assert placed.mean.tolist() == [0.0, 1.0, 2.0]
    np.testing.assert_allclose(placed.covariance, [[1, 0, 0], [0, 0.8, 0.2], [0, 0.2, 0.5]])


def test_draws_have_the_belief_they_came_from():
    belief = Prior(names=("a", "b"), mean=np.array([1.0, -1.0]), covariance=np.array([[0.5, 0.2], [0.2, 0.8]]))
    z = belief.draw(np.random.default_rng(1), 40_000)
    np.testing.assert_allclose(z.mean(axis=0), belief.mean, atol=0.02)
    np.testing.assert_allclose(np.cov(z.T), belief.covariance, atol=0.02)


def test_log_density_matches_scipy():
    stats = pytest.importorskip("scipy.stats")
    belief = Prior(names=("a", "b"), mean=np.array([1.0, -1.0]), covariance=np.array([[0.5, 0.2], [0.2, 0.8]]))
    z = np.array([[0.0, 0.0], [1.0, -1.0], [3.0, 2.0]])
    expected = stats.multivariate_normal(belief.mean, belief.covariance).logpdf(z)
    np.testing.assert_allclose(np.diff(belief.log_density(z)), np.diff(expected))


def test_slurry_dilution_is_that_of_the_assumptions_page():
    assert COEFFICIENTS["slurry_dilution"].value == priors.SLURRY_DILUTION
    assert COEFFICIENTS["slurry_log_sd"].value == priors.SLURRY_SPREAD
