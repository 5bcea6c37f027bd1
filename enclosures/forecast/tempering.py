"""Particles of prior x likelihood, raised by steps: readings are taken in as they came, each only as far as the particles can follow.

Importance sampling from the prior fails once there is history (of 3,000 draws 26 count after two years, 4 after four). So whenever fewer
than half the particles count they are resampled and moved by Metropolis steps that would keep a Gaussian fitted to them (preconditioned
Crank-Nicolson). Taking readings in by their days means that an early move needs only the early part of the history to be run.
References: Chopin 2002; Del Moral, Doucet & Jasra 2006; Cotter et al. 2013 (memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from .priors import Floats, Prior

TARGET_ACCEPTANCE = 0.35
MOVES = 1
LAST_MOVES = 4
MAX_STEPS_PER_STAGE = 30
LEAST_STEP = 1e-4
IMPOSSIBLE = -1e9  # stands for a log likelihood of minus infinity


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fit:
    """Per particle: log likelihood of all stages before the present one, of the present one, and what is carried along."""

    before: Floats
    here: Floats
    carried: tuple[Floats, ...] = ()

    def take(self, index: np.ndarray) -> Fit:
        return Fit(before=self.before[index], here=self.here[index], carried=tuple(c[index] for c in self.carried))

    def replaced(self, accept: np.ndarray, other: Fit) -> Fit:
        """`other` where accepted."""
        return Fit(
            before=np.where(accept, other.before, self.before),
            here=np.where(accept, other.here, self.here),
            carried=tuple(np.where(accept, b, a) for a, b in zip(self.carried, other.carried, strict=True)),
        )


class Problem(Protocol):
    """A likelihood in stages. Log likelihoods may be minus infinity, never NaN."""

    n_stages: int

    def extend(self, stage: int, z: Floats, fit: Fit | None) -> Fit:
        """Go on from the end of the stage before (None: from the beginning) to the end of `stage`."""

    def run(self, stage: int, z: Floats) -> Fit:
        """From the beginning to the end of `stage`, for new particles."""

    def active(self, stage: int) -> np.ndarray:
        """Which components of z have had any effect by the end of `stage`."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sample:
    """Particles and weights (summing to one); `stuck_at` is the first stage that could not be taken in fully, else None."""

    z: Floats
    weights: Floats
    carried: tuple[Floats, ...]
    stuck_at: int | None
    log_evidence: float
    n_moves: int


def normalised(log_weights: Floats) -> Floats:
    """Weights summing to one from logs."""
    w = np.exp(log_weights - log_weights.max())
    return w / w.sum()


def effective_size(weights: Floats) -> float:
    return float(1.0 / np.square(weights).sum())


def systematic(weights: Floats, rng: np.random.Generator) -> np.ndarray:
    """Indices of a systematic resample."""
    n = len(weights)
    at = (rng.random() + np.arange(n)) / n
    return np.minimum(np.searchsorted(np.cumsum(weights), at), n - 1)


class Sampler:
    """One pass over a problem. Use `tempered_sample`."""

    def __init__(self, problem: Problem, prior: Prior, rng: np.random.Generator, n_particles: int) -> None:
        self.problem, self.prior, self.rng, self.n = problem, prior, rng, n_particles
        self.z = prior.draw(rng, n_particles)
        self.log_w = np.zeros(n_particles)
        self.fit: Fit | None = None
        self.scale = 0.6
        self.n_moves = 0
        self.log_evidence = 0.0

    def take_in(self, stage: int) -> bool:
        """Raise one stage's likelihood from nought to its full power; False where the particles cannot follow."""
        self.fit = fit = self.problem.extend(stage, self.z, self.fit)
        power = 0.0
        for _ in range(MAX_STEPS_PER_STAGE):
            step = _largest_step(self.log_w, fit.here, 1.0 - power)
            if step < LEAST_STEP and power + step < 1.0:
                return False
            self._weigh(step * fit.here)
            power = 1.0 if step == 1.0 - power else power + step
            if power == 1.0:
                return True
            self.rejuvenate(stage, power, MOVES)
            fit = self.fit
        return False

    def _weigh(self, log_increment: Floats) -> None:
        raised = self.log_w + log_increment
        self.log_evidence += float(_log_sum(raised) - _log_sum(self.log_w))
        self.log_w = raised - raised.max()

    def rejuvenate(self, stage: int, power: float, moves: int) -> None:
        """Resample, then move every particle so that none is a copy."""
        assert self.fit is not None
        weights = normalised(self.log_w)
        proposal = _Proposal(self.z, weights, self.problem.active(stage), self.prior)
        index = systematic(weights, self.rng)
        self.z, self.fit, self.log_w = self.z[index], self.fit.take(index), np.zeros(self.n)
        for _ in range(moves):
            self._move(stage, power, proposal)

    def _move(self, stage: int, power: float, proposal: _Proposal) -> None:
        assert self.fit is not None
        new_z, log_ratio = proposal.draw(self.z, self.scale, self.rng)
        new = self.problem.run(stage, new_z)
        log_ratio += new.before - self.fit.before + power * (new.here - self.fit.here)
        accept = np.log(self.rng.random(self.n)) < log_ratio
        self.z = np.where(accept[:, None], new_z, self.z)
        self.fit = self.fit.replaced(accept, new)
        self.scale = float(np.clip(self.scale * np.exp(1.2 * (accept.mean() - TARGET_ACCEPTANCE)), 0.05, 1.0))
        self.n_moves += 1


class _Proposal:
    """Moves that keep N(mean, covariance): fitted to the particles where readings have spoken, the prior elsewhere."""

    def __init__(self, z: Floats, weights: Floats, active: np.ndarray, prior: Prior) -> None:
        self._prior = prior
        mean, covariance = prior.mean.copy(), prior.covariance.copy()
        mine = np.flatnonzero(active)
        centre = weights @ z[:, mine]
        centred = z[:, mine] - centre
        mean[mine] = centre
        covariance[active, :] = 0.0
        covariance[:, active] = 0.0
        covariance[np.ix_(mine, mine)] = (centred * weights[:, None]).T @ centred
        covariance[mine, mine] += 1e-6
        factor = np.linalg.cholesky(covariance)
        self._mean, self._factor_t = mean, factor.T
        self._inverse_t = np.linalg.inv(factor).T

    def draw(self, z: Floats, scale: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """New particles, and the log ratio of prior over this Gaussian between new and old."""
        white = (z - self._mean) @ self._inverse_t
        new_white = np.sqrt(1.0 - scale**2) * white + scale * rng.standard_normal(z.shape)
        new_z = self._mean + new_white @ self._factor_t
        ratio = self._prior.log_density(new_z) - self._prior.log_density(z)
        ratio += 0.5 * (np.einsum("ij,ij->i", new_white, new_white) - np.einsum("ij,ij->i", white, white))
        return new_z, ratio


def tempered_sample(problem: Problem, prior: Prior, rng: np.random.Generator, *, n_particles: int) -> Sample:
    """Particles of prior x likelihood.

    Where the prior's own particles serve (a first reading on a new filter) they are only weighted, not moved.
    """
    sampler = Sampler(problem, prior, rng, n_particles)
    stuck_at = None
    for stage in range(problem.n_stages):
        if not sampler.take_in(stage):
            stuck_at = stage
            break
    if sampler.n_moves and stuck_at is None:
        sampler.rejuvenate(problem.n_stages - 1, 1.0, LAST_MOVES)
    return Sample(
        z=sampler.z,
        weights=normalised(sampler.log_w),
        carried=sampler.fit.carried if sampler.fit is not None else (),
        stuck_at=stuck_at,
        log_evidence=sampler.log_evidence,
        n_moves=sampler.n_moves,
    )


MOST_SHIFTS = 4


def resampled_under(
    problem: Problem, z: Floats, weights: Floats, rng: np.random.Generator, *, old: Prior, new: Prior
) -> Sample | None:
    """Particles of old prior x likelihood carried over to new prior x likelihood; None where they cannot follow in a few steps.

    Between the two lie the priors old^(1-t) new^t, themselves normal. Moves at the end, so that no particle stays a copy.
    """
    sampler = Sampler(problem, old, rng, len(weights))
    sampler.z, sampler.log_w = z, np.log(weights + 1e-300)
    last = problem.n_stages - 1
    sampler.fit = problem.run(last, z)
    power = 0.0
    for _ in range(MOST_SHIFTS):
        change = new.log_density(sampler.z) - old.log_density(sampler.z)
        step = _largest_step(sampler.log_w, change, 1.0 - power)
        sampler.log_w = sampler.log_w + step * change
        power = 1.0 if step == 1.0 - power else power + step
        sampler.prior = new if power == 1.0 else _between(old, new, power)
        sampler.rejuvenate(last, 1.0, LAST_MOVES if power == 1.0 else MOVES)
        if power == 1.0:
            break
    else:
        return None
    return Sample(
        z=sampler.z,
        weights=normalised(sampler.log_w),
        carried=sampler.fit.carried,
        stuck_at=None,
        log_evidence=0.0,
        n_moves=sampler.n_moves,
    )


def _between(old: Prior, new: Prior, power: float) -> Prior:
    """The normal prior proportional to old^(1 - power) new^power."""
    p0, p1 = np.linalg.inv(old.covariance), np.linalg.inv(new.covariance)
    covariance = np.linalg.inv((1.0 - power) * p0 + power * p1)
    covariance = 0.5 * (covariance + covariance.T)
    mean = covariance @ ((1.0 - power) * p0 @ old.mean + power * p1 @ new.mean)
    return Prior(names=old.names, mean=mean, covariance=covariance)


def _log_sum(log_values: Floats) -> float:
    top = log_values.max()
    return float(top + np.log(np.exp(log_values - top).sum()))


def _largest_step(log_w: Floats, log_likelihood: Floats, most: float) -> float:
    """The largest rise of the likelihood's power that leaves half the particles counting."""
    goal = len(log_w) / 2.0

    def counting(step: float) -> float:
        return effective_size(normalised(log_w + step * log_likelihood))

    if counting(most) >= goal:
        return most
    low, high = 0.0, most
    for _ in range(25):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if counting(middle) >= goal else (low, middle)
    return low
