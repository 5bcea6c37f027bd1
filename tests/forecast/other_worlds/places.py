"""One filter's place in the world: a heated tank or tub indoors, or a pond with winters and leaves."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enclosures.forecast.inputs import LitterLevel

from .calendar_and_climate import COLDEST_WATER_C, HALF_A_YEAR, Climate, Days, Floats, LeafFall

LITTER_G_M2_YEAR: dict[LitterLevel, tuple[float, float]] = {"open": (50, 130), "near": (140, 290), "canopy": (290, 520)}
ORDINARY_LEAF_FALL = LeafFall()


class Season(NamedTuple):
    kind: Literal["brumation", "resting"]
    from_day: int
    to_day: int | None  # None: not over at the end of the world


@dataclass(kw_only=True)
class Place:
    """`is_feeding`: days on which animals may be fed. `feed_share`: of the enclosure's load, as the facility states it.
    `litter_g_per_day` falls on the whole surface. `starts_on_paper`: an older filter whose record begins with its cleanout."""

    filter: str
    enclosure: str
    start_day: int
    climate: Climate
    is_indoor: bool
    temp_c: Floats
    is_feeding: NDArray[np.bool_]
    surface_m2: float
    seasons: list[Season] = field(default_factory=list)
    feed_share: float = 1.0
    litter_level: LitterLevel = "none"
    litter_stated_g_m2_year: float | None = None
    litter_g_per_day: Floats | None = None
    starts_on_paper: bool = False


def start_day_of_record(rng: np.random.Generator, days: Days, *, is_long: bool = False) -> int:
    """Records are 60 days to six years long, a quarter of them under 300 days; long ones 500 days at least."""
    which = rng.random()
    if is_long:
        age_days = rng.uniform(500, 2190)
    elif which < 0.25:
        age_days = rng.uniform(60, 300)
    elif which < 0.6:
        age_days = rng.uniform(300, 900)
    else:
        age_days = rng.uniform(900, 2190)
    return days.today - int(age_days)


def winters(rng: np.random.Generator, days: Days, *, start_day: int, is_southern: bool) -> list[tuple[int, int]]:
    """Spans without feeding from late October or November to March or April, those that end after start_day."""
    spans, day = [], 0
    shift = HALF_A_YEAR if is_southern else 0
    while day < days.count:
        begin = days.next_on(day, int((rng.integers(295, 320) + shift) % 365) + 1)
        if begin >= days.count:
            break
        end = days.next_on(begin, int((rng.integers(70, 95) + shift) % 365) + 1)
        spans.append((begin, end))
        day = end + 30
    return [(begin, end) for begin, end in spans if end > start_day]


def new_pond(
    rng: np.random.Generator,
    days: Days,
    *,
    climate: Climate,
    name: str,
    start_day: int,
    surface_range_m2: tuple[float, float] = (4.0, 16.0),
    winters_recorded: float = 0.9,
    offset_spread_c: float = 0.5,
) -> Place:
    """A pond is as warm as the climate, give or take; its animals winter in it, and most winters are written down."""
    temp_c = np.maximum(climate.daily_c + rng.normal(0, offset_spread_c), COLDEST_WATER_C)
    place = Place(
        filter=name,
        enclosure=name,
        start_day=start_day,
        climate=climate,
        is_indoor=False,
        temp_c=temp_c,
        is_feeding=np.ones(days.count, bool),
        surface_m2=round(float(rng.uniform(*surface_range_m2)), 1),
    )
    for begin, end in winters(rng, days, start_day=start_day, is_southern=climate.is_southern):
        place.is_feeding[begin:end] = False
        if rng.random() < winters_recorded:
            place.seasons.append(Season("brumation", begin, end if end < days.count else None))
    return place


def new_tank(
    rng: np.random.Generator,
    days: Days,
    *,
    climate: Climate,
    name: str,
    start_day: int,
    temp_range_c: tuple[float, float] = (23.0, 26.5),
) -> Place:
    """A heated tank swings one degree with the seasons of the north."""
    base_c = rng.uniform(*temp_range_c)
    return Place(
        filter=name,
        enclosure=name,
        start_day=start_day,
        climate=climate,
        is_indoor=True,
        temp_c=base_c + 1.0 * days.seasonal_wave(200) + rng.normal(0, 0.4, days.count),
        is_feeding=np.ones(days.count, bool),
        surface_m2=round(float(rng.uniform(0.4, 2.0)), 2),
    )


def give_leaves(
    rng: np.random.Generator,
    days: Days,
    *,
    place: Place,
    chances: tuple[float, float, float] = (0.3, 0.45, 0.25),
    leaf_fall: LeafFall = ORDINARY_LEAF_FALL,
) -> Floats:
    """How open the pond lies (`chances` of open, near trees, under a canopy) and what falls on it, g a day; one in five states a number."""
    place.litter_level = str(rng.choice(list(LITTER_G_M2_YEAR), p=chances))
    g_m2_year = float(rng.uniform(*LITTER_G_M2_YEAR[place.litter_level]))
    place.litter_g_per_day = leaf_fall.g_per_day(
        rng, days, surface_m2=place.surface_m2, g_m2_year=g_m2_year, is_southern=place.climate.is_southern
    )
    if rng.random() < 0.2:
        place.litter_stated_g_m2_year = float(round(g_m2_year * rng.lognormal(0, 0.3), -1))
    return place.litter_g_per_day
