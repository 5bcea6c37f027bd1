"""What a calendar, a ruler or a feed sum would have said: the methods a forecast must beat. One date each, no range."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from .inputs import FilterEvidence, Geometry

NO_HISTORY_DAYS = 540
RECENT_DAYS = 90


def last_emptied_on(evidence: FilterEvidence, *, as_of: date) -> date | None:
    """The last full cleanout or rebuild by as_of, else the first build."""
    days = [c.on for c in evidence.cleanouts if c.outcome == "full" and c.on <= as_of]
    days += [b.valid_from for b in evidence.builds if b.valid_from <= as_of]
    return max(days, default=None)


def fixed_interval(
    evidence: FilterEvidence, *, as_of: date, without_history_days: int = NO_HISTORY_DAYS
) -> date | None:
    """Last emptied plus the median past interval between full cleanouts, or a usual interval (365 or 540 days) before there is one."""
    emptied = last_emptied_on(evidence, as_of=as_of)
    if emptied is None:
        return None
    full = sorted(c.on for c in evidence.cleanouts if c.outcome == "full" and c.on <= as_of)
    past = [(b - a).days for a, b in pairwise(full) if b > a]
    return max(emptied + timedelta(days=round(median(past)) if past else without_history_days), as_of)


def straight_line(evidence: FilterEvidence, *, as_of: date, horizon_days: int = 1095) -> date | None:
    """Line from empty at the last cleanout through the soundings since; None without soundings or beyond the horizon."""
    emptied, build = last_emptied_on(evidence, as_of=as_of), evidence.build_on(as_of)
    if emptied is None or build is None:
        return None
    points = [((on - emptied).days, mm) for on, mm in _soundings_since(evidence, emptied, as_of)]
    slope = _through_origin(points)
    return None if slope is None else _date(emptied, _due_mm(build) / slope, as_of, horizon_days)


def feed_proportional(
    evidence: FilterEvidence, *, as_of: date, repeat_last_year: bool, horizon_days: int = 1095
) -> date | None:
    """Depth per gram of dry feed so far, carried on with the mean of the last 90 days or with last year's feed day by day."""
    emptied, build = last_emptied_on(evidence, as_of=as_of), evidence.build_on(as_of)
    if emptied is None or build is None:
        return None
    fed: dict[date, float] = {}
    for portion in evidence.feedings:
        if portion.on <= as_of:
            fed[portion.on] = fed.get(portion.on, 0.0) + portion.dry_g
    points = [
        (sum(g for on, g in fed.items() if emptied < on <= at), mm)
        for at, mm in _soundings_since(evidence, emptied, as_of)
    ]
    per_gram = _through_origin(points)
    if per_gram is None:
        return None
    depth = per_gram * sum(g for on, g in fed.items() if on > emptied)
    recent = sum(g for on, g in fed.items() if on > as_of - timedelta(days=RECENT_DAYS)) / RECENT_DAYS
    for ahead in range(horizon_days + 1):
        if depth >= _due_mm(build):
            return as_of + timedelta(days=ahead)
        like = as_of + timedelta(days=ahead + 1 - 365 * (ahead // 365 + 1))
        depth += per_gram * (fed.get(like, 0.0) if repeat_last_year else recent)
    return None


def _due_mm(build: Geometry) -> float:
    return build.due_fill * build.void_height_mm


def _soundings_since(evidence: FilterEvidence, emptied: date, as_of: date) -> list[tuple[date, float]]:
    return [
        (s.on, sum(s.depths_mm) / len(s.depths_mm))
        for s in evidence.soundings
        if emptied < s.on <= as_of and s.depths_mm and not s.is_disputed
    ]


def _through_origin(points: list[tuple[float, float]]) -> float | None:
    """Least-squares slope of a line through the origin; None without points or where it does not rise."""
    squares = sum(x * x for x, _ in points)
    slope = sum(x * y for x, y in points) / squares if squares > 0 else 0.0
    return slope if slope > 0 else None


def _date(origin: date, days: float, as_of: date, horizon_days: int) -> date | None:
    if days > (as_of - origin).days + horizon_days:
        return None
    return max(origin + timedelta(days=round(days)), as_of)
