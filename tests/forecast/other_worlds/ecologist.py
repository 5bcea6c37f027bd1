"""The ecologist: ponds only, fed by leaves, algae, banks that wash in, and turtles that forage for themselves.

Assumes that turtles' detritus rots within weeks and leaves within a year (a rate doubles with ten degrees, and no two days are alike), that
both leave humus, and that silt stays for good. Each kind has its own grams in a litre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .animals import Animal, adult_group, feed_wanted_g
from .calendar_and_climate import Climate, Days, Floats, LeafFall
from .crew import Crew, Reader, Sense
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

FAECES_SHARES = (0.24, 0.18, 0.1, 0.1, 0.12, 0.2, 0.36, 0.2, 0.2)
DETRITUS_G_PER_L, LEAF_G_PER_L, HUMUS_G_PER_L, SILT_G_PER_L = 30, 45, 65, 420
LEAF_FALL = LeafFall(peak_day_of_year=308, spread_days=16, autumn_share=0.72, year_spread=0.45)
LITTER_EXPECTED_G_M2_YEAR = {"open": 95, "near": 210, "canopy": 390}


class DetritusLeavesAndSilt:
    """Dry grams of fresh detritus, of leaves, of the humus both turn into, and of silt."""

    def __init__(
        self, rng: np.random.Generator, *, detritus_g: Floats, leaf_g: Floats, silt_g: Floats, temp_c: Floats
    ) -> None:
        self.detritus_load_g, self.leaf_load_g, self.silt_load_g = detritus_g, leaf_g, silt_g
        times_of_20c = 2.1 ** ((temp_c - 20) / 10)
        self.detritus_decay = rng.lognormal(math.log(0.018), 0.3) * times_of_20c
        self.leaf_decay = rng.lognormal(math.log(0.0025), 0.35) * times_of_20c
        self.humus_of_leaf = rng.uniform(0.2, 0.4)
        self.detritus_g = self.leaf_g = self.humus_g = self.silt_g = 0.0
        self.humus_of_detritus = rng.uniform(0.3, 0.45)

    def step(self, day: int, *, room: float, fill: float) -> None:
        detritus_in_g = self.detritus_load_g[day] * room
        detritus_lost_g = self.detritus_decay[day] * self.detritus_g
        leaf_lost_g = self.leaf_decay[day] * self.leaf_g
        self.detritus_g += detritus_in_g * (1 - self.humus_of_detritus) - detritus_lost_g
        self.leaf_g += self.leaf_load_g[day] * room - leaf_lost_g
        self.humus_g += detritus_in_g * self.humus_of_detritus + leaf_lost_g * self.humus_of_leaf
        self.silt_g += self.silt_load_g[day] * room

    def volume_l(self) -> float:
        fresh_l = self.detritus_g / DETRITUS_G_PER_L + self.leaf_g / LEAF_G_PER_L
        return fresh_l + self.humus_g / HUMUS_G_PER_L + self.silt_g / SILT_G_PER_L

    def keep(self, share: float) -> None:
        self.detritus_g *= share
        self.leaf_g *= share
        self.humus_g *= share
        self.silt_g *= share


@dataclass(frozen=True, kw_only=True)
class Sky:
    """What the facility's ponds have in common: climate, the size of each day's storm, algae that die each day."""

    climate: Climate
    storm_sizes: Floats
    dead_algae_g_m2: Floats


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Ponds under one sky, one facility in eight of the southern hemisphere. The rod is seldom used and never in winter."""
    climate = Climate(rng, days, is_southern=bool(rng.random() < 0.12))
    storm_sizes = _storm_sizes(rng, days, climate)
    sky = Sky(climate=climate, storm_sizes=storm_sizes, dead_algae_g_m2=_dead_algae_g_m2(rng, days, climate))
    return [_case(rng, days, sky=sky, code=f"{name}-P{number + 1}") for number in range(n_filters)]


def _storm_sizes(rng: np.random.Generator, days: Days, climate: Climate) -> Floats:
    """About six storms a year, most of them in the wet season; 0 on other days, about 1.2 in a storm."""
    wetness = np.clip(1 + 0.5 * days.seasonal_wave(150 if climate.is_southern else 330), 0.3, None)
    is_storm = rng.random(days.count) < 6 / 365 * wetness
    return rng.gamma(1.2, 1.0, days.count) * is_storm


def _dead_algae_g_m2(rng: np.random.Generator, days: Days, climate: Climate) -> Floats:
    """Algae stand at 1-60 g/m2, grow above 12 degC, die in the cold, and crash now and then: what dies each day."""
    crash = rng.random(days.count)
    dead_g_m2 = np.zeros(days.count)
    standing_g_m2 = 1.0
    for day, temp_c in enumerate(climate.daily_c):
        if temp_c > 12:
            standing_g_m2 = min(60.0, standing_g_m2 * (1 + 0.06 * max(0.0, (temp_c - 12) / 12)))
        lost_g_m2 = standing_g_m2 * (0.02 + (0.10 if temp_c < 11 else 0.0))
        if standing_g_m2 > 25 and crash[day] < 0.02:
            lost_g_m2 = standing_g_m2 * 0.7
        standing_g_m2 = max(1.0, standing_g_m2 - lost_g_m2)
        dead_g_m2[day] = lost_g_m2
    return dead_g_m2


def _case(rng: np.random.Generator, days: Days, *, sky: Sky, code: str) -> Case:
    place = new_pond(
        rng,
        days,
        climate=sky.climate,
        name=code,
        start_day=start_day_of_record(rng, days),
        surface_range_m2=(3.5, 16),
        winters_recorded=0.85,
        offset_spread_c=1.0,
    )
    animals = _animals(rng, days, place)
    wanted_g = feed_wanted_g(days, animals, enclosure=code, ration=lambda mass_g: 0.0052 * (mass_g / 600.0) ** -0.2)
    meals = _meals(rng, days, place=place, wanted_g=wanted_g)
    leaves_g = give_leaves(rng, days, place=place, chances=(0.25, 0.4, 0.35), leaf_fall=LEAF_FALL)
    sludge = _sludge(rng, days, place=place, meals=meals, leaves_g=leaves_g, sky=sky)
    planned_l = _planned_l(days, place=place, meals=meals)
    first = void_for(
        rng,
        days,
        start_day=place.start_day,
        sludge_l=planned_l * float(rng.uniform(0.9, 2.0)),
        spread=0.25,
        due_fill=float(rng.choice([0.7, 0.7, 0.6])),
    )
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(written=0.95),
        sludge=sludge,
        builds=with_rebuild(rng, days, place=place, first=first, chance=0.06),
        crew=_crew(rng),
        habits=RecordHabits(
            temperature_every_days=int(rng.choice([3, 7, 14])), weighs_every_days=200, feeding_stops_below_c=11.0
        ),
    )


def _animals(rng: np.random.Generator, days: Days, place: Place) -> list[Animal]:
    return adult_group(
        rng,
        days,
        code=f"{place.enclosure}-",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=int(rng.integers(2, 6)),
        mass_range_g=(300, 1100),
        turnover=0.4,
    )


def _meals(rng: np.random.Generator, days: Days, *, place: Place, wanted_g: Floats) -> Meals:
    """Appetite is a bell about 25 degC and ends at 11."""
    menu = Menu(
        meals_per_week=int(rng.choice([2, 3, 4])),
        mix={"pellet": 0.5, "fish": 0.15, "plant": 0.2, "crustacean": 0.15},
        spread=0.3,
        words=(0.6, 0.25, 0.1, 0.05),
        second_line=0.3,
        judges=0.6,
    )
    appetite = np.exp(-0.5 * ((place.temp_c - 25) / 6.0) ** 2) * (place.temp_c > 11)
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu, appetite=appetite)


def _sludge(
    rng: np.random.Generator, days: Days, *, place: Place, meals: Meals, leaves_g: Floats, sky: Sky
) -> DetritusLeavesAndSilt:
    """About a third of the leaves reaches the void, an eighth of the algae, and in a storm about 22 g of silt for each m2 of pond."""
    leaf_share = float(rng.lognormal(math.log(0.33), 0.3))
    times_foraged = 1 + float(rng.uniform(0.05, 0.3))
    faeces_g = meals.faeces_g_per_day(days, FAECES_SHARES) * times_foraged
    detritus_g = faeces_g * 0.65 + meals.left_g_per_day(days) * 0.55
    algae_share = float(rng.lognormal(math.log(0.12), 0.5))
    detritus_g = detritus_g + sky.dead_algae_g_m2 * place.surface_m2 * algae_share
    bank_g_m2 = float(rng.lognormal(math.log(45.0), 0.6))
    return DetritusLeavesAndSilt(
        rng,
        detritus_g=detritus_g,
        leaf_g=leaves_g * leaf_share,
        silt_g=sky.storm_sizes * place.surface_m2 * bank_g_m2 * 0.5,
        temp_c=place.temp_c,
    )


def _planned_l(days: Days, *, place: Place, meals: Meals) -> float:
    """Litres in the planned year: feed, leaves by how open the pond lies, and 0.6 L of silt and algae a square metre."""
    feed_l = feed_g_per_year(days, meals, place.start_day) * 0.2 / 52
    litter_l = LITTER_EXPECTED_G_M2_YEAR[place.litter_level] * place.surface_m2 * 0.26 / 50
    return feed_l + litter_l + place.surface_m2 * 0.6


def _crew(rng: np.random.Generator) -> Crew:
    return Crew(
        sounds_every_days=float(rng.uniform(50, 130)) if rng.random() < 0.6 else None,
        sounding_cv=0.6,
        sounds_in_winter=False,
        readers=(Reader(1.0, 0.1, 4.0, 1.0),),
        repeats=(1, 2, 3),
        sense=Sense(0.8, 0.13),
        delay_days=25,
        reads_before=0.5,
        reads_after=0.4,
        measures_slurry=0.4,
    )
