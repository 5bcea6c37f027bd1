"""Filters of one facility borrow strength: what the others have taught becomes the prior of each.

A component z of filter j is mu + own departure: mu ~ N(0, a R) common to the facility, departure ~ N(0, 1 - a R). Every filter sends what
its own records taught as a normal message; the prior of a filter comes from the messages of the *others* only, so that nothing is counted
twice. How alike the filters of a facility are (a, from not at all to as much as is plausible) is itself weighed by how well it explains
the messages, which is the guard against pooling what does not belong together.

Cost: one full pass per filter, then a change of prior on the same particles (a few runs more), not a second pass.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from .future_feed import future_load
from .history import History, history_for
from .inputs import FilterEvidence, Outlook
from .outlook import outlook_from, rng_for, usable, without_geometry
from .posterior import Posterior, posterior_for, posterior_under
from .priors import Floats, Prior

# Share of the prior variance that the filters of one facility have in common; judgement.
COMMON_SHARE: dict[str, float] = {
    "s": 0.67,
    "phi": 0.75,
    "k20": 0.75,
    "theta": 0.8,
    "kr20": 0.75,
    "c0": 0.75,
    "c_inf": 0.75,
    "kappa": 0.75,
    "gamma": 0.3,
    "rod": 0.9,
    "noise_sd": 0.8,
    "litter": 0.4,
    "autumn": 0.4,
    "habit": 0.9,
}
FOOD_COMMON_SHARE = 0.8
ALIKENESS = (0.0, 0.25, 0.5, 0.75, 1.0)  # a


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Message:
    """What one filter's records say of the components it shares: exp(-z'Az/2 + v'z) over `names`."""

    names: tuple[str, ...]
    precision: Floats
    shift: Floats


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Believed:
    """A filter's history and belief once the facility has spoken; `shared` is the prior that the others gave."""

    history: History
    posterior: Posterior
    shared: Prior | None
    rng: (
        np.random.Generator
    )  # goes on where the belief left off, so that a filter alone reads as it does without a facility


def pooled_outlooks(
    evidences: Iterable[FilterEvidence],
    *,
    as_of: date,
    n_particles: int = 1000,
    horizon_days: int = 1095,
) -> dict[str, Outlook]:
    """The outlook of every filter of one facility, each told what the others taught. Keys are filter codes, in the order given."""
    evidences = list(evidences)
    believed = pooled_posteriors(evidences, as_of=as_of, n_particles=n_particles)
    out = {}
    for evidence in evidences:
        mine = believed.get(evidence.filter)
        if mine is None:
            out[evidence.filter] = without_geometry(evidence, as_of=as_of)
            continue
        future = future_load(mine.history, horizon_days=horizon_days)
        out[evidence.filter] = outlook_from(
            mine.posterior, mine.history, future, rng=mine.rng, horizon_days=horizon_days
        )
    return out


def pooled_posteriors(
    evidences: Iterable[FilterEvidence], *, as_of: date, n_particles: int = 1000
) -> dict[str, Believed]:
    """Beliefs of all filters that have geometry in force; a filter alone keeps what its own records say."""
    alone: dict[str, Believed] = {}
    for evidence in evidences:
        history = history_for(usable(evidence), as_of=as_of)
        if history is not None:
            rng = rng_for(evidence.filter, as_of)
            posterior = posterior_for(history, rng=rng, n_particles=n_particles)
            alone[evidence.filter] = Believed(history=history, posterior=posterior, shared=None, rng=rng)
    messages = {code: message_from(mine.posterior) for code, mine in alone.items()}
    out = {}
    for code, mine in alone.items():
        shared = prior_from([m for other, m in messages.items() if other != code])
        if shared is not None:
            posterior = posterior_under(shared, mine.posterior, mine.history, rng=mine.rng)
            mine = replace(mine, posterior=posterior, shared=shared)
        out[code] = mine
    return out


def common_share(name: str) -> float:
    """Share of the prior variance of a component that is common to a facility; 0 for what belongs to one filter or one event."""
    return FOOD_COMMON_SHARE if name.startswith("food:") else COMMON_SHARE.get(name, 0.0)


def message_from(posterior: Posterior) -> Message:
    """The normal message of a filter believed under the standard prior.

    Only directions that stand out of the particles' own sampling noise are kept: with D components and n particles the smallest
    eigenvalue of a covariance that should be 1 falls to about (1 - sqrt(2 D / n))^2.
    """
    names = tuple(name for name in posterior.names if common_share(name) > 0)
    mean, covariance = posterior.moments(names)
    values, vectors = np.linalg.eigh(covariance)
    gain = 1.0 / np.maximum(values, 1e-6) - 1.0
    noise = 1.0 / (1.0 - np.sqrt(2.0 * len(names) / max(posterior.effective_size, 4.0 * len(names)))) ** 2 - 1.0
    kept = gain > noise
    basis = vectors[:, kept]
    # v = C^-1 a along the kept directions; elsewhere nothing was said
    shift = basis @ ((basis.T @ mean) / np.maximum(values[kept], 1e-6))
    return Message(names=names, precision=(basis * gain[kept]) @ basis.T, shift=shift)


def prior_from(messages: Sequence[Message]) -> Prior | None:
    """The prior that some filters' messages give another filter of the facility; None when they say nothing."""
    names = tuple(sorted({name for m in messages for name in m.names}))
    spoken = [m for m in messages if m.precision.any()]
    if not spoken:
        return None
    told = [_spread(m, names) for m in spoken]
    precisions, shifts = np.array([p for p, _ in told]), np.array([v for _, v in told])
    share = np.array([common_share(name) for name in names])
    candidates = [_given(c, precisions, shifts, share) for c in ALIKENESS]
    weights = np.exp(np.array([log_z for log_z, _, _ in candidates]) - max(log_z for log_z, _, _ in candidates))
    weights /= weights.sum()
    mean = sum(w * m for w, (_, m, _) in zip(weights, candidates, strict=True))
    covariance = sum(
        w * (cov + np.outer(m - mean, m - mean)) for w, (_, m, cov) in zip(weights, candidates, strict=True)
    )
    return Prior(names=names, mean=np.asarray(mean), covariance=np.asarray(covariance))


def _spread(message: Message, names: tuple[str, ...]) -> tuple[Floats, Floats]:
    at = np.array([names.index(name) for name in message.names])
    precision, shift = np.zeros((len(names), len(names))), np.zeros(len(names))
    precision[np.ix_(at, at)] = message.precision
    shift[at] = message.shift
    return precision, shift


def _given(alike: float, precisions: Floats, shifts: Floats, share: Floats) -> tuple[float, Floats, Floats]:
    """Log evidence of the messages (filters, D, D) and (filters, D), and mean and covariance of a new filter's z, for one alikeness."""
    common = alike * share
    own, eye = np.diag(1.0 - common), np.eye(len(share))
    widened = eye + precisions * (1.0 - common)  # a message about z_k, seen through z_k ~ N(mu, own), is one about mu
    seen = np.linalg.solve(widened, np.concatenate([precisions, shifts[:, :, None]], axis=2))
    total, told = seen[:, :, :-1].sum(axis=0), seen[:, :, -1]
    pull = told.sum(axis=0)
    log_z = -0.5 * np.linalg.slogdet(widened)[1].sum() + 0.5 * float(((shifts * (1.0 - common)) * told).sum())
    narrowed = eye + np.diag(common) @ total  # common may be nought, so never inverted
    covariance = np.linalg.solve(narrowed, np.diag(common))
    mean = covariance @ pull
    log_z += -0.5 * np.linalg.slogdet(narrowed)[1] + 0.5 * float(pull @ mean)
    return log_z, mean, 0.5 * (covariance + covariance.T) + own
