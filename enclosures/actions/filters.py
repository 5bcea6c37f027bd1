"""Filters as built: setting one up, dated builds with their layers, baselines, pumps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Max

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.plain import described, save_described
from enclosures.actions.stale import mark_stale
from enclosures.models import Enclosure, Filter, FilterBuild, MediaLayer, Pump, PumpFitting, Sounding, SoundingReading

NOT_CARRIED_OVER = {"id", "filter", "valid_from", "reason", "closes_disagreement"}


@dataclass(frozen=True, kw_only=True)
class LayerGiven:
    """One media layer, counted from the grid upwards. Lengths in mm; free space 0-1."""

    material: str
    depth_mm: float
    grade_min_mm: float | None = None
    grade_max_mm: float | None = None
    free_space: float | None = None
    area_m2_per_m3: float | None = None
    is_new: bool = True


def set_up_filter(
    *,
    enclosure: Enclosure,
    code: str,
    kind: str = "upflow",
    commissioned_on: date | None = None,
    build: dict[str, Any] | None = None,
    layers: Iterable[LayerGiven] = (),
    **values: Any,
) -> Filter:
    """A filter, with its first build when its figures are known (`build`: fields of models.FilterBuild).

    Raises Refused; then nothing of it is saved.
    """
    with transaction.atomic():
        filter = described(Filter, enclosure=enclosure, code=code, kind=kind, commissioned_on=commissioned_on, **values)
        if build is not None:
            add_build(filter, layers=layers, **build)
        mark_stale(enclosures=[enclosure])
    return filter


def edit_filter(filter: Filter, **changes: Any) -> Filter:
    """Raises Refused."""
    with transaction.atomic():
        mark_stale(enclosures=[filter.enclosure_id], filters=[filter])
        save_described(filter, changes=changes)
        mark_stale(enclosures=[filter.enclosure_id])
    return filter


def add_build(filter: Filter, *, valid_from: date, layers: Iterable[LayerGiven] = (), **values: Any) -> FilterBuild:
    """A new as-built state from a day on; earlier readings keep the geometry of their day. Raises Refused."""
    with transaction.atomic():
        build = described(FilterBuild, filter=filter, valid_from=valid_from, **values)
        _lay(build, layers)
        _forget_builds(filter)
        mark_stale(enclosures=[filter.enclosure_id], filters=[filter])
    return build


def edit_build(build: FilterBuild, *, layers: Iterable[LayerGiven] | None = None, **changes: Any) -> FilterBuild:
    """Puts a wrongly entered figure right (a change of the filter itself is a new build). What it said before stays in its reason.

    Raises Refused, also when the void would be lower than a rod has read in it.
    """
    with transaction.atomic():
        _refuse_below_readings(build, changes.get("void_height_mm"))
        said = _what_changes(build, changes)
        if said:
            changes["reason"] = "\n".join(filter(None, (build.reason, f"{said} {changes.get('reason', '')}".strip())))
        save_described(build, changes=changes)
        if layers is not None:
            build.layers.all().delete()
            _lay(build, layers)
        _forget_builds(build.filter)
        mark_stale(enclosures=[build.filter.enclosure_id], filters=[build.filter])
    return build


def _what_changes(build: FilterBuild, changes: dict[str, Any]) -> str:
    """'Put right: void height 180, was 108.'"""
    told = [
        f"{name.replace('_', ' ')} {new if new is not None else 'none'}, was {getattr(build, name)}"
        for name, new in changes.items()
        if name not in NOT_CARRIED_OVER and getattr(build, name) not in (None, new)
    ]
    return f"Put right: {'; '.join(told)}." if told else ""


def _refuse_below_readings(build: FilterBuild, void_height_mm: float | None) -> None:
    if void_height_mm is None:
        return
    later = build.filter.builds.filter(valid_from__gt=build.valid_from).order_by("valid_from").first()
    seen = SoundingReading.objects.filter(
        sounding__in=Sounding.objects.filter(filter=build.filter, occurred_on__gte=build.valid_from)
    )
    if later is not None:
        seen = seen.filter(sounding__occurred_on__lt=later.valid_from)
    deepest = seen.aggregate(deepest=Max("depth_mm"))["deepest"]
    if deepest is not None and deepest > void_height_mm:
        raise Refused(
            {
                "void_height_mm": f"A rod has read {deepest:g} mm in it; put that reading right first, or give a higher void."
            }
        )


def confirm_baseline(
    filter: Filter,
    *,
    valid_from: date,
    flow_l_per_h: float | None = None,
    head_mm: float | None = None,
    reason: str = "baseline confirmed",
) -> FilterBuild:
    """New baselines after a changed pump or a re-laid bed: the same void and bed, compared from that day with what is now usual.

    Raises Refused (no build yet, nothing given).
    """
    now = filter.build_on(valid_from)
    if now is None:
        raise Refused({"valid_from": f"{filter} has no as-built figures on {valid_from}."})
    if flow_l_per_h is None and head_mm is None:
        raise Refused({"baseline_flow_l_per_h": "Enter a flow or a head difference."})
    new = {
        "baseline_flow_l_per_h": flow_l_per_h if flow_l_per_h is not None else now.baseline_flow_l_per_h,
        "baseline_head_mm": head_mm if head_mm is not None else now.baseline_head_mm,
    }
    if now.valid_from == valid_from:
        return edit_build(now, **new)
    same = {f.name: getattr(now, f.name) for f in now._meta.concrete_fields if f.name not in NOT_CARRIED_OVER}
    layers = [
        LayerGiven(**{name: getattr(layer, name) for name in LayerGiven.__dataclass_fields__} | {"is_new": False})
        for layer in now.layers.all()
    ]
    return add_build(filter, valid_from=valid_from, layers=layers, **{**same, **new, "reason": reason})


def retire_filter(filter: Filter, *, on: date) -> Filter:
    """Out of use from that day. Raises Refused."""
    return edit_filter(filter, retired_on=on)


def fit_pump(*, filter: Filter, pump: Pump, from_on: date, stamp: Stamp, replaces: bool = True) -> PumpFitting:
    """`pump` drives the filter from that day; with `replaces` the pumps on it come off the same day. Twice is one fitting.

    Raises Refused (it is on another filter).
    """
    with transaction.atomic():
        same = PumpFitting.objects.filter(pump=pump, filter=filter, from_on=from_on).first()
        if same is not None:
            return same
        elsewhere = pump.fittings.filter(to_on__isnull=True).exclude(filter=filter).select_related("filter").first()
        if elsewhere is not None:
            raise Refused(
                {"pump": f"{pump} is on {elsewhere.filter} since {elsewhere.from_on}; take it off there first."}
            )
        if replaces:
            for old in filter.pump_fittings.filter(to_on__isnull=True):
                take_off_pump(old, on=from_on)
        fitting = described(
            PumpFitting,
            pump=pump,
            filter=filter,
            from_on=from_on,
            entered_at=stamp.entered_at,
            entered_by=stamp.entered_by,
            note=stamp.note,
        )
        mark_stale(enclosures=[filter.enclosure_id])
    return fitting


def take_off_pump(fitting: PumpFitting, *, on: date) -> PumpFitting:
    """It came off that day. Raises Refused when it went on later."""
    with transaction.atomic():
        save_described(fitting, changes={"to_on": on})
        mark_stale(filters=[fitting.filter_id])
    return fitting


def _lay(build: FilterBuild, layers: Iterable[LayerGiven]) -> None:
    for position, layer in enumerate(layers, 1):
        described(MediaLayer, build=build, position=position, **asdict(layer))


def _forget_builds(filter: Filter) -> None:
    """What was prefetched no longer holds."""
    getattr(filter, "_prefetched_objects_cache", {}).pop("builds", None)
