"""How well each particle explains what was read: rod, rod at the grid, marks, slurry volumes, and where the keeper cleans."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from . import priors
from .history import Event, History
from .inputs import Geometry, SoundingSeen
from .priors import Floats
from .run import Drawn, normal_cdf

ROD_MM = 3.5
ROD_SHARE = 0.10  # of the depth
SHARED_ERROR = 0.6  # part of the error that readings by one person have in common
TINY = 1e-300


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Reading:
    """One thing learnt from: its log likelihood per particle, and the two-sided tail where a tail means something."""

    entry: str
    event: int
    log_likelihood: Floats
    tail: Callable[[], Floats] | None


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


Fitted = tuple[Floats, Callable[[], Floats]]  # log likelihood, and a way to the two-sided tail


def _rod(y_mm: float, qualifier: str, geometry: Geometry, at_pipe: Floats, spread: Floats) -> Fitted:
    """One rod reading; at the grid the rod can go no higher, so it says 'at least'."""
    if qualifier == ">=" or (not qualifier and y_mm >= geometry.void_height_mm):
        above = t4_upper_tail((min(y_mm, geometry.void_height_mm) - at_pipe) / spread)
        return np.log(above + TINY), lambda: above
    if qualifier == "<=":
        below = normal_cdf((y_mm - at_pipe) / spread)
        return np.log(below + TINY), lambda: below
    return _t4((y_mm - at_pipe) / spread, spread)


def _t4(x: Floats, spread: Floats) -> Fitted:
    return t4_log_pdf(x) - np.log(spread), lambda: 2.0 * t4_upper_tail(np.abs(x))


def sounding_fit(seen: SoundingSeen, geometry: Geometry, at_pipe: Floats, rod: Floats) -> Fitted:
    """One sounding (all its repeat readings) given the sludge at the pipe (mm)."""
    spread = rod_spread_mm(at_pipe, rod) / np.sqrt(effective_readings(len(seen.depths_mm)))
    return _rod(sum(seen.depths_mm) / len(seen.depths_mm), seen.qualifier, geometry, at_pipe, spread)


def readings(
    history: History,
    drawn: Drawn,
    volumes_l: Floats,
    *,
    events: range,
    choices: frozenset[int],
    left_out: frozenset[str],
) -> list[Reading]:
    """What some events teach, in order. volumes_l has a row per event of `events`.

    `choices`: the cleanouts that tell where the keeper cleans (`cleanout_choices`). Entries in `left_out` and disputed ones are passed over.
    """
    out: list[Reading] = []
    for number, volume_l in zip(events, volumes_l, strict=True):
        event = history.events[number]
        if event.kind == "rebuild":
            continue
        mean_mm = volume_l / event.geometry.usable_area_m2
        at_pipe = drawn.gamma[event.cycle] * mean_mm
        found = (
            _of_sounding(event, drawn, at_pipe)
            if event.sounding is not None
            else _of_cleanout(event, drawn, volume_l, at_pipe)
        )
        for entry, (log_likelihood, tail) in found:
            if entry not in left_out:
                out.append(Reading(entry=entry, event=number, log_likelihood=log_likelihood, tail=tail))
        if number in choices:
            out.append(Reading(entry="", event=number, log_likelihood=_choice(event, drawn, mean_mm), tail=None))
    return out


def _of_sounding(event: Event, drawn: Drawn, at_pipe: Floats) -> Iterator[tuple[str, Fitted]]:
    seen = event.sounding
    assert seen is not None
    if not seen.is_disputed:
        yield seen.entry, sounding_fit(seen, event.geometry, at_pipe, drawn.rod)


def _of_cleanout(event: Event, drawn: Drawn, volume_l: Floats, at_pipe: Floats) -> Iterator[tuple[str, Fitted]]:
    """Depth before, share left by the rod, and litres in the drum; each is named "entry:before" and so on."""
    done = event.cleanout
    assert done is not None
    if done.is_disputed:
        return
    kept = drawn.kept_share(event)
    before = done.depth_before_mm
    at_grid = done.depth_before_qualifier == ">=" or (before or 0.0) >= event.geometry.void_height_mm
    if before is not None:
        spread = rod_spread_mm(at_pipe, drawn.rod)
        yield f"{done.entry}:before", _rod(before, done.depth_before_qualifier, event.geometry, at_pipe, spread)
    if done.depth_after_mm is not None:
        stood = np.maximum(at_pipe, before or 0.0) if before is None or at_grid else np.full(drawn.n, before)
        stood = np.maximum(stood, 1.0)
        spread = np.hypot(0.02, ROD_MM / stood)
        yield f"{done.entry}:after", _t4((done.depth_after_mm / stood - kept) / spread, spread)
    if done.slurry_l is not None and done.slurry_l > 0 and done.outcome != "attempted":
        taken = np.maximum(volume_l * (1.0 - kept), 1e-9) * priors.SLURRY_DILUTION
        x = (np.log(done.slurry_l) - np.log(taken)) / priors.SLURRY_SPREAD
        yield f"{done.entry}:slurry", (-0.5 * x * x, lambda: 2.0 * normal_cdf(-np.abs(x)))


def _choice(event: Event, drawn: Drawn, mean_mm: Floats) -> Floats:
    share = np.log(np.maximum(mean_mm / event.geometry.void_height_mm, 1e-6) / event.geometry.due_fill)
    return t4_log_pdf((share - priors.HABIT_SHIFT * drawn.component("habit")) / priors.HABIT_SPREAD)


def cleanout_choices(history: History) -> frozenset[int]:
    """Numbers of the cleanouts that tell at what fill the keeper cleans; none where they clean by the calendar."""
    if cleans_by_calendar(history):
        return frozenset()
    return frozenset(number for number in range(len(history.events)) if _is_a_choice(history, number))


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
    """Cleanout intervals more regular than the fills they found: such a keeper's dates say nothing about the fill.

    Fills are the depths read before where all were read, else the feed since the cleanout before. Needs four full cleanouts.
    """
    cleaned = [e for e in history.events if e.cleanout is not None and e.cleanout.outcome == "full"]
    if len(cleaned) < 4:
        return False
    days = [(e.on - history.start).days for e in cleaned]
    intervals = np.diff(days)
    depths = [e.cleanout.depth_before_mm for e in cleaned[1:] if e.cleanout is not None]
    if all(depths):
        fills = np.array(depths, dtype=float)
    else:
        running = np.concatenate([[0.0], np.cumsum(history.load.sources_kg.sum(axis=1))])
        fills = np.array([running[b] - running[a] for a, b in pairwise(days)])
    if (intervals <= 0).any() or (fills <= 0).any():
        return False
    return float(np.std(np.log(intervals))) < float(np.std(np.log(fills)))


def roof(history: History, volume_l: Floats) -> Floats:
    """Log of the soft belief that a running filter is seldom far over full today."""
    fill = volume_l / history.geometry.usable_void_l
    return -np.logaddexp(0.0, (fill - priors.ROOF_FILL) / priors.ROOF_WIDTH)
