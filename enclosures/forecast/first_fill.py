"""A void that does not exist yet: how it would fill from a planned diet, on the priors alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from . import run
from .history import history_for
from .inputs import FeedPortion, FilterEvidence, FoodClass, Geometry, LitterLevel, Quantiles

HORIZON_DAYS = 1095
MONTHS_SHOWN = (0, 6, 12, 24)
DAYS_PER_MONTH = 30.44


@dataclass(frozen=True, kw_only=True, slots=True)
class DaysToFill:
    """Days after building; None: beyond three years."""

    p10: int | None
    p50: int | None
    p90: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstFill:
    """`due` days until the due line, `fill_after` months after building (0, 6, 12, 24) as a share of the void height."""

    due: DaysToFill
    fill_after: tuple[tuple[int, Quantiles], ...]


def first_fill(
    geometry: Geometry,
    *,
    dry_g_per_day: float,
    rng: np.random.Generator,
    food_class: FoodClass = "pellet",
    is_indoor: bool = True,
    surface_m2: float | None = None,
    litter_level: LitterLevel = "none",
    litter_g_m2_year: float | None = None,
    monthly_temp_c: tuple[float, ...] | None = None,
    room_temp_c: float = 24.0,
    is_southern: bool = False,
    n_particles: int = 1000,
) -> FirstFill:
    """Three years from `geometry.valid_from`, fed `dry_g_per_day` (dry, >= 0) every day, by the same model as the forecast.

    Nothing is known of the new filter, so every particle is a draw from the priors (science as in priors.py). Raises ValueError
    for a negative or infinite diet.
    """
    if not (np.isfinite(dry_g_per_day) and dry_g_per_day >= 0):
        raise ValueError("The planned feed must be a number of grams, 0 or more.")
    first = geometry.valid_from
    last = first + timedelta(days=HORIZON_DAYS - 1)
    evidence = FilterEvidence(
        filter="planned",
        enclosure="planned",
        commissioned_on=first,
        builds=(geometry,),
        feedings=_fed_daily(first, dry_g_per_day=dry_g_per_day, food_class=food_class),
        is_indoor=is_indoor,
        surface_m2=surface_m2,
        litter_level=litter_level,
        litter_g_m2_year=litter_g_m2_year,
        room_temp_c=room_temp_c,
        is_southern=is_southern,
    )
    if monthly_temp_c is not None:
        evidence = replace(evidence, monthly_temp_c=monthly_temp_c)
    history = history_for(evidence, as_of=last)
    assert history is not None  # the build is in force from its first day
    drawn = run.unpack(rng.standard_normal((n_particles, len(history.names))), history)
    volumes: list[np.ndarray] = []
    run.run_history(history, drawn, trace=volumes)
    fills = np.array(volumes) / geometry.usable_void_l
    ends = np.array([(block.last_on - first).days + 1 for block in history.blocks])
    return FirstFill(
        due=_first_days(fills, ends, level=geometry.due_fill),
        fill_after=tuple((months, _fill_at(fills, ends, day=months * DAYS_PER_MONTH)) for months in MONTHS_SHOWN),
    )


def _fed_daily(first: date, *, dry_g_per_day: float, food_class: FoodClass) -> tuple[FeedPortion, ...]:
    return tuple(
        FeedPortion(on=first + timedelta(days=day), dry_g=dry_g_per_day, food_class=food_class)
        for day in range(HORIZON_DAYS)
        if dry_g_per_day > 0
    )


def _first_days(fills: np.ndarray, ends: np.ndarray, *, level: float) -> DaysToFill:
    """First block whose end stands at the level, per particle; particles that never do are beyond the horizon."""
    reached = fills >= level
    days = np.where(reached.any(axis=0), ends[reached.argmax(axis=0)], HORIZON_DAYS + 1)
    found = [int(np.quantile(days, q, method="inverted_cdf")) for q in (0.1, 0.5, 0.9)]
    p10, p50, p90 = (day if day <= HORIZON_DAYS else None for day in found)
    return DaysToFill(p10=p10, p50=p50, p90=p90)


def _fill_at(fills: np.ndarray, ends: np.ndarray, *, day: float) -> Quantiles:
    row = int(np.searchsorted(ends, day)) if day > 0 else -1
    if row < 0:
        return Quantiles(p10=0.0, p50=0.0, p90=0.0)
    p10, p50, p90 = np.quantile(fills[min(row, len(ends) - 1)], (0.1, 0.5, 0.9))
    return Quantiles(p10=float(p10), p50=float(p50), p90=float(p90))
