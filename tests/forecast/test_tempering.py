"""The sampler against posteriors known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from enclosures.forecast.priors import Prior
from enclosures.forecast.tempering import Fit, Sampler, effective_size, normalised, systematic, tempered_sample

PRIOR_MEAN, PRIOR_SD, OBSERVED, READ_SD = np.log(0.18), 0.49, np.log(0.27), 0.30


class Readings:
    """Direct readings of ln s, one a stage."""

    def __init__(self, observed: list[float], sd: float) -> None:
        self.observed, self.sd, self.n_stages = observed, sd, len(observed)

    def _one(self, z, stage):
        return -0.5 * ((PRIOR_MEAN + PRIOR_SD * z[:, 0] - self.observed[stage]) / self.sd) ** 2

    def extend(self, stage, z, fit):
        before = np.zeros(len(z)) if fit is None else fit.before + fit.here
        return Fit(before=before, here=self._one(z, stage))

    def run(self, stage, z):
        before = sum((self._one(z, k) for k in range(stage)), np.zeros(len(z)))
        return Fit(before=before, here=self._one(z, stage))

    def active(self, stage):
        return np.ones(1, dtype=bool)


def ln_s(z):
    return PRIOR_MEAN + PRIOR_SD * z[:, 0]


def moments(values, weights):
    mean = float(weights @ values)
    return mean, float(np.sqrt(weights @ (values - mean) ** 2))


def test_first_reading_by_importance_weights_matches_the_conjugate_posterior():
    """Check 18f (lib: python): ln s ~ N(ln .18, .49), read ln .27 with sd .30 -> mean -1.41988, sd .25586; within .03."""
    sample = tempered_sample(
        Readings([OBSERVED], READ_SD), Prior.standard(("s",)), np.random.default_rng(1), n_particles=4000
    )
    assert sample.n_moves == 0  # the prior's own particles served
    mean, sd = moments(ln_s(sample.z), sample.weights)
    assert mean == pytest.approx(-1.41988, abs=0.03)
    assert sd == pytest.approx(0.25586, abs=0.03)


def test_moved_particles_match_the_conjugate_posterior():
    """Check 18f again, now resampled and moved."""
    sampler = Sampler(Readings([OBSERVED], READ_SD), Prior.standard(("s",)), np.random.default_rng(2), 4000)
    assert sampler.take_in(0)
    sampler.rejuvenate(0, 1.0, 4)
    mean, sd = moments(ln_s(sampler.z), normalised(sampler.log_w))
    assert mean == pytest.approx(-1.41988, abs=0.03)
    assert sd == pytest.approx(0.25586, abs=0.03)


def test_sharp_far_readings_are_reached_by_steps():
    """Normal-normal in closed form: ten readings of sd .03 about ln .60, where no prior particle in a thousand lies near."""
    observed = [np.log(0.60) + 0.01 * (k - 4.5) for k in range(10)]
    sample = tempered_sample(
        Readings(observed, 0.03), Prior.standard(("s",)), np.random.default_rng(3), n_particles=1000
    )
    precision = 1 / PRIOR_SD**2 + 10 / 0.03**2
    expected = (PRIOR_MEAN / PRIOR_SD**2 + sum(observed) / 0.03**2) / precision
    mean, sd = moments(ln_s(sample.z), sample.weights)
    assert sample.stuck_at is None
    assert mean == pytest.approx(expected, abs=0.002)
    assert sd == pytest.approx(precision**-0.5, rel=0.12)


def test_log_evidence_matches_the_closed_form():
    """ln of the normal integral: N(y; prior mean, sd^2 + prior sd^2) without the reading's own constant."""
    sample = tempered_sample(
        Readings([OBSERVED], READ_SD), Prior.standard(("s",)), np.random.default_rng(4), n_particles=4000
    )
    total = READ_SD**2 + PRIOR_SD**2
    expected = 0.5 * np.log(READ_SD**2 / total) - 0.5 * (OBSERVED - PRIOR_MEAN) ** 2 / total
    assert sample.log_evidence == pytest.approx(expected, abs=0.03)


def test_a_moved_prior_moves_the_posterior():
    """Pooling hands over a prior with another mean and variance: normal-normal again."""
    prior = Prior(names=("s",), mean=np.array([1.0]), covariance=np.array([[0.25]]))
    sample = tempered_sample(Readings([OBSERVED], READ_SD), prior, np.random.default_rng(5), n_particles=4000)
    m0, v0 = PRIOR_MEAN + PRIOR_SD, (0.5 * PRIOR_SD) ** 2
    v = 1 / (1 / v0 + 1 / READ_SD**2)
    mean, sd = moments(ln_s(sample.z), sample.weights)
    assert mean == pytest.approx(v * (m0 / v0 + OBSERVED / READ_SD**2), abs=0.02)
    assert sd == pytest.approx(v**0.5, abs=0.02)


def test_an_unreachable_reading_is_named_and_not_nan():
    class Wall(Readings):
        def _one(self, z, stage):
            return np.where(z[:, 0] > 60.0, 0.0, -1e9) if stage == 1 else super()._one(z, stage)

    sample = tempered_sample(
        Wall([OBSERVED, 0.0], READ_SD), Prior.standard(("s",)), np.random.default_rng(6), n_particles=200
    )
    assert np.isfinite(sample.z).all()
    assert sample.weights.sum() == pytest.approx(1.0)
    assert sample.stuck_at is None or sample.stuck_at == 1


def test_systematic_resampling_keeps_counts_within_one_of_the_weights():
    rng = np.random.default_rng(7)
    weights = rng.dirichlet(np.ones(50))
    counts = np.bincount(systematic(weights, rng), minlength=50)
    assert np.abs(counts - 50 * weights).max() < 1.0


def test_effective_size_counts_equal_weights_fully():
    assert effective_size(np.full(10, 0.1)) == pytest.approx(10.0)
    assert effective_size(np.array([1.0, 0.0, 0.0])) == pytest.approx(1.0)
