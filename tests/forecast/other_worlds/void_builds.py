"""The void a designer of the facility would have built, and the larger one that sometimes follows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from enclosures.forecast.inputs import Geometry

from .calendar_and_climate import Days
from .meals import Meals
from .places import Place

Builds = list[tuple[int, Geometry]]  # in force from a day on


def feed_g_per_year(days: Days, meals: Meals, start_day: int) -> float:
    """The designer's plan: mean dry feed a year over the first three years."""
    end_day = min(start_day + 1095, days.count)
    is_planned = (meals.day >= start_day) & (meals.day < end_day)
    return float(meals.dry_g[is_planned].sum()) * 365 / (end_day - start_day)


def void_for(
    rng: np.random.Generator,
    days: Days,
    *,
    start_day: int,
    sludge_l: float,
    spread: float,
    due_fill: float = 0.7,
    is_small: bool = False,
) -> Geometry:
    """The void that would be due after `sludge_l` litres by the designer's own rule, who is off by a log-normal `spread`. 40-300 mm high;
    larger ones are higher, small ones (tubs) about 55 mm."""
    wanted_l = max(sludge_l / due_fill * float(rng.lognormal(0, spread)), 0.4)
    usual_mm = 55 if is_small else 75 + 35 * math.log(1 + wanted_l / 6)
    height_mm = float(np.clip(round(usual_mm * rng.lognormal(0, 0.2) / 5) * 5, 40, 300))
    usable_fraction = float(rng.choice([0.7, 0.75, 0.8, 0.85]))
    return Geometry(
        valid_from=days.dates[start_day],
        chamber_area_m2=round(max(wanted_l / height_mm / usable_fraction, 0.008), 3),
        void_height_mm=height_mm,
        usable_fraction=usable_fraction,
        due_fill=due_fill,
    )


def with_rebuild(rng: np.random.Generator, days: Days, *, place: Place, first: Geometry, chance: float) -> Builds:
    """The first build and perhaps another, mostly 15-70 % higher, seldom a quarter lower, at times wider."""
    builds = [(place.start_day, first)]
    if days.today - place.start_day > 260 and rng.random() < chance:
        day = int(rng.integers(place.start_day + 120, days.today - 20))
        times_higher = float(rng.uniform(1.15, 1.7)) if rng.random() < 0.85 else 0.75
        times_wider = float(rng.choice([1.0, 1.0, 1.2]))
        rebuilt = replace(
            first,
            valid_from=days.dates[day],
            chamber_area_m2=round(first.chamber_area_m2 * times_wider, 3),
            void_height_mm=float(round(first.void_height_mm * times_higher / 5) * 5),
        )
        builds.append((day, rebuilt))
    return builds
