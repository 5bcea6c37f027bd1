"""The front door: everything known of one filter in, its outlook out."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from .custom import doubt_words
from .due_dates import (
    Projection,
    chances_within,
    day_quantiles,
    first_passage_days,
    project,
    quantiles,
    weighted_quantiles,
)
from .future_feed import FutureLoad, future_load
from .history import History, history_for
from .inputs import FilterEvidence, Outlook, Quantiles, Trace
from .likelihood import rod_spread_mm, sounding_fit
from .outlook_notes import notes_of, unexplained_words
from .planned_words import ahead_words
from .posterior import Posterior, posterior_for
from .priors import Floats, Prior
from .run import litter_kg, loads_kg, run_history, unpack
from .sureness import Cycle, basis_of, cycle_of, next_reading_words, sureness_of

MODEL_VERSION = "void-2p-7"
CHANCE_DAYS = (30, 60, 180, 365)
FEED_DAYS = 28
TRACE_POINTS = 120
LATELY_DAYS = 45
FAR_TAIL = 0.05  # two-sided, of what the rod should show


def outlook_for(
    evidence: FilterEvidence,
    *,
    as_of: date,
    rng: np.random.Generator | None = None,
    n_particles: int = 1000,
    horizon_days: int = 1095,
    shared: Prior | None = None,
) -> Outlook:
    """How full the void is at the end of `as_of` and when it will be due, with ranges, from nothing dated after that day.

    rng None: seeded from the filter's code and the day, so that a reload shows the same dates. `shared` is what the facility's other
    filters taught. A filter without usable geometry still has its outlook, with the reason.
    """
    rng = rng_for(evidence.filter, as_of) if rng is None else rng
    history = history_for(usable(evidence), as_of=as_of)
    if history is None:
        return without_geometry(evidence, as_of=as_of)
    posterior = posterior_for(history, rng=rng, n_particles=n_particles, shared=shared)
    future = future_load(history, horizon_days=horizon_days)
    return outlook_from(posterior, history, future, rng=rng, horizon_days=horizon_days)


def rng_for(filter_code: str, as_of: date) -> np.random.Generator:
    """A generator that is the same on every machine and every reload for one filter and day."""
    return np.random.default_rng(seed_for(filter_code, as_of))


def seed_for(filter_code: str, as_of: date) -> int:
    """What `rng_for` starts from, for whoever draws the same numbers more than once."""
    digest = hashlib.sha256(f"{filter_code}|{as_of.isoformat()}".encode()).digest()
    return int.from_bytes(digest[:8], "big")


def usable(evidence: FilterEvidence) -> FilterEvidence:
    """The evidence without builds that have no size: such a build is no geometry."""
    builds = tuple(b for b in evidence.builds if b.usable_void_l > 0 and b.due_fill > 0)
    return evidence if len(builds) == len(evidence.builds) else replace(evidence, builds=builds)


def without_geometry(evidence: FilterEvidence, *, as_of: date) -> Outlook:
    """The outlook of a filter that cannot be forecast."""
    return Outlook(
        filter=evidence.filter,
        as_of=as_of,
        due_fill=None,
        void_height_mm=None,
        fill=None,
        depth_mm=None,
        rod_mm=None,
        due_on=None,
        full_on=None,
        not_before=None,
        sureness="none",
        basis="no geometry on record",
        next_reading="Enter the void's area and height: without them nothing can be forecast.",
        notes=("The void's area and height are not on record for this day.",),
        model_version=MODEL_VERSION,
    )


def outlook_from(
    posterior: Posterior,
    history: History,
    future: FutureLoad,
    *,
    rng: np.random.Generator,
    horizon_days: int = 1095,
) -> Outlook:
    """The outlook of a belief already at hand and a future given: a what-if reruns only this."""
    as_of, geometry = history.as_of, history.geometry
    projection = project(posterior, history, future, rng=rng)
    weights = projection.weights
    doubt = doubt_words(posterior.weights, weights)
    posterior = replace(posterior, weights=weights)
    fills = posterior.state.volume_l / geometry.usable_void_l
    fill = quantiles(fills, weights)
    due = first_passage_days(projection, geometry.due_fill, horizon_days=horizon_days)
    full = first_passage_days(projection, 1.0, horizon_days=horizon_days)
    due_on = day_quantiles(due, weights, as_of)
    left_out = frozenset(posterior.left_out)
    cycle = cycle_of(history, left_out)
    cycle = replace(cycle, is_last_far=_is_last_far(posterior, history, cycle))
    horizon_on = as_of + timedelta(days=horizon_days)
    seen = [e for e in history.events if e.sounding is not None]
    last = seen[-1] if seen else None
    offered = history.load.logged_kg
    emptied = max((cycle.opened_on - history.start).days, 0)
    return Outlook(
        filter=history.evidence.filter,
        as_of=as_of,
        due_fill=geometry.due_fill,
        void_height_mm=geometry.void_height_mm,
        fill=fill,
        depth_mm=_scaled(fill, geometry.void_height_mm),
        rod_mm=_rod_today(posterior, history, rng),
        due_on=due_on,
        full_on=day_quantiles(full, weights, as_of),
        not_before=horizon_on if None in (due_on.p10, due_on.p50, due_on.p90) else None,
        sureness=sureness_of(cycle, as_of=as_of),
        basis=basis_of(cycle),
        chance_due_within=chances_within(due, weights, CHANCE_DAYS),
        n_soundings=cycle.n_soundings,
        n_cleanouts=cycle.n_cleanouts,
        last_sounding_on=last.on if last else None,
        last_sounding_fill=_fill_read(last) if last else None,
        last_emptied_on=cycle.last_emptied_on,
        dry_feed_since_emptied_g=float(offered[emptied:].sum() * 1000.0),
        feed_g_per_day=float(offered[-FEED_DAYS:].sum() * 1000.0 / min(FEED_DAYS, len(offered))),
        litter_share=_litter_share(posterior, history, cycle.opened_on),
        next_reading=next_reading_words(
            cycle, fill=fill, due_fill=geometry.due_fill, due_on=due_on, as_of=as_of, horizon_on=horizon_on
        ),
        unexplained=tuple(unexplained_words(history, left_out)),
        notes=(*notes_of(history, due, weights), *doubt),
        ahead=(*ahead_words(history.evidence, as_of=as_of), *_taken(future)),
        trace=_trace(posterior, history, projection),
        model_version=MODEL_VERSION,
    )


def _taken(future: FutureLoad) -> tuple[str, ...]:
    return (future.taken_for_granted,) if future.taken_for_granted else ()


def _scaled(fill: Quantiles, height_mm: float) -> Quantiles:
    return Quantiles(p10=fill.p10 * height_mm, p50=fill.p50 * height_mm, p90=fill.p90 * height_mm)


def _rod_today(posterior: Posterior, history: History, rng: np.random.Generator) -> Quantiles:
    """What a rod at the pipe would read: the mound and the reading's own error included, the grid as the end of its travel."""
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[-1] * posterior.state.volume_l / history.geometry.usable_area_m2
    read = at_pipe + rod_spread_mm(at_pipe, drawn.rod) * rng.standard_t(4, posterior.n)
    return quantiles(np.clip(read, 0.0, history.geometry.void_height_mm), posterior.weights)


def _is_last_far(posterior: Posterior, history: History, cycle: Cycle) -> bool:
    """Whether a rod read lately hardly moved a belief that it lies far from: one of the two is wrong, so neither is sure."""
    on = cycle.last_reading_on
    if on is None or (history.as_of - on).days > LATELY_DAYS:
        return False
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[history.n_cycles - 1] * posterior.state.volume_l / history.geometry.usable_area_m2
    read = [event.sounding for event in history.events if event.on == on and event.sounding is not None]
    read = [seen for seen in read if not seen.is_disputed and seen.entry not in posterior.left_out]
    tails = [sounding_fit(seen, history.geometry, at_pipe, drawn.rod)[1]() for seen in read]
    return any(float(posterior.weights @ tail) / float(posterior.weights.sum()) < FAR_TAIL for tail in tails)


def _fill_read(event) -> float:
    return sum(event.sounding.depths_mm) / len(event.sounding.depths_mm) / event.geometry.void_height_mm


def _litter_share(posterior: Posterior, history: History, opened_on: date) -> float:
    rows = [i for i, block in enumerate(history.blocks) if block.last_on > opened_on]
    if not rows:
        return 0.0
    drawn = unpack(posterior.z, history)
    total = loads_kg(history, drawn)[rows].sum(axis=0)
    litter = litter_kg(history, drawn)[rows].sum(axis=0)
    return weighted_quantiles(litter / np.maximum(total, 1e-12), posterior.weights)[1]


def _trace(posterior: Posterior, history: History, projection: Projection) -> Trace:
    """Fill week by week behind (thinned when long, a cleanout's fall kept) and month by month ahead."""
    volumes = posterior.behind_l
    if volumes is None:
        again: list[Floats] = []
        run_history(history, unpack(posterior.z, history), trace=again)
        volumes = np.array(again)
    every = max(len(history.blocks) // TRACE_POINTS, 1)
    points: list[tuple[date, Floats, bool]] = []
    geometry = history.first_geometry
    for row, block in enumerate(history.blocks):
        for number in block.events:
            if (rebuilt := history.events[number].rebuilt_to) is not None:
                geometry = rebuilt
        falls = any(history.events[n].kind != "sounding" for n in block.events)
        if falls or row % every == 0 or row == len(history.blocks) - 1:
            points.append((block.last_on, volumes[row] / geometry.usable_void_l, False))
    for row in range(4, len(projection.offsets), 4):
        day = history.as_of + timedelta(days=int(projection.offsets[row]))
        points.append((day, projection.fills[row], True))
    lines = [weighted_quantiles(values, posterior.weights) for _, values, _ in points]
    return Trace(
        days=tuple(day for day, _, _ in points),
        p10=tuple(round(line[0], 4) for line in lines),
        p50=tuple(round(line[1], 4) for line in lines),
        p90=tuple(round(line[2], 4) for line in lines),
        is_ahead=tuple(ahead for _, _, ahead in points),
    )
