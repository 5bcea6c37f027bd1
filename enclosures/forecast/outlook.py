"""The front door: everything known of one filter in, its outlook out."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

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
from .likelihood import rod_spread_mm
from .posterior import Posterior, posterior_for
from .priors import Floats, Prior
from .run import litter_kg, loads_kg, run_history, unpack
from .sureness import basis_of, cycle_of, day_words, next_reading_words, sureness_of

MODEL_VERSION = "void-2p-1"
CHANCE_DAYS = (30, 60, 180, 365)
FEED_DAYS = 28
TRACE_POINTS = 120
MIN_HUMP = 0.12
VALLEY_DAYS = 60
VALLEY_SHARE = 0.3  # of the sixty days either side


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
    digest = hashlib.sha256(f"{filter_code}|{as_of.isoformat()}".encode()).digest()
    return np.random.default_rng(int.from_bytes(digest[:8], "big"))


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
    as_of, geometry, weights = history.as_of, history.geometry, posterior.weights
    projection = project(posterior, history, future, rng=rng)
    fills = posterior.state.volume_l / geometry.usable_void_l
    fill = quantiles(fills, weights)
    due = first_passage_days(projection, geometry.due_fill, horizon_days=horizon_days)
    full = first_passage_days(projection, 1.0, horizon_days=horizon_days)
    due_on = day_quantiles(due, weights, as_of)
    left_out = frozenset(posterior.left_out)
    cycle = cycle_of(history, left_out)
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
        sureness=sureness_of(
            cycle,
            as_of=as_of,
            latest_is_unexplained=bool(last and last.sounding and last.sounding.entry in left_out),
        ),
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
        unexplained=tuple(_unexplained(history, left_out)),
        notes=tuple(_notes(history, due, weights)),
        trace=_trace(posterior, history, projection),
        model_version=MODEL_VERSION,
    )


def _scaled(fill: Quantiles, height_mm: float) -> Quantiles:
    return Quantiles(p10=fill.p10 * height_mm, p50=fill.p50 * height_mm, p90=fill.p90 * height_mm)


def _rod_today(posterior: Posterior, history: History, rng: np.random.Generator) -> Quantiles:
    """What a rod at the pipe would read: the mound and the reading's own error included, the grid as the end of its travel."""
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[-1] * posterior.state.volume_l / history.geometry.usable_area_m2
    read = at_pipe + rod_spread_mm(at_pipe, drawn.rod) * rng.standard_t(4, posterior.n)
    return quantiles(np.clip(read, 0.0, history.geometry.void_height_mm), posterior.weights)


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


def _unexplained(history: History, left_out: frozenset[str]) -> Iterator[str]:
    for event in history.events:
        if event.sounding is not None and event.sounding.entry in left_out:
            mm = sum(event.sounding.depths_mm) / len(event.sounding.depths_mm)
            yield (
                f"The model does not explain the sounding of {day_words(event.on)} ({mm:.0f} mm); "
                "it was left out. Repeat it if you can."
            )
        done = event.cleanout
        if done is None:
            continue
        named = {
            "before": f"depth before of {done.depth_before_mm or 0:.0f} mm",
            "after": f"depth after of {done.depth_after_mm or 0:.0f} mm",
            "slurry": f"{done.slurry_l or 0:.0f} L of slurry",
        }
        for label, words in named.items():
            if f"{done.entry}:{label}" in left_out:
                yield f"The model does not explain the {words} at the cleanout of {day_words(event.on)}; it was left out."


def _notes(history: History, due: Floats, weights: Floats) -> Iterator[str]:
    e, load = history.evidence, history.load
    if history.start_kind == "unknown" and not any(
        event.cleanout is not None and event.cleanout.outcome == "full" for event in history.events
    ):
        since = history.silent_from or history.start
        yield (
            f"How full the void was on {day_words(history.start)} is not known"
            + (f": nothing is on record from {day_words(since)} to then." if history.silent_from else ".")
        )
    if not load.logged_kg.any():
        if history.unlogged_kind == "stock":
            yield "No feed on record: the load is guessed from the animals' mass."
        elif history.unlogged_kind == "readings":
            yield "No feed on record: the rate is taken from the readings alone."
        else:
            yield "No feed on record: only dust, plants and leaves are counted."
    if load.gaps:
        yield _gap_note(load.gaps)
    if not load.is_running[-1]:
        yield "Drained: nothing is added until it is filled again."
    if not e.is_indoor and e.surface_m2 is None:
        yield "The water's surface is not on record, so leaves are not counted."
    for event in history.events:
        if event.sounding is not None and event.sounding.is_disputed:
            yield f"The sounding of {day_words(event.on)} was taken while signals disagreed, so it taught nothing."
        if event.kind == "rebuild" and not _was_cleaned(history, event.on):
            yield f"The rebuild of {day_words(event.on)} has no cleanout beside it: what was left in is guessed."
    if not e.is_indoor and (split := _valley(due, weights, history.as_of)):
        yield split


def _was_cleaned(history: History, on: date) -> bool:
    return any(e.cleanout is not None and e.cleanout.outcome != "attempted" and e.on == on for e in history.events)


def _gap_note(gaps) -> str:
    days = sum(gap.n_days for gap in gaps)
    if len(gaps) == 1:
        span = f"from {day_words(gaps[0].from_on)} to {day_words(gaps[0].to_on)}"
    else:
        span = f"in {len(gaps)} stretches, the longest from " + " to ".join(
            day_words(d) for d in max((g.n_days, g.from_on, g.to_on) for g in gaps)[1:]
        )
    return f"Feed was not logged {span} ({days} days in all); the usual amount was assumed."


def _valley(due: Floats, weights: Floats, as_of: date) -> str | None:
    """ "Before winter or after March": said when due dates fall in two humps with next to nothing between."""
    reached = np.isfinite(due) & (due > 0)
    if float(weights[reached].sum()) < 2 * MIN_HUMP:
        return None
    order = np.argsort(due[reached], kind="stable")
    days = due[reached][order]
    share = np.concatenate([[0.0], np.cumsum(weights[reached][order])])

    def by(day: Floats) -> Floats:
        return share[np.searchsorted(days, day, side="right")]

    starts = np.arange(0, int(days[-1]), 7, dtype=float)
    inside = by(starts + VALLEY_DAYS) - by(starts)
    before, after = by(starts) - by(starts - VALLEY_DAYS), by(starts + 2 * VALLEY_DAYS) - by(starts + VALLEY_DAYS)
    is_valley = (
        (inside <= VALLEY_SHARE * np.minimum(before, after))
        & (by(starts) >= MIN_HUMP)
        & (share[-1] - by(starts + VALLEY_DAYS) >= MIN_HUMP)
    )
    if not is_valley.any():
        return None
    start = float(starts[is_valley][0])
    first = as_of + timedelta(days=int(days[np.searchsorted(days, start, side="right") - 1]))
    then = as_of + timedelta(days=int(days[np.searchsorted(days, start + VALLEY_DAYS, side="right")]))
    return f"Due before about {day_words(first)} or after {day_words(then)}, hardly between: little is fed then."


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
