"""Rows of the sludge tables of many filters, one query a table, as known on the day and oldest first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import date
from typing import Any, Literal

from django.db.models import prefetch_related_objects

from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import SoundingSeen
from enclosures.models import (
    Cleanout,
    Filter,
    FilterBuild,
    FlowCheck,
    PumpFitting,
    Sounding,
    SoundingReading,
    Upkeep,
    UpkeepKind,
)


def sounding_rows(ids: list[int], *, as_of: AsOf) -> dict[int, list[SoundingSeen]]:
    rows = (
        SoundingReading.objects.filter(sounding__in=as_of.rows(Sounding).filter(filter__in=ids))
        .order_by("sounding__occurred_on", "sounding__occurred_at", "sounding_id", "position")
        .values_list(
            "sounding_id",
            "sounding__filter_id",
            "sounding__entry",
            "sounding__occurred_on",
            "sounding__occurred_at",
            "sounding__precision",
            "depth_mm",
            "qualifier",
        )
    )
    together: dict[int, list[Any]] = {}
    for row in rows:
        together.setdefault(row[0], []).append(row)
    found: dict[int, list[SoundingSeen]] = defaultdict(list)
    for readings in together.values():
        _, pk, entry, on, at, precision, *_ = readings[0]
        depths, qualifier = _one_meaning([(row[6], row[7]) for row in readings])
        found[pk].append(
            SoundingSeen(
                entry=str(entry),
                on=on,
                depths_mm=depths,
                minute=as_of.minute_of(at, precision=precision),
                qualifier=qualifier,
            )
        )
    return found


def _one_meaning(readings: list[tuple[float, str]]) -> tuple[tuple[float, ...], Literal["", ">=", "<="]]:
    """Repeat readings of one sounding: where half of them or more stopped at the grid, or under the mark, that is what was found."""
    for qualifier in (">=", "<="):
        bounded = tuple(depth for depth, said in readings if said == qualifier)
        if 2 * len(bounded) >= len(readings):
            return bounded, qualifier  # type: ignore[return-value]
    return tuple(depth for depth, _ in readings), ""


def flow_check_rows(ids: list[int], *, as_of: AsOf) -> dict[int, list[Any]]:
    rows = (
        as_of.rows(FlowCheck)
        .filter(filter__in=ids)
        .order_by("occurred_on", "occurred_at", "pk")
        .values_list(
            "filter_id",
            "occurred_on",
            "occurred_at",
            "precision",
            "flow_l_per_h",
            "head_difference_mm",
            "level_over_media_mm",
            "odour",
            "return_water",
        )
    )
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row[0]].append(row[1:])
    return found


def cleanout_rows(ids: list[int], *, as_of: AsOf) -> dict[int, list[Cleanout]]:
    found: dict[int, list[Cleanout]] = defaultdict(list)
    for done in as_of.rows(Cleanout).filter(filter__in=ids).order_by("occurred_on", "occurred_at", "pk"):
        found[done.filter_id].append(done)
    return found


def restack_days(ids: list[int], *, as_of: AsOf) -> dict[int, list[date]]:
    found: dict[int, list[date]] = defaultdict(list)
    rows = as_of.rows(Upkeep).filter(filter__in=ids, kind=UpkeepKind.RESTACK).order_by("occurred_on")
    for pk, on in rows.values_list("filter_id", "occurred_on"):
        found[pk].append(on)
    return found


def build_rows(filters: Collection[Filter], *, as_of: AsOf) -> dict[int, list[FilterBuild]]:
    found: dict[int, list[FilterBuild]] = defaultdict(list)
    rows = _prefetched(filters, "builds")
    if rows is None:
        rows = FilterBuild.objects.filter(filter__in=filters).prefetch_related("layers")
    else:
        prefetch_related_objects(rows, "layers")
    for build in sorted(rows, key=lambda build: build.valid_from):
        if build.valid_from <= as_of.day:
            found[build.filter_id].append(build)
    return found


def pump_counts(filters: Collection[Filter], *, as_of: AsOf) -> dict[int, int]:
    """Pumps on each filter that day; an end after it is still to come."""
    found: dict[int, set[int]] = defaultdict(set)
    rows = _prefetched(filters, "pump_fittings")
    for fitting in PumpFitting.objects.filter(filter__in=filters) if rows is None else rows:
        is_on = fitting.from_on <= as_of.day and (fitting.to_on is None or fitting.to_on > as_of.day)
        if is_on and as_of.had_been_entered(fitting.entered_at):
            found[fitting.filter_id].add(fitting.pump_id)
    return defaultdict(int, {pk: len(pumps) for pk, pumps in found.items()})


def _prefetched(filters: Collection[Filter], name: str) -> list[Any] | None:
    """What the filters came with; None when one of them came without."""
    if not all(name in getattr(row, "_prefetched_objects_cache", ()) for row in filters):
        return None
    return [related for row in filters for related in getattr(row, name).all()]
