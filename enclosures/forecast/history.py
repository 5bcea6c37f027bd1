"""One filter's past laid out for the model: where it starts, blocks of days, and what happened at the end of which."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from . import priors
from .daily_load import DailyLoad, daily_load
from .inputs import CleanoutDone, FilterEvidence, Geometry, SoundingSeen
from .priors import Floats

BLOCK_DAYS = 7
SILENT_LEAD_DAYS = 365  # so long without any record after the start, and the start says nothing about the void
START_SLACK_DAYS = 60
DAYS_TO_DUE_UNLOGGED = 540.0  # a default rate where no feed was ever logged: the usual interval of the trade, no source
StartKind = Literal["clean", "unknown", "before cleanout"]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Event:
    """Something read or done. `geometry` is the build the rod stood in; for a rebuild the old one, with `rebuilt_to` the new."""

    kind: Literal["sounding", "cleanout", "rebuild"]
    on: date
    geometry: Geometry
    cycle: int  # mounds are counted anew after each cleanout
    name: str  # names its own uncertain component: the residual of a cleanout, the carry-over of a rebuild
    sounding: SoundingSeen | None = None
    cleanout: CleanoutDone | None = None
    rebuilt_to: Geometry | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Block:
    """A few days of like load. `days` counts running days only; `sources`, `leftover`... are sums in kg over the block."""

    last_on: date
    days: int
    temp_c: float
    period: int
    extra_age_days: float
    events: tuple[int, ...]  # indices of events at its end


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class History:
    """What the model runs through. Arrays have one row per block."""

    evidence: FilterEvidence
    as_of: date
    start: date
    start_kind: StartKind
    load: DailyLoad
    blocks: tuple[Block, ...]
    sources_kg: Floats
    leftover_kg: Floats
    litter_base: Floats
    litter_autumn: Floats
    unlogged_kg: Floats | None
    unlogged_kind: Literal["", "stock", "readings"]
    events: tuple[Event, ...]
    geometry: Geometry  # in force on as_of
    first_geometry: Geometry
    n_periods: int
    n_cycles: int
    names: tuple[str, ...]
    block_period: np.ndarray  # noise period of each block
    silent_from: date | None = None  # running before `start`, but with nothing on record from here

    @property
    def has_litter(self) -> bool:
        return bool(self.litter_base.any() or self.litter_autumn.any())

    @property
    def litter_median(self) -> float:
        return self._litter[0]

    @property
    def litter_spread(self) -> float:
        return self._litter[1]

    @property
    def _litter(self) -> tuple[float, float]:
        e = self.evidence
        return priors.litter_belief(litter_level=e.litter_level, litter_g_m2_year=e.litter_g_m2_year)


def history_for(evidence: FilterEvidence, *, as_of: date) -> History | None:
    """The filter's past up to the end of as_of; None when no build is in force by then."""
    builds = tuple(sorted((b for b in evidence.builds if b.valid_from <= as_of), key=lambda b: b.valid_from))
    if not builds:
        return None
    start, start_kind, silent_from = _start(evidence, builds, as_of)
    load = daily_load(evidence, start=start, as_of=as_of, is_running_before_records=start_kind != "clean")
    events = _events(evidence, builds, start, as_of)
    n_cycles = events[-1].cycle + 1 + (_ends_cycle(events[-1])) if events else 1
    unlogged, unlogged_kind = _unlogged(load, events, builds)
    blocks, edges = _blocks(load, events, as_of)
    n_periods = (load.n_days - 1) // priors.NOISE_PERIOD_DAYS + 1
    starts = np.array([a for a, _ in edges])
    running = load.is_running

    def per_block(values: Floats) -> Floats:
        masked = values * (running[:, None] if values.ndim == 2 else running)
        return np.add.reduceat(masked, starts, axis=0)

    return History(
        evidence=evidence,
        as_of=as_of,
        start=start,
        start_kind=start_kind,
        load=load,
        blocks=blocks,
        sources_kg=per_block(load.sources_kg),
        leftover_kg=per_block(load.leftover_kg),
        litter_base=per_block(load.litter_base),
        litter_autumn=per_block(load.litter_autumn),
        unlogged_kg=None if unlogged is None else per_block(unlogged),
        unlogged_kind=unlogged_kind,
        events=events,
        geometry=builds[-1],
        first_geometry=builds[0],
        n_periods=n_periods,
        n_cycles=n_cycles,
        names=_names(evidence, load, events, n_periods, n_cycles, start_kind, unlogged is not None),
        block_period=np.array([block.period for block in blocks]),
        silent_from=silent_from,
    )


def _start(evidence: FilterEvidence, builds: tuple[Geometry, ...], as_of: date) -> tuple[date, StartKind, date | None]:
    """Where the account opens, what is known of the void then, and since when silence made it unknown."""
    opened = builds[0].valid_from
    commissioned = evidence.commissioned_on or opened
    full = sorted(c.on for c in evidence.cleanouts if c.outcome == "full" and c.on <= as_of)
    records = sorted(
        [p.on for p in evidence.feedings if p.dry_g > 0 and opened <= p.on <= as_of]
        + [s.on for s in evidence.soundings if opened <= s.on <= as_of]
    )
    has_feed = any(p.dry_g > 0 and opened <= p.on <= as_of for p in evidence.feedings)
    first_record = records[0] if records and has_feed else None
    before_opening = [on for on in full if on < opened]
    if before_opening:
        opened_on, kind = before_opening[-1], "before cleanout"
    elif commissioned < opened:
        opened_on, kind = opened, "unknown"
    else:
        opened_on, kind = opened, "clean"
    if first_record is None or (first_record - opened_on).days <= SILENT_LEAD_DAYS:
        return opened_on, kind, None
    if kind == "clean" and _was_empty_until(evidence, first_record, as_of):
        return opened_on, kind, None
    # a long silence: the last full cleanout before the records is a better opening than a day years ago
    known = [on for on in full if opened_on < on <= first_record + timedelta(days=START_SLACK_DAYS)]
    if known and (first_record - known[-1]).days <= SILENT_LEAD_DAYS:
        return known[-1], "before cleanout", None
    return first_record, "unknown", opened_on


def _was_empty_until(evidence: FilterEvidence, day: date, as_of: date) -> bool:
    """Whether the stays on record say that nobody lived here before about this day."""
    arrivals = [stay.from_on for stay in evidence.stays if stay.from_on <= as_of]
    return bool(arrivals) and min(arrivals) >= day - timedelta(days=START_SLACK_DAYS)


def _ends_cycle(event: Event) -> bool:
    return event.kind == "rebuild" or (event.cleanout is not None and event.cleanout.outcome != "attempted")


def _events(evidence: FilterEvidence, builds: tuple[Geometry, ...], start: date, as_of: date) -> tuple[Event, ...]:
    """Soundings, cleanouts and rebuilds in the order they happened; on one day a rebuild follows the cleanout that went with it."""
    happened: list[tuple[tuple, str, object]] = []
    by_day: dict[date, list] = {}
    for seen in evidence.soundings:
        if start <= seen.on <= as_of and seen.depths_mm:
            by_day.setdefault(seen.on, []).append(("sounding", seen))
    for done in evidence.cleanouts:
        if start <= done.on <= as_of:
            by_day.setdefault(done.on, []).append(("cleanout", done))
    for on, things in by_day.items():
        timed = all(thing.minute is not None for _, thing in things)
        for kind, thing in things:
            order = thing.minute if timed else 0
            happened.append(((on, 1, order, kind != "sounding", thing.entry), kind, thing))
    for build in builds[1:]:
        cleaned = [key for key, kind, _ in happened if kind == "cleanout" and key[0] == build.valid_from]
        key = (*max(cleaned)[:4], "\uffff") if cleaned else (build.valid_from, 0, 0, False, "")
        if build.valid_from > start:
            happened.append((key, "rebuild", build))
    happened.sort(key=lambda item: item[0])
    return tuple(_numbered(happened, builds, start))


def _numbered(happened: list, builds: tuple[Geometry, ...], start: date):
    in_force = max((b for b in builds if b.valid_from <= max(start, builds[0].valid_from)), key=lambda b: b.valid_from)
    cycle = n_cleanouts = n_rebuilds = 0
    for (on, *_), kind, thing in happened:
        if kind == "sounding":
            yield Event(kind="sounding", on=on, geometry=in_force, cycle=cycle, name="", sounding=thing)
            continue
        if kind == "cleanout":
            event = Event(
                kind="cleanout", on=on, geometry=in_force, cycle=cycle, name=f"resid:{n_cleanouts}", cleanout=thing
            )
            n_cleanouts += 1
        else:
            event = Event(
                kind="rebuild", on=on, geometry=in_force, cycle=cycle, name=f"rebuild:{n_rebuilds}", rebuilt_to=thing
            )
            n_rebuilds += 1
            in_force = thing
        yield event
        cycle += _ends_cycle(event)


def _unlogged(load: DailyLoad, events: tuple[Event, ...], builds: tuple[Geometry, ...]):
    """A default rate (kg dry/d) where no feed was ever logged: from the stock, else only if readings show that something falls."""
    if load.logged_kg.any():
        return None, ""
    if load.unlogged_kg is not None:
        return load.unlogged_kg, "stock"
    if not any(e.kind == "sounding" or (e.cleanout and e.cleanout.depth_before_mm) for e in events):
        return None, ""
    litres_a_day = builds[-1].usable_void_l * builds[-1].due_fill / DAYS_TO_DUE_UNLOGGED
    return np.full(load.n_days, litres_a_day / 2.0), "readings"  # about two litres per kilogram of feed over a year


def _blocks(load: DailyLoad, events: tuple[Event, ...], as_of: date) -> tuple[tuple[Block, ...], list[tuple[int, int]]]:
    """Blocks of at most a week that end where something happened, where the filter was drained or filled, and at as_of."""
    stops = {(event.on - load.start).days + 1 for event in events} | {load.n_days}
    changes = np.flatnonzero(np.diff(load.is_running.astype(int))) + 1
    stops |= {int(at) for at in changes}
    at_day: dict[int, list[int]] = {}
    for number, event in enumerate(events):
        at_day.setdefault((event.on - load.start).days + 1, []).append(number)
    total = load.sources_kg.sum(axis=1)
    edges, blocks, begin = [], [], 0
    for stop in sorted(stops):
        while begin < stop:
            end = min(begin + BLOCK_DAYS, stop)
            edges.append((begin, end))
            runs = bool(load.is_running[begin])
            amount = total[begin:end].sum()
            age = 0.0
            if amount > 0:
                age = float(total[begin:end] @ np.arange(end - begin)[::-1]) / amount - (end - begin - 1) / 2
            blocks.append(
                Block(
                    last_on=load.on(end - 1),
                    days=end - begin if runs else 0,
                    temp_c=round(float(load.temp_c[begin:end].mean()) * 4) / 4,
                    period=((begin + end) // 2) // priors.NOISE_PERIOD_DAYS,
                    extra_age_days=age,
                    events=tuple(at_day.get(end, ())) if end == stop else (),
                )
            )
            begin = end
    return tuple(blocks), edges


def _names(evidence, load, events, n_periods, n_cycles, start_kind, has_unlogged) -> tuple[str, ...]:
    names = ["s", "phi", "k20", "theta", "kr20", "c0", "c_inf", "kappa", "gamma", "rod", "litter", "noise_sd", "habit"]
    if not evidence.is_indoor:
        names.append("autumn")
    names += [f"food:{name}" for name in load.classes if name != priors.REFERENCE_FOOD]
    names += [f"gap:{i}" for i in range(min(len(load.gaps), load.sources_kg.shape[1] - len(load.classes)))]
    if start_kind != "clean":
        names.append("start")
    if has_unlogged:
        names.append("unlogged")
    names += [f"mound:{i}" for i in range(n_cycles)]
    names += [e.name for e in events if e.name and not (e.cleanout and e.cleanout.outcome == "attempted")]
    names += [f"noise:{i}" for i in range(n_periods)]
    return tuple(names)
