"""How well each particle explains what was read: rod, rod at the grid, marks, slurry volumes, and where the keeper cleans."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import priors
from .history import Event, History
from .inputs import Geometry, SoundingSeen
from .priors import Floats
from .run import Drawn, normal_cdf

ROD_MM = 3.5
ROD_SHARE = 0.10  # of the depth
SHARED_ERROR = 0.6  # part of the error that readings by one person have in common


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Reading:
    """One thing learnt from: its log likelihood and two-sided tail probability per particle (None where a tail means nothing)."""

    entry: str
    label: str
    event: int
    log_likelihood: Floats
    tail: Floats | None


def t4_log_pdf(x: Floats) -> Floats:
    """Student's t with 4 degrees of freedom: (3/8) (1 + x^2/4)^(-5/2)."""
    return np.log(0.375) - 2.5 * np.log1p(0.25 * x * x)


def t4_upper_tail(x: Floats) -> Floats:
    """P(T > x) for t with 4 degrees of freedom; closed form, with the power law 3/x^4 far out where it would cancel."""
    x = np.asarray(x, dtype=float)
    size = np.abs(x)
    u = size / np.sqrt(4.0 + size * size)  # sin of the angle
    near = 0.5 - 0.25 * u * (3.0 - u * u)
    far = 3.0 / np.maximum(size, 1.0) ** 4
    upper = np.where(size > 200.0, far, near)
    return np.where(x >= 0, upper, 1.0 - upper)


def effective_readings(n: int) -> float:
    """How many independent readings n readings by one person are worth: 2 count as 1.25."""
    return n / (1.0 + SHARED_ERROR * (n - 1))


def rod_spread_mm(at_pipe_mm: Floats, rod: Floats) -> Floats:
    """sd (mm) of one rod reading where the pipe stands at at_pipe_mm of sludge."""
    return rod * np.hypot(ROD_MM, ROD_SHARE * at_pipe_mm)


def _rod(y_mm: float, qualifier: str, geometry: Geometry, at_pipe: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Log likelihood and tail of one rod reading; at the grid the rod can go no higher, so it says 'at least'."""
    if qualifier == ">=" or (not qualifier and y_mm >= geometry.void_height_mm):
        above = t4_upper_tail((min(y_mm, geometry.void_height_mm) - at_pipe) / spread)
        return np.log(above + 1e-300), above
    if qualifier == "<=":
        below = normal_cdf((y_mm - at_pipe) / spread)
        return np.log(below + 1e-300), below
    x = (y_mm - at_pipe) / spread
    return t4_log_pdf(x) - np.log(spread), 2.0 * t4_upper_tail(np.abs(x))


def sounding_fit(seen: SoundingSeen, geometry: Geometry, at_pipe: Floats, rod: Floats) -> tuple[Floats, Floats]:
    """Log likelihood and two-sided tail of one sounding (all its repeat readings) given the sludge at the pipe (mm)."""
    spread = rod_spread_mm(at_pipe, rod) / np.sqrt(effective_readings(len(seen.depths_mm)))
    return _rod(sum(seen.depths_mm) / len(seen.depths_mm), seen.qualifier, geometry, at_pipe, spread)


def readings(history: History, drawn: Drawn, volumes_l: Floats, excluded: frozenset[str]) -> list[Reading]:
    """Everything learnt from, in order; entries in `excluded` and disputed ones are passed over."""
    out: list[Reading] = []
    by_calendar = cleans_by_calendar(history)
    for number, event in enumerate(history.events):
        if event.kind == "rebuild":
            continue
        mean_mm = volumes_l[number] / event.geometry.usable_area_m2
        at_pipe = drawn.gamma[event.cycle] * mean_mm
        seen = event.sounding
        if seen is not None:
            if seen.is_disputed or seen.entry in excluded:
                continue
            log_like, tail = sounding_fit(seen, event.geometry, at_pipe, drawn.rod)
            out.append(Reading(entry=seen.entry, label="sounding", event=number, log_likelihood=log_like, tail=tail))
        else:
            out += _cleanout(
                number,
                event,
                drawn,
                volumes_l[number],
                mean_mm,
                at_pipe,
                excluded,
                habit=not by_calendar and _is_a_choice(history, number),
            )
    return out


def _cleanout(
    number: int,
    event: Event,
    drawn: Drawn,
    volume_l: Floats,
    mean_mm: Floats,
    at_pipe: Floats,
    excluded: frozenset[str],
    *,
    habit: bool,
) -> list[Reading]:
    done = event.cleanout
    assert done is not None
    out: list[Reading] = []

    def add(label: str, log_likelihood: Floats, tail: Floats | None) -> None:
        key = f"{done.entry}:{label}"
        if key not in excluded:
            out.append(Reading(entry=key, label=label, event=number, log_likelihood=log_likelihood, tail=tail))

    kept = drawn.kept_share(event)
    if not done.is_disputed:
        before = done.depth_before_mm
        if before is not None:
            spread = rod_spread_mm(at_pipe, drawn.rod)
            add("before", *_rod(before, done.depth_before_qualifier, event.geometry, at_pipe, spread))
        if done.depth_after_mm is not None:
            at_grid = before is None or done.depth_before_qualifier == ">=" or before >= event.geometry.void_height_mm
            stood = np.maximum(at_pipe, before or 0.0) if at_grid else np.full(drawn.n, before)
            stood = np.maximum(stood, 1.0)
            spread = np.hypot(0.02, ROD_MM / stood)
            x = (done.depth_after_mm / stood - kept) / spread
            add("after", t4_log_pdf(x) - np.log(spread), 2.0 * t4_upper_tail(np.abs(x)))
        if done.slurry_l is not None and done.slurry_l > 0 and done.outcome != "attempted":
            taken = np.maximum(volume_l * (1.0 - kept), 1e-9) * priors.SLURRY_DILUTION
            x = (np.log(done.slurry_l) - np.log(taken)) / priors.SLURRY_SPREAD
            add("slurry", -0.5 * x * x, 2.0 * normal_cdf(-np.abs(x)))
    if habit:
        share = np.log(np.maximum(mean_mm / event.geometry.void_height_mm, 1e-6) / event.geometry.due_fill)
        x = (share - priors.HABIT_SHIFT * drawn.component("habit")) / priors.HABIT_SPREAD
        add("habit", t4_log_pdf(x), None)
    return out


def _is_a_choice(history: History, number: int) -> bool:
    """Whether a cleanout tells where the keeper cleans: not one that opened the account, went with a rebuild, or finished another."""
    event = history.events[number]
    if event.cleanout is None or event.cleanout.outcome == "attempted":
        return False
    if history.start_kind == "before cleanout" and event.on == history.start:
        return False
    for other in history.events:
        if other.kind == "rebuild" and other.on == event.on:
            return False
        done = other.cleanout
        if done is not None and done.outcome != "attempted" and 0 < (event.on - other.on).days <= 90:
            return False
    return True


def cleans_by_calendar(history: History) -> bool:
    """Cleanout intervals more regular than what had fallen between: such a keeper's dates say nothing about the fill."""
    cleaned = [e.on for e in history.events if e.cleanout is not None and e.cleanout.outcome == "full"]
    if len(cleaned) < 4:
        return False
    days = [(on - history.start).days for on in cleaned]
    intervals = np.diff(days)
    running = np.concatenate([[0.0], np.cumsum(history.load.sources_kg.sum(axis=1))])
    fed = np.array([running[b] - running[a] for a, b in zip(days[:-1], days[1:], strict=True)])
    if (intervals <= 0).any() or (fed <= 0).any():
        return False
    return float(np.std(np.log(intervals))) < float(np.std(np.log(fed)))


def roof(history: History, volume_l: Floats) -> Floats:
    """Log of the soft belief that a running filter is seldom far over full today."""
    fill = volume_l / history.geometry.usable_void_l
    return -np.logaddexp(0.0, (fill - priors.ROOF_FILL) / priors.ROOF_WIDTH)
