"""What is learnt of a void and done to it: soundings, flow checks, cleanouts in two halves, upkeep."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.stale import mark_stale
from enclosures.estimates.units import recorded_quantity
from enclosures.models import Cleanout, Filter, FilterBuild, FlowCheck, LoggedRecord, Moment, Sounding, Upkeep

SECOND_HALF = "second half"
FLOW_FIELDS = ("flow_l_per_h", "head_difference_mm", "level_over_media_mm", "odour", "return_water")


@dataclass(frozen=True, kw_only=True)
class DepthGiven:
    """One reading of the rod, mm above the floor; `qualifier` ">=" at the grid, "<=" below the mark."""

    depth_mm: float
    qualifier: str = ""


def log_sounding(
    *,
    filter: Filter,
    moment: Moment,
    depths: Sequence[DepthGiven],
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    point: str = "",
    method: str = "",
    pump_off_min: float | None = None,
    first_draw: int | None = None,
    odour: int | None = None,
) -> Logged:
    """Record one sounding of one to several readings, against the build of its day.

    Raises Refused (no reading, before the first build, deeper than the void, future) and EntryConflict.
    """
    rows = depth_rows(depths, filter=filter, on=moment.on)
    values = {
        "filter": filter,
        "point": point,
        "method": method,
        "pump_off_min": pump_off_min,
        "first_draw": first_draw,
        "odour": odour,
    }
    return _recorded(Sounding, entry=entry, moment=moment, values=values, parts={"readings": rows}, stamp=stamp)


def log_flow_check(
    *,
    filter: Filter,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    flow_l_per_h: float | None = None,
    litres: float | None = None,
    seconds: float | None = None,
    head_difference_mm: float | None = None,
    level_over_media_mm: float | None = None,
    odour: int | None = None,
    return_water: str = "",
) -> Logged:
    """Record flow at the return (L/h, or a bucket: litres and seconds) and what levels and nose say.

    Raises Refused (nothing read, half a bucket, out of range) and EntryConflict.
    """
    if (litres is None) != (seconds is None):
        raise Refused({"seconds" if seconds is None else "litres": "The bucket needs both its litres and its seconds."})
    if seconds is not None and not seconds > 0:
        raise Refused({"seconds": "The bucket took more than 0 seconds."})
    if flow_l_per_h is None and litres is not None and seconds is not None:
        flow_l_per_h = litres / seconds * 3600
    values = {
        "filter": filter,
        "flow_l_per_h": flow_l_per_h,
        "litres": litres,
        "seconds": seconds,
        "head_difference_mm": head_difference_mm,
        "level_over_media_mm": level_over_media_mm,
        "odour": odour,
        "return_water": return_water,
    }
    if all(values[name] in (None, "") for name in FLOW_FIELDS):
        raise Refused({"flow_l_per_h": "Enter at least one figure."})
    return _recorded(FlowCheck, entry=entry, moment=moment, values=values, stamp=stamp)


def log_cleanout(
    *,
    filter: Filter,
    moment: Moment,
    stamp: Stamp,
    outcome: str,
    stage: str = "done",
    entry: uuid.UUID | str | None = None,
    **found: Any,
) -> Logged:
    """Record a cleanout, whole or its first half (`stage` "before"). `found`: the other fields of models.Cleanout.

    Raises Refused (deeper than the void, more left than there was, out of range) and EntryConflict.
    """
    values = {"filter": filter, "outcome": outcome, "stage": stage, **found}
    refuse_cleanout(values, on=moment.on)
    return _recorded(Cleanout, entry=entry, moment=moment, values=values, stamp=stamp)


def finish_cleanout(
    first_half: Cleanout,
    *,
    stamp: Stamp,
    moment: Moment | None = None,
    entry: uuid.UUID | str | None = None,
    **found: Any,
) -> Logged:
    """The second half: a row that supersedes the first, with what it said and what was found since.

    Raises Refused (not a first half, already finished, and as for log_cleanout) and EntryConflict.
    """
    if first_half.stage != "before":
        raise Refused({"__all__": "This cleanout is already finished; correct it instead."})
    said = {name: getattr(first_half, name) for name in Cleanout.CONTENT}
    values = {**said, **found, "stage": "done"}
    when = moment or first_half.moment
    refuse_cleanout(values, on=when.on)
    return _recorded(
        Cleanout,
        entry=entry,
        moment=when,
        values=values,
        stamp=stamp,
        supersedes=first_half,
        reason=SECOND_HALF,
    )


def log_upkeep(
    *,
    filter: Filter,
    moment: Moment,
    kind: str,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    fullness: int | None = None,
    minutes: float | None = None,
    parts: str = "",
) -> Logged:
    """Record upkeep around the void (models.UpkeepKind). Raises Refused and EntryConflict."""
    values = {"filter": filter, "kind": kind, "fullness": fullness, "minutes": minutes, "parts": parts}
    return _recorded(Upkeep, entry=entry, moment=moment, values=values, stamp=stamp)


def depth_rows(depths: Sequence[DepthGiven], *, filter: Filter, on: date) -> list[dict[str, Any]]:
    """Rows for SoundingReading, checked against the void of that day. Raises Refused."""
    if not depths:
        raise Refused({"depth_mm": "Enter at least one reading."})
    build = filter.build_on(on)
    if build is None:
        first = min((b.valid_from for b in filter.builds.all()), default=None)
        if first is None:
            raise Refused({"filter": f"{filter} has no as-built figures yet; enter its void first."})
        raise Refused(
            {"occurred_at": f"{filter} was first built on {first}; a sounding before that has no void to be of."}
        )
    for given in depths:
        refuse_deeper_than_void(given.depth_mm, build=build, field="depth_mm")
    return [{"depth_mm": float(given.depth_mm), "qualifier": given.qualifier} for given in depths]


def depths_given(sounding: Sounding) -> list[DepthGiven]:
    """A sounding's readings as they were given, to be repeated in a correction."""
    return [DepthGiven(**row) for row in sounding.readings.order_by("position").values("depth_mm", "qualifier")]


def refuse_deeper_than_void(depth_mm: float, *, build: FilterBuild, field: str) -> None:
    """A rod stops at the grid: more than the void's height cannot be read. Offers a tenth where a decimal point slipped."""
    if not depth_mm > build.void_height_mm + 1e-9:
        return
    said, height = recorded_quantity(depth_mm, "mm"), recorded_quantity(build.void_height_mm, "mm")
    sentence = f"{said} is deeper than the void, which is {height} high."
    if depth_mm / 10 <= build.void_height_mm:
        sentence += f" Did you mean {recorded_quantity(depth_mm / 10, 'mm')}?"
    else:
        sentence += " A rod that stops at the grid is entered as “rod at the grid”."
    raise Refused({field: sentence})


def refuse_cleanout(values: dict[str, Any], *, on: date) -> None:
    """Depths of a cleanout against the void of that day; a cleanout older than the first build has none to be set against."""
    build = values["filter"].build_on(on)
    for name in ("depth_before_mm", "depth_after_mm"):
        if build is not None and values.get(name) is not None:
            refuse_deeper_than_void(values[name], build=build, field=name)


def _recorded(model: type[LoggedRecord], *, values: dict[str, Any], **how: Any) -> Logged:
    with transaction.atomic():
        logged = record_entry(model, values=values, **how)
        if logged.is_new:
            mark_stale(filters=[values["filter"]])
    return logged
