"""Days without feed, behind and ahead: seasons on record, seasons planned, and past winters repeated where nothing is planned."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import numpy as np

from .daily_load import season_mask
from .inputs import FilterEvidence, SeasonSpan
from .priors import Floats


def unfed_mask(
    evidence: FilterEvidence,
    *,
    start: date,
    n_days: int,
    as_of: date,
    temp_c: Floats,
    kinds: tuple[str, ...] = ("brumation", "resting", "drained"),
) -> np.ndarray:
    """Days without feed: seasons on record, seasons planned, and, in years for which none is planned, past winters repeated."""
    last = start + timedelta(days=n_days - 1)
    spans = list(_known_and_repeated(evidence, as_of=as_of, last=last, start=start, temp_c=temp_c))
    return season_mask(spans, kinds=kinds, start=start, n_days=n_days)


def _known_and_repeated(
    evidence: FilterEvidence, *, as_of: date, last: date, start: date, temp_c: Floats
) -> Iterable[SeasonSpan]:
    known = sorted((s for s in evidence.seasons if s.from_on <= as_of), key=lambda s: (s.from_on, s.kind))
    closed = [s for s in known if s.to_on is not None and s.to_on <= as_of]
    yield from closed
    planned = [s for s in evidence.planned_seasons if s.to_on is None or s.to_on > as_of]
    yield from planned
    for span in known:
        if span not in closed:
            has_end = any(p.kind == span.kind and p.from_on <= as_of and p.to_on is not None for p in planned)
            to_on = as_of if has_end else _likely_end(span, closed, as_of, start, temp_c)
            yield SeasonSpan(kind=span.kind, from_on=span.from_on, to_on=to_on)
    for kind in ("brumation", "resting", "drained"):
        mine = [s for s in known if s.kind == kind]
        if mine and _is_yearly(kind, mine):
            decided = [s.from_on for s in planned if s.kind == kind]
            for span in _repeated(mine, closed, as_of=as_of, last=last):
                if all(abs((span.from_on - day).days) > 180 for day in decided):  # that year's dates are set
                    yield span


def _is_yearly(kind: str, mine: list[SeasonSpan]) -> bool:
    """A winter's rest comes again; a drained spell (a repair) only if it came at the same season before."""
    if kind == "brumation":
        return True
    gaps = [(b.from_on - a.from_on).days for a in mine for b in mine if b.from_on > a.from_on]
    return any(abs(gap - 365) <= 45 for gap in gaps)


def _repeated(mine: list[SeasonSpan], closed: list[SeasonSpan], *, as_of: date, last: date) -> Iterable[SeasonSpan]:
    ended = [s for s in mine if s in closed and s.to_on is not None and 14 <= (s.to_on - s.from_on).days <= 300]
    if not ended:
        return
    model = ended[-1]
    assert model.to_on is not None
    latest = mine[-1].from_on
    for years in range(1, 12):
        from_on = model.from_on + timedelta(days=round(365.25 * years))
        if from_on > last:
            return
        to_on = model.to_on + timedelta(days=round(365.25 * years))
        if to_on > as_of and (from_on - latest).days > 180:
            yield SeasonSpan(kind=model.kind, from_on=max(from_on, as_of + timedelta(days=1)), to_on=to_on)


def _likely_end(span: SeasonSpan, closed: list[SeasonSpan], as_of: date, start: date, temp_c: Floats) -> date | None:
    """When a season still running will end: as past ones did, else when the water warms; None when nothing says so."""
    past = [s for s in closed if s.kind == span.kind and s.to_on is not None]
    if past:
        model = past[-1]
        assert model.to_on is not None
        return max(span.from_on + (model.to_on - model.from_on), as_of)
    if span.kind != "brumation":
        return None
    ahead = (as_of - start).days + 1
    warm = np.flatnonzero(temp_c[ahead:] >= 12.0)
    return as_of + timedelta(days=1 + int(warm[0])) if len(warm) else None
