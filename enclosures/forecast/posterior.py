"""What is believed of a filter after its whole history, and which readings the model does not explain."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .history import History
from .inputs import Geometry, SoundingSeen
from .likelihood import Reading, cleanout_choices, cleans_by_calendar, readings, roof, sounding_fit
from .priors import Floats, Prior
from .run import Drawn, run_history, unpack
from .tempering import IMPOSSIBLE, Fit, Sample, effective_size, normalised, resampled_under, tempered_sample
from .void_model import VoidState

IMPOSSIBLE_TAIL = 0.001
MAX_LEFT_OUT = 4
LOOK_PARTICLES = 250  # enough to see what the prior cannot explain


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
    n_moves: int = 0
    left_out: tuple[str, ...] = ()
    behind_l: Floats | None = None  # volume after each block of the history; not stored

    @property
    def n(self) -> int:
        return len(self.weights)

    @property
    def effective_size(self) -> float:
        return effective_size(self.weights)

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
            state=VoidState(stored["labile_kg"], stored["lasting_kg"], stored["volume_l"]),
            log_evidence=float(stored["log_evidence"]),
            left_out=tuple(str(name) for name in stored["left_out"]),
        )


class _Stages:
    """A history as a problem in stages: one stage for every day something was read, the last one to the end of as_of."""

    def __init__(self, history: History, left_out: frozenset[str]) -> None:
        self._history, self._left_out = history, left_out
        self._choices = cleanout_choices(history)
        self._has_roof = not cleans_by_calendar(history)
        n_blocks = len(history.blocks)
        self._ends = [row + 1 for row, block in enumerate(history.blocks) if block.events]
        if not self._ends or self._ends[-1] < n_blocks:
            self._ends.append(n_blocks)
        self.n_stages = len(self._ends)
        self._events_by = np.cumsum([0] + [len(block.events) for block in history.blocks])
        self._drawn: Drawn | None = None

    def extend(self, stage: int, z: Floats, fit: Fit | None) -> Fit:
        drawn = self._unpacked(z)
        begin = self._ends[stage - 1] if stage else 0
        if fit is None:
            before, state = np.zeros(len(z)), None
        else:
            before = fit.before + fit.here
            state = VoidState(*(c.copy() for c in fit.carried))
        return self._go(drawn, state, begin, stage, before)

    def run(self, stage: int, z: Floats) -> Fit:
        drawn = unpack(z, self._history)
        begin = self._ends[stage - 1] if stage else 0
        before, state = np.zeros(len(z)), None
        if begin:
            state, volumes = run_history(self._history, drawn, rows=range(begin))
            before = self._log_likelihood(drawn, volumes, range(self._events_by[begin]))
        return self._go(drawn, state, begin, stage, before)

    def active(self, stage: int) -> np.ndarray:
        end = self._ends[stage]
        events = self._history.events[: self._events_by[end]]
        started = {event.name for event in events}
        period = self._history.blocks[end - 1].period
        cycle = events[-1].cycle if events else -1

        def has_spoken(name: str) -> bool:
            kind, _, rest = name.partition(":")
            if kind == "noise":
                return int(rest) <= period
            if kind == "mound":
                return int(rest) <= cycle
            return kind not in ("resid", "rebuild") or name in started

        return np.array([has_spoken(name) for name in self._history.names])

    def _go(self, drawn: Drawn, state: VoidState | None, begin: int, stage: int, before: Floats) -> Fit:
        end = self._ends[stage]
        state, volumes = run_history(self._history, drawn, state=state, rows=range(begin, end))
        here = self._log_likelihood(drawn, volumes, range(self._events_by[begin], self._events_by[end]))
        if end == len(self._history.blocks) and self._has_roof:
            here = here + roof(self._history, state.volume_l)
        return Fit(before=before, here=here, carried=(state.labile_kg, state.lasting_kg, state.volume_l))

    def _log_likelihood(self, drawn: Drawn, volumes: Floats, events: range) -> Floats:
        total = np.zeros(drawn.n)
        for reading in self.readings(drawn, volumes, events):
            total += reading.log_likelihood
        return np.nan_to_num(total, nan=IMPOSSIBLE, neginf=IMPOSSIBLE)

    def readings(self, drawn: Drawn, volumes: Floats, events: range) -> list[Reading]:
        return readings(self._history, drawn, volumes, events=events, choices=self._choices, left_out=self._left_out)

    def first_event_of(self, stage: int) -> int:
        return int(self._events_by[self._ends[stage - 1] if stage else 0])

    def _unpacked(self, z: Floats) -> Drawn:
        if self._drawn is None or self._drawn.z is not z:
            self._drawn = unpack(z, self._history)
        return self._drawn


def posterior_for(
    history: History, *, rng: np.random.Generator, n_particles: int = 1000, shared: Prior | None = None
) -> Posterior:
    """Belief about a filter at the end of history.as_of. `shared` moves the prior of the components it names (facility pooling).

    A reading beyond the .001 tail of what the prior allows, or one that all others make impossible, is left out and named.
    """
    prior = shared.spread_over(history.names) if shared else Prior.standard(history.names)
    left_out = _impossible(history, prior, rng.spawn(1)[0])
    n_moves = 0
    for attempt in range(MAX_LEFT_OUT + 1):
        stages = _Stages(history, left_out)
        sample = tempered_sample(stages, prior, rng, n_particles=n_particles)
        n_moves += sample.n_moves
        worst, behind = _review(history, stages, sample)
        if worst is None or attempt == MAX_LEFT_OUT:
            break
        left_out = left_out | {worst}
    labile, lasting, volume = sample.carried
    return Posterior(
        names=history.names,
        z=sample.z,
        weights=sample.weights,
        state=VoidState(labile, lasting, volume),
        log_evidence=sample.log_evidence,
        n_moves=n_moves,
        left_out=tuple(sorted(left_out)),
        behind_l=behind,
    )


def posterior_under(shared: Prior, posterior: Posterior, history: History, *, rng: np.random.Generator) -> Posterior:
    """The same particles carried over to another prior: the facility's, once every filter has spoken under its own.

    A change of prior is taken in by steps like a likelihood, which costs a few runs of the history where a new pass costs a dozen. Falls
    back on a new pass when the two priors are too far apart.
    """
    stages = _Stages(history, frozenset(posterior.left_out))
    sample = resampled_under(
        stages,
        posterior.z,
        posterior.weights,
        rng,
        old=Prior.standard(history.names),
        new=shared.spread_over(history.names),
    )
    if sample is None:
        return posterior_for(history, rng=rng, n_particles=posterior.n, shared=shared)
    labile, lasting, volume = sample.carried
    return replace(
        posterior,
        z=sample.z,
        weights=sample.weights,
        state=VoidState(labile, lasting, volume),
        n_moves=posterior.n_moves + sample.n_moves,
        behind_l=None,
    )


def _impossible(history: History, prior: Prior, rng: np.random.Generator) -> frozenset[str]:
    """Readings that lie beyond the .001 tail of everything the prior can make of the records."""
    if not history.events:
        return frozenset()
    drawn = unpack(prior.draw(rng, LOOK_PARTICLES), history)
    _, volumes = run_history(history, drawn)
    seen = _Stages(history, frozenset()).readings(drawn, volumes, range(len(history.events)))
    return frozenset(r.entry for r in seen if r.tail is not None and float(r.tail().mean()) < IMPOSSIBLE_TAIL)


def _review(history: History, stages: _Stages, sample: Sample) -> tuple[str | None, Floats]:
    """The reading that fits worst after all, when it is beyond belief or tempering stuck at it; and the volumes week by week."""
    drawn = unpack(sample.z, history)
    trace: list[Floats] = []
    _, volumes = run_history(history, drawn, trace=trace)
    seen = stages.readings(drawn, volumes, range(len(history.events)))
    tails = [(float(sample.weights @ r.tail()), r.entry, r.event) for r in seen if r.tail is not None]
    if sample.stuck_at is not None:
        first = stages.first_event_of(sample.stuck_at)
        tails = [item for item in tails if item[2] >= first][:3] or tails
    if not tails:
        return None, np.array(trace)
    least, entry, event = min(tails)
    is_beyond = least < IMPOSSIBLE_TAIL or sample.stuck_at is not None
    if is_beyond:
        entry = _older_of_two(history, stages, drawn, volumes, entry=entry, event=event)
    return entry if is_beyond else None, np.array(trace)


def _older_of_two(history: History, stages: _Stages, drawn: Drawn, volumes: Floats, *, entry: str, event: int) -> str:
    """Which of two readings that contradict each other is left out: the older, since the newer one saw the sludge of today.

    Only where the newest sounding has a single other reading in its cycle; several that agree outweigh one that does not.
    """
    newest = max((n for n, e in enumerate(history.events) if e.sounding is not None), default=-1)
    if event != newest:
        return entry
    cycle = history.events[newest].cycle
    seen = stages.readings(drawn, volumes[:newest], range(newest))
    others = {r.entry for r in seen if r.tail is not None and history.events[r.event].cycle == cycle}
    return others.pop() if len(others) == 1 else entry


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
