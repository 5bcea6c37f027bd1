"""What is believed of a filter after its whole history: tempered particles.

Importance sampling from the prior fails once there is history, so the likelihood is raised by steps: each step as far as half the
effective number of particles allows, then resampling and Metropolis moves that keep a Gaussian fitted to the particles (preconditioned
Crank-Nicolson). References: Del Moral, Doucet & Jasra 2006; Cotter et al. 2013 (memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from .history import History
from .inputs import Geometry, SoundingSeen
from .likelihood import Reading, readings, roof, sounding_fit
from .priors import Floats, Prior
from .run import run_history, unpack
from .void_model import VoidState

TARGET_ACCEPTANCE = 0.35
MOVES = 2
LAST_MOVES = 4
MAX_STEPS = 40
LEAST_STEP = 1e-4
IMPOSSIBLE_TAIL = 0.001
MAX_LEFT_OUT = 4


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fit:
    """What a target function returns for a set of particles: total log likelihood, and what is to be carried along with each."""

    log_likelihood: Floats
    carried: tuple[Floats, ...] = ()

    def take(self, index: np.ndarray) -> Fit:
        return Fit(log_likelihood=self.log_likelihood[index], carried=tuple(c[index] for c in self.carried))

    def where(self, accept: np.ndarray, other: Fit) -> Fit:
        """`other` where accepted."""
        return Fit(
            log_likelihood=np.where(accept, other.log_likelihood, self.log_likelihood),
            carried=tuple(np.where(accept, b, a) for a, b in zip(self.carried, other.carried, strict=True)),
        )


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sample:
    """Particles and weights (summing to one) after tempering; `is_complete` False when full weight could not be reached."""

    z: Floats
    weights: Floats
    fit: Fit
    is_complete: bool
    log_evidence: float
    n_runs: int


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Posterior:
    """Belief about one filter at the end of a day: particles over named components, weights, and the void of each.

    `left_out` names readings the model does not explain ("entry" of a sounding, "entry:before" and the like of a cleanout).
    """

    names: tuple[str, ...]
    z: Floats
    weights: Floats
    state: VoidState
    log_evidence: float
    n_runs: int
    left_out: tuple[str, ...] = ()

    @property
    def n(self) -> int:
        return len(self.weights)

    @property
    def effective_size(self) -> float:
        return float(1.0 / np.square(self.weights).sum())

    def component(self, name: str) -> Floats:
        return self.z[:, self.names.index(name)]

    def moments(self, names: tuple[str, ...]) -> tuple[Floats, Floats]:
        """Weighted mean and covariance over some components, the message a filter sends when a facility pools."""
        z = self.z[:, [self.names.index(name) for name in names]]
        mean = self.weights @ z
        centred = z - mean
        return mean, (centred * self.weights[:, None]).T @ centred

    def to_arrays(self) -> dict[str, np.ndarray]:
        """Plain arrays to store; `from_arrays` takes them back."""
        return {
            "names": np.array(self.names),
            "z": self.z,
            "weights": self.weights,
            "labile_kg": self.state.labile_kg,
            "lasting_kg": self.state.lasting_kg,
            "volume_l": self.state.volume_l,
            "left_out": np.array(self.left_out, dtype=str),
            "log_evidence": np.array(self.log_evidence),
        }

    @classmethod
    def from_arrays(cls, stored: dict[str, np.ndarray]) -> Posterior:
        return cls(
            names=tuple(str(name) for name in stored["names"]),
            z=stored["z"],
            weights=stored["weights"],
            state=VoidState(
                labile_kg=stored["labile_kg"], lasting_kg=stored["lasting_kg"], volume_l=stored["volume_l"]
            ),
            log_evidence=float(stored["log_evidence"]),
            n_runs=0,
            left_out=tuple(str(name) for name in stored["left_out"]),
        )


def normalised(log_weights: Floats) -> Floats:
    """Weights summing to one from logs."""
    w = np.exp(log_weights - log_weights.max())
    return w / w.sum()


def systematic(weights: Floats, rng: np.random.Generator, n: int | None = None) -> np.ndarray:
    """Indices of a systematic resample."""
    n = len(weights) if n is None else n
    at = (rng.random() + np.arange(n)) / n
    return np.minimum(np.searchsorted(np.cumsum(weights), at), len(weights) - 1)


def tempered_sample(
    target: Callable[[Floats], Fit], prior: Prior, rng: np.random.Generator, *, n_particles: int
) -> Sample:
    """Particles of prior x likelihood. `target` maps particles (n, d) to their `Fit`; it may return minus infinity, never NaN."""
    z = prior.draw(rng, n_particles)
    fit = target(z)
    n_runs, temper, log_evidence, scale = 1, 0.0, 0.0, 0.6
    for _ in range(MAX_STEPS):
        step = _next_step(fit.log_likelihood, temper)
        if step < LEAST_STEP and temper + step < 1.0:
            break
        log_w = step * fit.log_likelihood
        log_evidence += float(log_w.max() + np.log(np.mean(np.exp(log_w - log_w.max()))))
        weights = normalised(log_w)
        first, temper = temper == 0.0, temper + step
        if first and temper >= 1.0:  # the prior's own particles are good enough
            return Sample(z=z, weights=weights, fit=fit, is_complete=True, log_evidence=log_evidence, n_runs=n_runs)
        mean, factor = _gaussian(z, weights)
        index = systematic(weights, rng)
        z, fit = z[index], fit.take(index)
        for _ in range(LAST_MOVES if temper >= 1.0 else MOVES):
            z, fit, accepted = _move(target, prior, rng, z, fit, temper=temper, scale=scale, mean=mean, factor=factor)
            scale = float(np.clip(scale * np.exp(1.2 * (accepted - TARGET_ACCEPTANCE)), 0.05, 1.0))
            n_runs += 1
        if temper >= 1.0:
            break
    return Sample(
        z=z,
        weights=np.full(n_particles, 1.0 / n_particles),
        fit=fit,
        is_complete=temper >= 1.0,
        log_evidence=log_evidence,
        n_runs=n_runs,
    )


def _next_step(log_likelihood: Floats, temper: float) -> float:
    """The largest rise of the likelihood's power that keeps half the effective particles."""
    left = 1.0 - temper

    def effective(step: float) -> float:
        w = normalised(step * log_likelihood)
        return float(1.0 / np.square(w).sum())

    goal = len(log_likelihood) / 2.0
    if effective(left) >= goal:
        return left
    low, high = 0.0, left
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if effective(middle) >= goal else (low, middle)
    return low


def _gaussian(z: Floats, weights: Floats) -> tuple[Floats, Floats]:
    mean = weights @ z
    centred = z - mean
    covariance = (centred * weights[:, None]).T @ centred
    covariance[np.diag_indices_from(covariance)] += 1e-6
    return mean, np.linalg.cholesky(covariance)


def _move(target, prior, rng, z, fit, *, temper, scale, mean, factor):
    """One Metropolis move of every particle that keeps N(mean, factor factor') where the target is that Gaussian."""
    white = np.linalg.solve(factor, (z - mean).T).T
    fresh = rng.standard_normal(z.shape)
    new_white = np.sqrt(1.0 - scale**2) * white + scale * fresh
    new_z = mean + new_white @ factor.T
    new_fit = target(new_z)
    log_ratio = (
        temper * (new_fit.log_likelihood - fit.log_likelihood)
        + prior.log_density(new_z)
        - prior.log_density(z)
        + 0.5 * (np.square(new_white).sum(axis=1) - np.square(white).sum(axis=1))
    )
    accept = np.log(rng.random(len(z))) < log_ratio
    return np.where(accept[:, None], new_z, z), fit.where(accept, new_fit), float(accept.mean())


def posterior_for(
    history: History, *, rng: np.random.Generator, n_particles: int = 1000, shared: Prior | None = None
) -> Posterior:
    """Belief about a filter at the end of history.as_of. `shared` moves the prior of the components it names (facility pooling).

    A reading beyond the .001 tail of what the prior allows, or one that all others make impossible, is left out and named.
    """
    prior = shared.spread_over(history.names) if shared else Prior.standard(history.names)
    left_out = _impossible(history, prior, rng.spawn(1)[0], n_particles)
    n_runs = 1 if history.events else 0
    for attempt in range(MAX_LEFT_OUT + 1):
        sample = tempered_sample(_target(history, left_out), prior, rng, n_particles=n_particles)
        n_runs += sample.n_runs
        worst = _worst_after(history, sample, left_out, is_complete=sample.is_complete)
        if worst is None or attempt == MAX_LEFT_OUT:
            break
        left_out = left_out | {worst}
    labile, lasting, volume = sample.fit.carried
    return Posterior(
        names=history.names,
        z=sample.z,
        weights=sample.weights,
        state=VoidState(labile_kg=labile, lasting_kg=lasting, volume_l=volume),
        log_evidence=sample.log_evidence,
        n_runs=n_runs,
        left_out=tuple(sorted(left_out)),
    )


def _target(history: History, left_out: frozenset[str]) -> Callable[[Floats], Fit]:
    def target(z: Floats) -> Fit:
        drawn = unpack(z, history)
        state, volumes = run_history(history, drawn)
        total = roof(history, state.volume_l)
        for reading in readings(history, drawn, volumes, left_out):
            total = total + reading.log_likelihood
        return Fit(
            log_likelihood=np.nan_to_num(total, nan=-1e9, neginf=-1e9),
            carried=(state.labile_kg, state.lasting_kg, state.volume_l),
        )

    return target


def _impossible(history: History, prior: Prior, rng: np.random.Generator, n_particles: int) -> frozenset[str]:
    """Readings that lie beyond the .001 tail of everything the prior can make of the records."""
    if not history.events:
        return frozenset()
    seen = _readings_of(history, prior.draw(rng, n_particles), frozenset())
    return frozenset(r.entry for r in seen if r.tail is not None and float(r.tail.mean()) < IMPOSSIBLE_TAIL)


def _readings_of(history: History, z: Floats, left_out: frozenset[str]) -> list[Reading]:
    drawn = unpack(z, history)
    _, volumes = run_history(history, drawn)
    return readings(history, drawn, volumes, left_out)


def _worst_after(history: History, sample: Sample, left_out: frozenset[str], *, is_complete: bool) -> str | None:
    """The reading that fits worst after all, when it is beyond belief (or when tempering stuck); None when all is explained."""
    seen = [r for r in _readings_of(history, sample.z, left_out) if r.tail is not None]
    if not seen:
        return None
    tails = [(float(sample.weights @ r.tail), r.entry) for r in seen]
    least, entry = min(tails)
    return entry if least < IMPOSSIBLE_TAIL or not is_complete else None


def reweighed(posterior: Posterior, history: History, reading: SoundingSeen, geometry: Geometry) -> Posterior:
    """The same particles after one more sounding of today, by weights alone: an answer within milliseconds.

    The rods seen are taken at the state of the posterior's day, in the present cycle. Use `posterior_for` when the effective size falls
    below a quarter.
    """
    if reading.is_disputed or not reading.depths_mm:
        return posterior
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[history.n_cycles - 1] * posterior.state.volume_l / geometry.usable_area_m2
    log_like, _ = sounding_fit(reading, geometry, at_pipe, drawn.rod)
    weights = normalised(np.log(posterior.weights + 1e-300) + log_like)
    return replace(posterior, weights=weights)
