"""Filters that stand on one enclosure share its feed and litter by measured flow, else by chamber area."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import OuterRef, Subquery

from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import FeedPortion
from enclosures.models import FilterBuild, FilterKind, FlowCheck


@dataclass(frozen=True, kw_only=True, slots=True)
class Sibling:
    """One void on an enclosure, from the day it was there to the day it went."""

    filter: int
    from_on: date
    to_on: date | None
    flow_l_per_h: float | None  # the latest measured, else the baseline
    chamber_area_m2: float

    def stood_on(self, day: date) -> bool:
        return self.from_on <= day and (self.to_on is None or day < self.to_on)


def load_siblings(places: Collection[int], *, as_of: AsOf) -> dict[int, list[Sibling]]:
    """All voids by enclosure id, as known on the day. One query."""
    flows = as_of.rows(FlowCheck).filter(filter=OuterRef("filter"), flow_l_per_h__gt=0).newest_first()
    rows = (
        FilterBuild.objects.filter(
            filter__enclosure__in=places, filter__kind=FilterKind.UPFLOW, valid_from__lte=as_of.day
        )
        .annotate(flow_l_per_h=Subquery(flows.values("flow_l_per_h")[:1]))
        .select_related("filter")
        .order_by("filter", "valid_from")
    )
    builds: dict[int, list[FilterBuild]] = defaultdict(list)
    for build in rows:
        builds[build.filter_id].append(build)
    found: dict[int, list[Sibling]] = defaultdict(list)
    for pk, own in builds.items():
        row, now = own[0].filter, own[-1]
        began = row.commissioned_on if row.commissioned_on and row.commissioned_on <= as_of.day else None
        retired = row.retired_on if row.retired_on and row.retired_on <= as_of.day else None
        found[row.enclosure_id].append(
            Sibling(
                filter=pk,
                from_on=min(filter(None, (began, own[0].valid_from))),
                to_on=retired,
                flow_l_per_h=now.flow_l_per_h or now.baseline_flow_l_per_h or None,  # type: ignore[attr-defined]
                chamber_area_m2=now.chamber_area_m2,
            )
        )
    return found


def share_on(day: date, filter: int, siblings: Collection[Sibling]) -> float:
    """A filter's part of its enclosure's feed on a day (0-1]; 1 when it stands alone or has no void on record."""
    there = [sibling for sibling in siblings if sibling.stood_on(day) or sibling.filter == filter]
    weights: Mapping[int, float] = {s.filter: s.flow_l_per_h or 0.0 for s in there}
    if not all(weights.values()):
        weights = {s.filter: s.chamber_area_m2 for s in there}
    return weights[filter] / sum(weights.values()) if filter in weights else 1.0


def edges_of(siblings: Collection[Sibling]) -> set[date]:
    """Days on which a filter came or went, so that the others' part changed."""
    return {s.from_on for s in siblings} | {s.to_on for s in siblings if s.to_on}


def shared_portions(
    portions: tuple[FeedPortion, ...], filter: int, siblings: Collection[Sibling], *, share: float
) -> tuple[FeedPortion, ...]:
    """Portions to be multiplied by today's `share`, so that days on which fewer or more filters stood there count by their own."""
    edges = edges_of(siblings)
    if len(siblings) < 2 or not portions or all(edge <= portions[0].on for edge in edges):
        return portions
    factor: dict[date, float] = {}
    scaled = []
    for portion in portions:
        if portion.on not in factor:
            factor[portion.on] = share_on(portion.on, filter, siblings) / share
        k = factor[portion.on]
        scaled.append(
            portion
            if k == 1
            else replace(
                portion,
                dry_g=portion.dry_g * k,
                protein_g=portion.protein_g * k,
                removed_dry_g=portion.removed_dry_g * k,
            )
        )
    return tuple(scaled)
