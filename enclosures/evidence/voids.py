"""Builds, rod readings, flow checks and cleanouts of filters, and which readings were taken while signals disagreed."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from enclosures.evidence.known import AsOf
from enclosures.evidence.void_rows import (
    build_rows,
    cleanout_rows,
    flow_check_rows,
    pump_counts,
    restack_days,
    sounding_rows,
)
from enclosures.forecast.inputs import CleanoutDone, Geometry, SoundingSeen
from enclosures.models import Cleanout, Filter, FilterBuild
from enclosures.verdicts.diagnosis import is_disputed
from enclosures.verdicts.signs import FlowSign, SoundingSign

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Dated:
    """A flow sign with its minute, so that what was read before the work of a day is told from what was read after."""

    sign: FlowSign
    minute: int | None
    is_before_work: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Void:
    """All that is on record of one filter's void and bed, known on the day."""

    builds: tuple[FilterBuild, ...] = ()
    soundings: tuple[SoundingSeen, ...] = ()
    cleanouts: tuple[CleanoutDone, ...] = ()
    flows: tuple[Dated, ...] = ()
    restacked_on: tuple[date, ...] = ()
    n_pumps: int = 0
    emptied: Cleanout | None = None  # the last full one

    def build_on(self, day: date) -> FilterBuild | None:
        """The build in force on a day; None before the first."""
        in_force = [build for build in self.builds if build.valid_from <= day]
        return in_force[-1] if in_force else None

    @property
    def cleanouts_on(self) -> tuple[date, ...]:
        """Days on which sludge was taken out."""
        return tuple(sorted({done.on for done in self.cleanouts if done.outcome != "attempted"}))

    @property
    def rebuilt_on(self) -> tuple[date, ...]:
        """Days on which void or bed became another: builds that change them, and a bed lifted and laid again."""
        changed = [now.valid_from for before, now in pairwise(self.builds) if not is_same_void(before, now)]
        return tuple(sorted({*changed, *self.restacked_on}))

    @property
    def works_on(self) -> tuple[date, ...]:
        """Days that ended a state: emptied, rebuilt, or compared with new baselines from then on."""
        return tuple(sorted({*self.cleanouts_on, *self.rebuilt_on, *(b.valid_from for b in self.builds[1:])}))


def is_same_void(before: FilterBuild, now: FilterBuild) -> bool:
    """Only baselines or remarks differ: the same void, and no new stone over it."""
    same = all(
        getattr(before, name) == getattr(now, name) for name in ("chamber_area_m2", "void_height_mm", "usable_fraction")
    )
    return same and not now.closes_disagreement and not any(layer.is_new for layer in now.layers.all())


def geometries(builds: Sequence[FilterBuild], *, default_due_fill: float) -> tuple[Geometry, ...]:
    """Builds as the forecast reads them; one that changes nothing of void and bed only carries its due line on."""
    found: list[Geometry] = []
    for number, build in enumerate(builds):
        due_fill = build.due_fill if build.due_fill is not None else default_due_fill
        if number and is_same_void(builds[number - 1], build):
            found[-1] = replace(found[-1], due_fill=due_fill)
            continue
        found.append(
            Geometry(
                valid_from=build.valid_from,
                chamber_area_m2=build.chamber_area_m2,
                void_height_mm=build.void_height_mm,
                usable_fraction=build.usable_fraction,
                due_fill=due_fill,
            )
        )
    return tuple(found)


def load_voids(filters: Collection[Filter], *, as_of: AsOf) -> dict[int, Void]:
    """By filter id. Seven queries, four for filters that come with builds, layers and pump fittings prefetched.

    `default_due_fill` is the facility's; disputes are judged by what was known that day.
    """
    ids = [chosen.pk for chosen in filters]
    builds = build_rows(filters, as_of=as_of)
    soundings = sounding_rows(ids, as_of=as_of)
    flows = flow_check_rows(ids, as_of=as_of)
    cleanouts = cleanout_rows(ids, as_of=as_of)
    restacked = restack_days(ids, as_of=as_of)
    pumps = pump_counts(filters, as_of=as_of)
    due = {chosen.pk: chosen.enclosure.facility.default_due_fill for chosen in filters}
    return {
        pk: _judged(
            Void(
                builds=tuple(builds[pk]),
                soundings=tuple(soundings[pk]),
                restacked_on=tuple(restacked[pk]),
                n_pumps=pumps[pk],
            ),
            cleanouts[pk],
            flows[pk],
            default_due_fill=due[pk],
            as_of=as_of,
        )
        for pk in ids
    }


def _judged(void: Void, cleanouts: list[Cleanout], checks: list[Any], *, default_due_fill: float, as_of: AsOf) -> Void:
    """With cleanouts and flow signs put in their order, and the rod readings marked that contradict flow and head."""
    flows = _flow_signs(void, cleanouts, checks, as_of=as_of)
    done = tuple(_cleanout(void, row, as_of=as_of) for row in cleanouts)
    emptied = next((row for row in reversed(cleanouts) if row.stage == "done" and row.outcome == "full"), None)
    void = replace(void, cleanouts=done, flows=flows, emptied=emptied)
    signs = [dated.sign for dated in flows]

    def disputed(on: date, depth_mm: float, *, is_at_grid: bool) -> bool:
        build = void.build_on(on - ONE_DAY) or void.build_on(on)
        if build is None:
            return False
        return is_disputed(
            sounding=SoundingSign(on=on, fill=depth_mm / build.void_height_mm, is_at_grid=is_at_grid),
            due_fill=build.due_fill if build.due_fill is not None else default_due_fill,
            flows=signs,
            works_on=void.works_on,
        )

    return replace(
        void,
        soundings=tuple(
            replace(seen, is_disputed=disputed(seen.on, _mean(seen.depths_mm), is_at_grid=seen.qualifier == ">="))
            for seen in void.soundings
        ),
        cleanouts=tuple(
            replace(
                row,
                is_disputed=disputed(row.on, row.depth_before_mm, is_at_grid=row.depth_before_qualifier == ">="),
            )
            if row.depth_before_mm is not None
            else row
            for row in done
        ),
    )


def _cleanout(void: Void, row: Cleanout, *, as_of: AsOf) -> CleanoutDone:
    """A cleanout only begun has taken nothing out yet; "rod at the grid" without a figure is the height of the void."""
    before = row.depth_before_mm
    build = void.build_on(row.occurred_on - ONE_DAY) or void.build_on(row.occurred_on)
    at_grid = row.depth_before_qualifier == ">="
    if before is None and at_grid and build is not None:
        before = build.void_height_mm
    is_begun = row.stage == "before"
    return CleanoutDone(
        entry=str(row.entry),
        on=row.occurred_on,
        outcome="attempted" if is_begun else row.outcome,  # type: ignore[arg-type]
        minute=as_of.minute_of(row.occurred_at, precision=row.precision),
        depth_before_mm=before,
        depth_before_qualifier=">=" if at_grid else "",
        depth_after_mm=None if is_begun else row.depth_after_mm,
        slurry_l=None if is_begun else row.slurry_l,
    )


def _flow_signs(void: Void, cleanouts: list[Cleanout], checks: list[Any], *, as_of: AsOf) -> tuple[Dated, ...]:
    """Flow checks and the flows read at cleanouts, each beside the baselines of its day."""
    work_minute = {
        row.occurred_on: as_of.minute_of(row.occurred_at, precision=row.precision)
        for row in cleanouts
        if row.outcome != "attempted"
    }
    found: list[tuple[tuple[date, int], Dated]] = []
    for on, at, precision, flow, head, level, odour, looks in checks:
        minute, work = as_of.minute_of(at, precision=precision), work_minute.get(on)
        is_before = minute is not None and work is not None and minute < work
        sign = _flow_sign(
            void,
            on,
            is_before=is_before,
            flow_l_per_h=flow,
            head_difference_mm=head,
            level_over_media_mm=level,
            odour=odour,
            return_water=looks,
        )
        found.append(((on, 0 if is_before else 3), Dated(sign=sign, minute=minute, is_before_work=is_before)))
    for row in cleanouts:
        for order, is_before, flow, head in (
            (1, True, row.flow_before_l_per_h, row.head_before_mm),
            (2, False, row.flow_after_l_per_h, row.head_after_mm),
        ):
            if flow is None and head is None:
                continue
            sign = _flow_sign(void, row.occurred_on, is_before=is_before, flow_l_per_h=flow, head_difference_mm=head)
            before_work = is_before and row.outcome != "attempted"
            found.append(((row.occurred_on, order), Dated(sign=sign, minute=None, is_before_work=before_work)))
    found.sort(key=lambda item: item[0])
    return tuple(dated for _, dated in found)


def _flow_sign(void: Void, on: date, *, is_before: bool, **read: Any) -> FlowSign:
    build = (void.build_on(on - ONE_DAY) if is_before else None) or void.build_on(on)
    return FlowSign(
        on=on,
        **read,
        baseline_flow_l_per_h=build.baseline_flow_l_per_h if build else None,
        baseline_head_mm=build.baseline_head_mm if build else None,
    )


def sounding_signs(void: Void) -> tuple[SoundingSign, ...]:
    """Every depth as a share of the void of its day, those before and after a cleanout included, in the order they were read."""
    found: list[tuple[tuple[date, int], SoundingSign]] = []
    cleaned_at = {done.on: done.minute for done in void.cleanouts}

    def add(on: date, order: int, depth_mm: float, *, is_at_grid: bool, build: FilterBuild | None) -> None:
        if build is not None:
            sign = SoundingSign(on=on, fill=depth_mm / build.void_height_mm, is_at_grid=is_at_grid)
            found.append(((on, order), sign))

    for seen in void.soundings:
        work = cleaned_at.get(seen.on)
        is_after = seen.minute is not None and work is not None and seen.minute > work
        build = void.build_on(seen.on)
        add(seen.on, 3 if is_after else 0, _mean(seen.depths_mm), is_at_grid=seen.qualifier == ">=", build=build)
    for done in void.cleanouts:
        old = void.build_on(done.on - ONE_DAY) or void.build_on(done.on)
        if done.depth_before_mm is not None:
            add(done.on, 1, done.depth_before_mm, is_at_grid=done.depth_before_qualifier == ">=", build=old)
        if done.depth_after_mm is not None:
            add(done.on, 2, done.depth_after_mm, is_at_grid=False, build=void.build_on(done.on))
    found.sort(key=lambda item: item[0])
    return tuple(sign for _, sign in found)


def _mean(depths_mm: tuple[float, ...]) -> float:
    return sum(depths_mm) / len(depths_mm)
