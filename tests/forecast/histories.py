"""Made-up histories for the forecast's tests: a starter tank with musk hatchlings, and two ponds of an invented station."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import numpy as np

from enclosures.forecast.inputs import (
    CleanoutDone,
    FeedPortion,
    FilterEvidence,
    Geometry,
    SeasonSpan,
    SoundingSeen,
    StaySpan,
    TemperatureSeen,
    WeightSeen,
)

STARTED_ON = date(2023, 9, 15)
POND_MONTHS_C = (4, 5, 8, 13, 18, 22, 24, 24, 20, 14, 9, 5)


def musk_mass_g(day: int) -> float:
    """3.3 g at hatching, about 25 g in nine to ten months, 50 g at two years, 75 g at four and a half."""
    return float(np.exp(np.interp(day, [0, 285, 730, 1640], np.log([3.3, 25.0, 50.0, 75.0]))))


def starter_tank(*, n_days: int, times: float = 1.0, with_stock: bool = False, **more) -> FilterEvidence:
    """915 x 460 x 405 mm tank, a 150 mm chamber across one end, 50 mm void; three musk hatchlings at 1.1 % dry, six days a week."""
    feedings = tuple(
        FeedPortion(
            on=STARTED_ON + timedelta(days=day), dry_g=3 * 0.011 * musk_mass_g(day) * times, food_class="pellet"
        )
        for day in range(n_days)
        if day % 7 < 6
    )
    if with_stock:
        more["stays"] = tuple(StaySpan(animal=a, from_on=STARTED_ON, hatched_on=STARTED_ON) for a in "ABC")
        more["weights"] = tuple(
            WeightSeen(animal=a, on=STARTED_ON + timedelta(days=day), mass_g=musk_mass_g(day))
            for day in range(0, n_days, 30)
            for a in "ABC"
        )
    fields = {
        "filter": "T1-F",
        "enclosure": "T1",
        "commissioned_on": None,
        "builds": (Geometry(valid_from=STARTED_ON, chamber_area_m2=0.150 * 0.460, void_height_mm=50.0),),
        "feedings": feedings,
        "surface_m2": 0.915 * 0.460,
    }
    return FilterEvidence(**(fields | more))


def sounding(on: str, depth: float, qualifier: str = "", **more) -> SoundingSeen:
    return SoundingSeen(entry=f"s-{on}", on=date.fromisoformat(on), depths_mm=(depth,), qualifier=qualifier, **more)


def cleanout(on: str, outcome: str = "full", **more) -> CleanoutDone:
    return CleanoutDone(entry=f"c-{on}", on=date.fromisoformat(on), outcome=outcome, **more)


def pond_temperatures(first: date, last: date, seed: int = 5) -> tuple[TemperatureSeen, ...]:
    """A test a week, about the month's mean."""
    rng = np.random.default_rng(seed)
    out, day = [], first
    while day <= last:
        nearest = np.interp(
            (day.timetuple().tm_yday) % 365.25, (np.arange(12) + 0.5) * 365.25 / 12, POND_MONTHS_C, period=365.25
        )
        out.append(TemperatureSeen(on=day, temp_c=float(nearest + rng.normal(0, 1.0))))
        day += timedelta(days=7)
    return tuple(out)


def pond_feed(first: date, last: date, *, stock_g: float, share: float, stop_c: float, per_week: float, seed: int = 7):
    """Stock x dry share x appetite (0 below stop, .4 at it rising to 1 over 5 degC) x log-normal day to day."""
    rng = np.random.default_rng(seed)
    eaten = ("all", "most", "some", "none")
    step = 7.0 / per_week
    due = 0.0
    for offset in itertools.count():
        day = first + timedelta(days=offset)
        if day > last:
            return
        temp = np.interp(
            day.timetuple().tm_yday % 365.25, (np.arange(12) + 0.5) * 365.25 / 12, POND_MONTHS_C, period=365.25
        )
        if offset < due or temp < stop_c:
            continue
        due = max(due + step, offset + 1.0)
        warmth = 0.4 + 0.6 * min((temp - stop_c) / 5.0, 1.0)
        grams = stock_g * share * warmth * float(np.exp(rng.normal(0, 0.15)))
        outcome = eaten[int(rng.choice(4, p=[0.72, 0.17, 0.08, 0.03]))]
        yield FeedPortion(on=day, dry_g=0.7 * grams, food_class="pellet", eaten=outcome)
        yield FeedPortion(on=day, dry_g=0.3 * grams, food_class="worm", eaten=outcome)


WINTERS = (
    SeasonSpan(kind="brumation", from_on=date(2023, 11, 5), to_on=date(2024, 3, 24)),
    SeasonSpan(kind="brumation", from_on=date(2024, 11, 2), to_on=date(2025, 3, 20)),
)
FIRST_LOGGED_ON = date(2023, 4, 3)
LAST_LOGGED_ON = date(2025, 10, 4)


def pond_p1(**more) -> FilterEvidence:
    """Nine turtles, 3.35 kg, near trees; emptied on paper before the log begins."""
    fields = {
        "filter": "P1-F",
        "enclosure": "P1",
        "commissioned_on": date(2018, 5, 1),
        "builds": (
            Geometry(valid_from=date(2018, 5, 1), chamber_area_m2=0.45, void_height_mm=150, usable_fraction=0.75),
        ),
        "feedings": tuple(
            pond_feed(FIRST_LOGGED_ON, LAST_LOGGED_ON, stock_g=3350, share=0.010, stop_c=14, per_week=3.5)
        ),
        "soundings": (
            sounding("2023-09-16", 75),
            sounding("2024-04-20", 113),
            sounding("2024-06-29", 139),
            sounding("2025-05-03", 77),
            sounding("2025-05-31", 83),
            sounding("2025-08-30", 120),
        ),
        "cleanouts": (
            cleanout("2023-03-25", depth_after_mm=12),
            cleanout("2024-08-24", depth_before_mm=150, depth_before_qualifier=">=", depth_after_mm=12, slurry_l=128),
        ),
        "temperatures": pond_temperatures(FIRST_LOGGED_ON, LAST_LOGGED_ON),
        "seasons": WINTERS,
        "is_indoor": False,
        "surface_m2": 14.0,
        "litter_g_m2_year": 220.0,
        "feeding_stops_below_c": 14.0,
    }
    return FilterEvidence(**(fields | more))


def pond_p2(**more) -> FilterEvidence:
    """Three big eaters; rod at the grid, a part cleanout with nothing measured, then a higher void."""
    fields = {
        "filter": "P2-F",
        "enclosure": "P2",
        "commissioned_on": date(2016, 5, 1),
        "builds": (
            Geometry(valid_from=date(2016, 5, 1), chamber_area_m2=0.48, void_height_mm=160),
            Geometry(valid_from=date(2025, 3, 29), chamber_area_m2=0.48, void_height_mm=240),
        ),
        "feedings": tuple(pond_feed(FIRST_LOGGED_ON, LAST_LOGGED_ON, stock_g=5600, share=0.012, stop_c=15, per_week=4)),
        "soundings": (
            sounding("2023-06-10", 56),
            sounding("2023-09-23", 121),
            sounding("2024-04-13", 157),
            sounding("2024-06-22", 160, ">="),
            sounding("2024-08-03", 156),
            sounding("2025-06-21", 43),
            sounding("2025-09-06", 82),
        ),
        "cleanouts": (
            cleanout("2022-10-22", depth_after_mm=11),
            cleanout("2024-07-06", "part", depth_before_mm=160, depth_before_qualifier=">="),
            cleanout("2024-09-14", depth_before_mm=160, depth_before_qualifier=">=", depth_after_mm=14, slurry_l=165),
            cleanout("2025-03-29", depth_before_mm=44, depth_after_mm=1, slurry_l=45),
        ),
        "temperatures": pond_temperatures(FIRST_LOGGED_ON, LAST_LOGGED_ON),
        "seasons": WINTERS,
        "is_indoor": False,
        "surface_m2": 9.0,
        "litter_g_m2_year": 260.0,
        "feeding_stops_below_c": 15.0,
    }
    return FilterEvidence(**(fields | more))
