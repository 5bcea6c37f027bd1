"""What became of a void after a forecast was made, as the rod told it.

A void *came* due on the day it first stood at its due line: between two readings, on the straight line between them; the reading taken before
a cleanout counts. Cleaned below the line, the day it would have come is not known (censored), and a forecast can be neither early nor late.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from .inputs import FilterEvidence

# open: nothing yet; came: due on that day; cleaned: read below its line when emptied; unread: emptied or rebuilt, and nobody read it then
Kind = Literal["open", "came", "cleaned", "unread"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Resolved:
    """What came: the day the void was due (in days after as_of), or that it was not yet due by then. Exactly one is set."""

    due_days: float | None = None
    not_by_days: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """`on`: the day it came due (before the forecast was made, where a later reading shows so), or was emptied or rebuilt without that being
    known; None while open. `below_on`: the last day on which the rod still stood below the due line, if that was after the forecast."""

    kind: Kind = "open"
    on: date | None = None
    below_on: date | None = None


def outcome_of(evidence: FilterEvidence, *, made_on: date, until: date) -> Outcome:
    """What the records up to `until` say became of the void that was filling on made_on."""
    reached, below_on = _reached(evidence, made_on, until)
    if reached is not None:
        return Outcome(kind="came", on=reached)
    below_on = below_on if below_on is not None and below_on > made_on else None
    end = _ended_on(evidence, made_on, until)
    if end is None:
        return Outcome(below_on=below_on)
    return Outcome(kind="cleaned" if below_on == end else "unread", on=end, below_on=below_on)


def resolve(evidence: FilterEvidence, *, as_of: date, until: date) -> Resolved | None:
    """What the records up to `until` say became of the cycle that was running on as_of, in days; None when they say nothing."""
    reached, below_on = _reached(evidence, as_of, until)
    if reached is not None:
        return Resolved(due_days=float(max((reached - as_of).days, 0)))
    return Resolved(not_by_days=float((below_on - as_of).days)) if below_on is not None and below_on > as_of else None


def _reached(evidence: FilterEvidence, as_of: date, until: date) -> tuple[date | None, date | None]:
    """Day on which the filling of as_of first stood at its due line; failing that, the last day known to be below it."""
    build, opened = evidence.build_on(as_of), _opened(evidence, as_of)
    if opened is None or build is None:
        return None, None
    due_mm = build.due_fill * build.void_height_mm
    previous = opened
    for on, depth_mm in _read_between(evidence, opened[0], _ended_on(evidence, as_of, until) or until):
        if depth_mm >= due_mm:
            share = max((due_mm - previous[1]) / max(depth_mm - previous[1], 1e-9), 0.0)
            return previous[0] + timedelta(days=round(share * (on - previous[0]).days)), None
        previous = (on, depth_mm)
    return None, previous[0]


def _ended_on(evidence: FilterEvidence, after: date, until: date) -> date | None:
    """First day after some day on which sludge was taken out or the void was rebuilt."""
    ends = [c.on for c in evidence.cleanouts if c.outcome != "attempted" and after < c.on <= until]
    ends += [b.valid_from for b in evidence.builds if after < b.valid_from <= until]
    return min(ends, default=None)


def _opened(evidence: FilterEvidence, as_of: date) -> tuple[date, float] | None:
    """When the filling that ran on as_of began, and the depth that was left in it (0 where nobody read it)."""
    began = [(b.valid_from, 0.0) for b in evidence.builds if b.valid_from <= as_of]
    began += [(c.on, c.depth_after_mm or 0.0) for c in evidence.cleanouts if c.outcome != "attempted" and c.on <= as_of]
    return max(began, default=None)


def _read_between(evidence: FilterEvidence, after: date, until: date) -> list[tuple[date, float]]:
    read = [
        (s.on, sum(s.depths_mm) / len(s.depths_mm))
        for s in evidence.soundings
        if after < s.on <= until and s.depths_mm and not s.is_disputed and s.qualifier != "<="
    ]
    read += [
        (c.on, c.depth_before_mm)
        for c in evidence.cleanouts
        if after < c.on <= until and c.depth_before_mm is not None and not c.is_disputed
    ]
    return sorted(read)
