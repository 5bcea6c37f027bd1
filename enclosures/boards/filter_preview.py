"""The drawing and the first numbers of a filter that is still being typed: what it holds, how it flows, when it would want emptying."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from enclosures.estimates.hydraulics import turnover_per_h, upflow_m_per_h
from enclosures.estimates.media import layer_volume_m3, wet_bed_mass_kg
from enclosures.estimates.units import grouped, quantity
from enclosures.estimates.void import usable_void_l
from enclosures.figures.drawn_filter import DrawnLayer, FilterSection
from enclosures.figures.section import section_svg
from enclosures.forecast.first_fill import DAYS_PER_MONTH, DaysToFill, FirstFill, first_fill
from enclosures.forecast.inputs import Geometry, Quantiles
from enclosures.models import Facility

DRAWN_AFTER = {0: "building", 6: "6 months", 12: "1 year", 24: "2 years"}
GOOD_UPFLOW = (2.0, 7.0)  # m/h, common practice, no source: whole droppings stay, the finest pass to the bed
COARSEST_UPFLOW = 10.0  # m/h; above it fines are carried into the bed


@dataclass(frozen=True, kw_only=True)
class Fact:
    label: str
    value: str
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class FilterPreview:
    wide: str
    narrow: str
    lead: str
    facts: list[Fact]
    after: int


def build_filter_preview(
    *,
    code: str,
    build: dict[str, Any],
    layers: list[Any],
    facility: Facility,
    is_indoor: bool,
    water_volume_l: float | None,
    surface_m2: float | None,
    litter_level: str,
    litter_g_m2_year: float | None,
    planned_feed_g: float | None,
    after_months: int,
    returns_to: str,
    today: date,
) -> FilterPreview | None:
    """None while area or void height are missing or impossible. `build` as RebuildForm.build_values gives it."""
    area, height = build.get("chamber_area_m2"), build.get("void_height_mm")
    if not isinstance(area, float) or not isinstance(height, float):
        return None
    geometry = Geometry(
        valid_from=today,
        chamber_area_m2=area,
        void_height_mm=height,
        usable_fraction=build["usable_fraction"],
        due_fill=build.get("due_fill") or facility.default_due_fill,
    )
    forecast = None
    if planned_feed_g is not None:
        forecast = first_fill(
            geometry,
            dry_g_per_day=planned_feed_g,
            rng=np.random.default_rng(1),  # the same figures give the same answer
            is_indoor=is_indoor,
            surface_m2=surface_m2,
            litter_level=litter_level,  # type: ignore[arg-type]
            litter_g_m2_year=litter_g_m2_year,
            monthly_temp_c=tuple(facility.monthly_temp_c),
            room_temp_c=facility.room_temp_c,
            is_southern=facility.is_southern,
        )
    section = _section(
        code=code,
        build=build,
        layers=layers,
        geometry=geometry,
        fill=_fill(forecast, after_months),
        returns_to=returns_to,
    )
    return FilterPreview(
        wide=section_svg(section, "print", prefix="new-"),
        narrow=section_svg(section, "card", prefix="new-"),
        lead=_lead(forecast),
        facts=_facts(geometry=geometry, build=build, layers=layers, water_volume_l=water_volume_l, is_indoor=is_indoor),
        after=after_months,
    )


def _fill(forecast: FirstFill | None, months: int) -> Quantiles | None:
    if forecast is None:
        return None
    return dict(forecast.fill_after).get(months)


def _section(
    *, code: str, build: dict[str, Any], layers: list[Any], geometry: Geometry, fill: Quantiles | None, returns_to: str
) -> FilterSection:
    return FilterSection(
        code=code or "new filter",
        void_height_mm=geometry.void_height_mm,
        width_mm=build.get("chamber_length_mm") or build.get("chamber_width_mm"),
        chamber_area_m2=geometry.chamber_area_m2,
        layers=tuple(
            DrawnLayer(
                depth_mm=layer.depth_mm,
                material=layer.material,
                grade_mm=(layer.grade_min_mm or layer.grade_max_mm, layer.grade_max_mm or layer.grade_min_mm)
                if layer.grade_min_mm or layer.grade_max_mm
                else None,
            )
            for layer in layers
        ),
        water_over_mm=build.get("water_over_media_mm"),
        pipe_bore_mm=build.get("pipe_bore_mm"),
        pipe_top_mm=build.get("pipe_top_mm"),
        head_mm=build.get("baseline_head_mm"),
        due_fill=geometry.due_fill,
        support_mm=build.get("grid_mm"),
        sludge=fill,
        has_weir=build.get("has_weir") is not False,
        returns_to=returns_to,
    )


def months_words(days: int | None) -> str:
    """A length of time from building, in the words one would use: weeks when short, years when long."""
    if days is None:
        return "more than 3 years"
    if days < 70:
        weeks = max(1, round(days / 7))
        return f"{weeks} week{'' if weeks == 1 else 's'}"
    months = round(days / DAYS_PER_MONTH)
    if months < 24:
        return f"{months} months"
    half_years = round(days / 182.6)
    return f"{half_years // 2}{'½' if half_years % 2 else ''} years"


def _lead(forecast: FirstFill | None) -> str:
    if forecast is None:
        return "Say how much dry feed a day it would get, and the first forecast stands here."
    due: DaysToFill = forecast.due
    guess = "A guess from measures alone: no rod has been in it yet."
    if due.p10 is None:
        return f"It would not want emptying within three years of building. {guess}"
    if due.p50 is None:
        return (
            f"It would want emptying between {months_words(due.p10)} and more than 3 years after building, "
            f"most likely after more than 3 years. {guess}"
        )
    return (
        f"It would want emptying between {months_words(due.p10)} and {months_words(due.p90)} after building, "
        f"most likely after {months_words(due.p50)}. {guess}"
    )


def _facts(
    *, geometry: Geometry, build: dict[str, Any], layers: list[Any], water_volume_l: float | None, is_indoor: bool
) -> list[Fact]:
    litres = usable_void_l(
        chamber_area_m2=geometry.chamber_area_m2,
        void_height_mm=geometry.void_height_mm,
        usable_fraction=geometry.usable_fraction,
    )
    facts = [Fact(label="Usable void", value=quantity(litres, "L", figures=3))]
    flow = build.get("baseline_flow_l_per_h")
    if isinstance(flow, float) and flow > 0:
        speed = upflow_m_per_h(flow_l_per_h=flow, area_m2=geometry.chamber_area_m2)
        facts.append(Fact(label="Upflow", value=quantity(speed, "m/h"), remark=_upflow_remark(speed)))
        if water_volume_l:
            turns = turnover_per_h(flow_l_per_h=flow, water_volume_l=water_volume_l)
            usual = "tubs 1.5–2.5" if is_indoor else "ponds 0.3–0.6"
            facts.append(
                Fact(label="Turnover", value=f"{quantity(turns, '')} an hour".replace("\u00a0 ", " "), remark=usual)
            )
    if layers:
        volume = sum(layer_volume_m3(area_m2=geometry.chamber_area_m2, depth_mm=layer.depth_mm) for layer in layers)
        mass = wet_bed_mass_kg(volume_m3=volume)
        facts.append(
            Fact(
                label="Wet bed weighs",
                value=f"about {grouped(float(f'{mass:.2g}'))}\u00a0kg",
                remark="check the stand and the floor; two people for a full tank of glass",
            )
        )
    return facts


def _upflow_remark(speed: float) -> str:
    low, high = GOOD_UPFLOW
    if speed > COARSEST_UPFLOW:
        return "fast: fines are carried into the bed; good is 2–7"
    if speed > high:
        return "on the fast side; good is 2–7"
    if speed < low:
        return "slow; good is 2–7"
    return "good is 2–7"
