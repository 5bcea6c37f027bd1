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
    """`on`: the day it came due, or was emptied or rebuilt without that being known; None while open."""

    kind: Kind = "open"
    on: date | None = None


def outcome_of(evidence: FilterEvidence, *, made_on: date, until: date) -> Outcome:
    """What the records up to `until` say became of the void that was filling on made_on."""
    found = resolve(evidence, as_of=made_on, until=until)
    if found is not None and found.due_days is not None:
        return Outcome(kind="came", on=made_on + timedelta(days=int(found.due_days)))
    end = _ended_on(evidence, made_on, until)
    if end is None:
        return Outcome()
    is_read = found is not None and found.not_by_days == (end - made_on).days
    return Outcome(kind="cleaned" if is_read else "unread", on=end)


def resolve(evidence: FilterEvidence, *, as_of: date, until: date) -> Resolved | None:
    """What the records up to `until` say became of the cycle that was running on as_of; None when they say nothing."""
    end = _ended_on(evidence, as_of, until) or until
    build = evidence.build_on(as_of)
    opened = _opened(evidence, as_of)
    if opened is None or build is None:
        return None
    due_mm = build.due_fill * build.void_height_mm
    previous = opened
    for on, depth_mm in _read_between(evidence, opened[0], end):
        if depth_mm >= due_mm:
            share = (due_mm - previous[1]) / max(depth_mm - previous[1], 1e-9)
            reached = previous[0] + timedelta(days=round(max(share, 0.0) * (on - previous[0]).days))
            return Resolved(due_days=float(max((reached - as_of).days, 0))) if on > as_of else Resolved(due_days=0.0)
        previous = (on, depth_mm)
    return Resolved(not_by_days=float((previous[0] - as_of).days)) if previous[0] > as_of else None


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
