"""A facility's days as indices, the weather over them and the leaves that fall. Every number is invented for a temperate place.

Nothing in this package was taken from the forecast: only the shape of the facts it is told (`enclosures.forecast.inputs`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HORIZON_DAYS = 1095  # truth is known so far beyond as_of
PAST_DAYS = 2230  # 6.1 years, longer than any record
DAYS_A_YEAR = 365.25
HALF_A_YEAR = 182  # days between the seasons of the two hemispheres
COLDEST_WATER_C = 2.5
MIDDLES_OF_MONTHS = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349])  # days of the year


class Days:
    """Every day of a facility's time by index. `today` is the index of as_of; `count` reaches just past the horizon after it."""

    def __init__(self, as_of: date) -> None:
        self.today = PAST_DAYS
        self.count = PAST_DAYS + HORIZON_DAYS + 3
        self.dates = [as_of + timedelta(days=day - PAST_DAYS) for day in range(self.count)]
        self.day_of_year = np.array([on.timetuple().tm_yday for on in self.dates])
        self.year = np.array([on.year for on in self.dates])
        self.weekday = np.array([on.weekday() for on in self.dates])

    def next_on(self, day: int, day_of_year: int) -> int:
        """The first index from `day` on that has this day of the year; `count` when there is none."""
        hits = np.nonzero(self.day_of_year[day:] == day_of_year)[0]
        return day + int(hits[0]) if len(hits) else self.count

    def seasonal_wave(self, peak_day_of_year: float) -> Floats:
        """A cosine of one year with its height (1) at the peak."""
        return np.cos(2 * np.pi * (self.day_of_year - peak_day_of_year) / DAYS_A_YEAR)


def autocorrelated(rng: np.random.Generator, count: int, *, correlation: float, spread: float) -> Floats:
    """A first-order autoregressive series about zero with standard deviation `spread`."""
    shocks = rng.normal(0, spread * math.sqrt(1 - correlation * correlation), count)
    series = np.empty(count)
    value = float(rng.normal(0, spread))
    for index in range(count):
        value = correlation * value + shocks[index]
        series[index] = value
    return series


class Climate:
    """Water outdoors: `daily_c` as it was and will be, `monthly_c` the twelve normals the facility believes in (degC)."""

    def __init__(self, rng: np.random.Generator, days: Days, *, is_southern: bool = False) -> None:
        self.is_southern = is_southern
        mean_c = float(rng.uniform(11.5, 16.0))
        swing_c = float(rng.uniform(8.5, 11.5))
        warmest_day = float(rng.normal(203, 5)) + (182.5 if is_southern else 0.0)
        offsets_c = {year: rng.normal(0, 0.6) for year in range(days.year[0], days.year[-1] + 1)}
        weather_c = autocorrelated(rng, days.count, correlation=0.9, spread=1.5)
        of_the_year_c = np.array([offsets_c[year] for year in days.year])
        seasonal_c = mean_c + swing_c * days.seasonal_wave(warmest_day)
        self.daily_c = np.maximum(seasonal_c + weather_c + of_the_year_c, COLDEST_WATER_C)
        normals_c = mean_c + swing_c * np.cos(2 * np.pi * (MIDDLES_OF_MONTHS - warmest_day) / DAYS_A_YEAR)
        normals_c = normals_c + rng.normal(0, 0.7)  # one error for all twelve: the station is not at the pond
        self.monthly_c = tuple(round(float(max(normal_c, 3.0)), 1) for normal_c in normals_c)


@dataclass(frozen=True, kw_only=True)
class LeafFall:
    """When leaves fall: a bell about a day of the (northern) year holding `autumn_share`, the rest evenly; years differ log-normally."""

    peak_day_of_year: int = 300
    spread_days: float = 22.0
    autumn_share: float = 0.6
    year_spread: float = 0.25

    def g_per_day(
        self, rng: np.random.Generator, days: Days, *, surface_m2: float, g_m2_year: float, is_southern: bool
    ) -> Floats:
        """Dry grams falling on the whole surface, day by day."""
        peak = (self.peak_day_of_year + (HALF_A_YEAR if is_southern else 0)) % 365
        from_peak_days = (days.day_of_year - peak + 182.6) % DAYS_A_YEAR - 182.6
        bell = np.exp(-0.5 * (from_peak_days / self.spread_days) ** 2)
        bell = bell / (self.spread_days * math.sqrt(2 * math.pi))
        spread = self.year_spread
        factors = {year: rng.lognormal(-(spread**2) / 2, spread) for year in range(days.year[0] - 1, days.year[-1] + 2)}
        of_the_year = np.array([factors[year] for year in days.year])
        by_day = self.autumn_share * bell + (1 - self.autumn_share) / DAYS_A_YEAR
        return surface_m2 * g_m2_year * by_day * of_the_year
