"""The rules of thumb a forecast is held against, each made as strong as a careful keeper with a notebook could make it.

Every rule always answers, with days from as_of: where it has nothing to go on it falls back on the one below it. Litres per kilogram come from
all readings of the filter's own past, not from this cycle alone, and a reading of this cycle is where the counting starts.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from .baselines import fixed_interval, straight_line
from .inputs import FilterEvidence, Geometry
from .priors import Floats

TEXTBOOK_LITRES_PER_KG = 2.0  # wet sludge per kg of dry feed over the first year, before a filter has a past: judgement
YEAR, RECENT = 365, 90
RULES = ("fixed interval", "straight line", "feed of 90 days", "feed of last year")


@dataclass(frozen=True, slots=True)
class _Notebook:
    """Feed by day, what was read in litres with the feed since the void was emptied, and where things stand."""

    fed: dict[date, float]  # kg dry, to this filter
    pairs: tuple[tuple[float, float], ...]  # kg since emptied, litres read
    emptied_on: date
    last_read: tuple[date, float] | None  # of this cycle, in litres
    build: Geometry


def naive_days(evidence: FilterEvidence, *, as_of: date, horizon_days: int = 1095) -> dict[str, float]:
    """Days to due by each of RULES, at most horizon_days; empty without geometry."""
    notes = _notebook(evidence, as_of)
    if notes is None:
        return {}

    def days_to(day: date | None, instead: float) -> float:
        return instead if day is None else float(min((day - as_of).days, horizon_days))

    fixed = days_to(fixed_interval(evidence, as_of=as_of), float(horizon_days))
    return {
        "fixed interval": fixed,
        "straight line": days_to(straight_line(evidence, as_of=as_of, horizon_days=horizon_days), fixed),
        "feed of 90 days": _by_feed(notes, as_of, horizon_days, last_year=False),
        "feed of last year": _by_feed(notes, as_of, horizon_days, last_year=True),
    }


def _notebook(evidence: FilterEvidence, as_of: date) -> _Notebook | None:
    builds = sorted((b for b in evidence.builds if b.valid_from <= as_of), key=lambda b: b.valid_from)
    if not builds:
        return None
    fed: dict[date, float] = {}
    for portion in evidence.feedings:
        if portion.on <= as_of:
            fed[portion.on] = fed.get(portion.on, 0.0) + portion.dry_g * evidence.feed_share / 1000.0
    emptied = {b.valid_from for b in builds}
    emptied |= {c.on for c in evidence.cleanouts if c.outcome == "full" and c.on <= as_of}
    starts = sorted(emptied)
    days = sorted(fed)
    running = np.concatenate([[0.0], np.cumsum([fed[day] for day in days])])
    ordinals = np.array([day.toordinal() for day in days])

    def kg_by(day: date) -> float:
        return float(running[np.searchsorted(ordinals, day.toordinal(), side="right")])

    pairs, last_read = [], None
    for on, depth_mm in _readings(evidence, as_of):
        before = [start for start in starts if start < on]
        if before:
            build = [b for b in builds if b.valid_from < on][-1]
            litres = depth_mm * build.usable_area_m2
            pairs.append((kg_by(on) - kg_by(before[-1]), litres))
            if before[-1] == starts[-1]:
                last_read = (on, litres)
    return _Notebook(fed, tuple(pairs), starts[-1], last_read, builds[-1])


def _readings(evidence: FilterEvidence, as_of: date) -> list[tuple[date, float]]:
    read = [
        (s.on, sum(s.depths_mm) / len(s.depths_mm))
        for s in evidence.soundings
        if s.on <= as_of and s.depths_mm and not s.is_disputed
    ]
    read += [
        (c.on, c.depth_before_mm)
        for c in evidence.cleanouts
        if c.on <= as_of and c.depth_before_mm is not None and not c.is_disputed
    ]
    return sorted(read)


def _by_feed(notes: _Notebook, as_of: date, horizon_days: int, *, last_year: bool) -> float:
    """Litres per kg of the filter's own past, carried on with the feed of the last 90 days or of the last year day by day."""
    squares = sum(kg * kg for kg, _ in notes.pairs)
    per_kg = sum(kg * litres for kg, litres in notes.pairs) / squares if squares > 0 else 0.0
    if per_kg <= 0:
        per_kg = TEXTBOOK_LITRES_PER_KG
    since, litres = notes.last_read or (notes.emptied_on, 0.0)
    litres += per_kg * sum(kg for on, kg in notes.fed.items() if on > since)
    goal = notes.build.due_fill * notes.build.usable_void_l
    if litres >= goal:
        return 0.0
    ahead = litres + per_kg * np.cumsum(_feed_ahead(notes.fed, as_of, horizon_days, last_year=last_year))
    return float(min(int(np.searchsorted(ahead, goal)) + 1, horizon_days))


def _feed_ahead(fed: dict[date, float], as_of: date, horizon_days: int, *, last_year: bool) -> Floats:
    if not fed:
        return np.zeros(horizon_days)
    logged = (as_of - min(fed)).days + 1
    span = min(logged, YEAR if last_year else RECENT)
    past = np.array([fed.get(as_of - timedelta(days=span - 1 - i), 0.0) for i in range(span)])
    if last_year and span == YEAR:
        return np.resize(past, horizon_days)
    return np.full(horizon_days, past.mean())
