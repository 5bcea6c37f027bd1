"""The engineer: one pool, one rate, one concentration; everything settles once a week and the plan is nearly right.

Assumes that a fixed part of the feed becomes solids, that they rot by first order with 7 % more for each degree, and that the sludge is
45 g dry in the litre whatever its age. Loads and twins' shares wander.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from .animals import Animal, Stay, adult_group, feed_wanted_g, share_of_mass
from .calendar_and_climate import Climate, Days, Floats, LeafFall
from .crew import Crew, Reader, Sense
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

SLUDGE_G_PER_L = 45.0
DECAY_PER_DAY_20C = 0.0012
STOPS_BELOW_C = 12.0


class OnePool:
    """Dry grams with exponential decay, stepped once a week under a load that is off from week to week."""

    def __init__(self, rng: np.random.Generator, *, load_g: Floats, temp_c: Floats) -> None:
        self.load_g, self.temp_c = load_g, temp_c
        self.week_factor = rng.lognormal(-0.02, 0.2, len(load_g) // 7 + 2)
        self.settled_g = self.this_week_g = 0.0

    def step(self, day: int, *, room: float, fill: float) -> None:
        self.this_week_g += self.load_g[day] * room
        if day % 7 == 6:
            left = math.exp(-7 * DECAY_PER_DAY_20C * 1.07 ** (self.temp_c[day] - 20))
            self.settled_g = self.settled_g * left + self.this_week_g * self.week_factor[day // 7]
            self.this_week_g = 0.0

    def volume_l(self) -> float:
        return self.settled_g / SLUDGE_G_PER_L

    def keep(self, share: float) -> None:
        self.settled_g *= share
        self.this_week_g *= share


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Five tanks to three ponds, one tank of juveniles; a pond may be shared by two filters. Rods every 45-90 days, or none."""
    climate = Climate(rng, days)
    site_factor = rng.lognormal(0, 0.12)
    sounds_every_days = float(rng.choice([45, 60, 90]))
    cases: list[Case] = []
    while len(cases) < n_filters:
        number = len(cases)
        code = f"{name}-F{number + 1}"
        place = _place(rng, days, climate=climate, code=code, is_indoor=number % 8 < 5)
        animals = _juveniles(rng, days, place) if number % 8 == 1 else _adults(rng, days, place)
        meals = _meals(rng, days, place=place, animals=animals)
        if not place.is_indoor:
            give_leaves(rng, days, place=place, chances=(0.6, 0.35, 0.05), leaf_fall=LeafFall(autumn_share=0.5))
        next_code = f"{name}-F{number + 2}" if number + 1 < n_filters else None
        for mine in _one_or_two(rng, place, next_code=next_code):
            case = _case(
                rng,
                days,
                place=mine,
                animals=animals,
                meals=meals,
                site_factor=site_factor,
                sounds_every_days=sounds_every_days,
            )
            cases.append(case)
    return cases


def _place(rng: np.random.Generator, days: Days, *, climate: Climate, code: str, is_indoor: bool) -> Place:
    start_day = start_day_of_record(rng, days)
    if is_indoor:
        return new_tank(rng, days, climate=climate, name=code, start_day=start_day)
    return new_pond(rng, days, climate=climate, name=code, start_day=start_day, surface_range_m2=(4, 12))


def _one_or_two(rng: np.random.Generator, place: Place, *, next_code: str | None) -> list[Place]:
    """A third of the ponds have two filters with a stated share each, where there is a code left for the second."""
    is_shared = not place.is_indoor and next_code is not None and rng.random() < 0.35
    shares = (0.5, 0.5) if rng.random() < 0.5 else (0.6, 0.4)
    if not is_shared:
        return [place]
    codes = (place.filter, next_code)
    return [replace(place, filter=code, feed_share=share) for code, share in zip(codes, shares, strict=True)]


def _juveniles(rng: np.random.Generator, days: Days, place: Place) -> list[Animal]:
    """Logistic growth towards 150-320 g."""
    animals = []
    for number in range(int(rng.integers(3, 8))):
        hatched = place.start_day - int(rng.integers(60, 260))
        grown_g, pace_per_day, middle_days = (rng.uniform(150, 320), rng.uniform(0.006, 0.010), rng.uniform(450, 650))
        age_days = np.arange(days.count) - hatched
        mass_g = grown_g / (1 + np.exp(-pace_per_day * (age_days - middle_days))) + 4.0
        animal = Animal(name=f"{place.enclosure}-j{number}", mass_g=mass_g, hatched_day=hatched)
        animal.stays.append(Stay(place.enclosure, place.start_day))
        animals.append(animal)
    return animals


def _adults(rng: np.random.Generator, days: Days, place: Place) -> list[Animal]:
    return adult_group(
        rng,
        days,
        code=f"{place.enclosure}-a",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=int(rng.integers(2, 6)),
        mass_range_g=(150, 700) if place.is_indoor else (350, 1300),
    )


def _meals(rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal]) -> Meals:
    """About one per cent of body mass a meal, three or four a week; the stock is looked at once a week."""
    meals_per_week = int(rng.choice([3, 4]))
    ration = share_of_mass(rng.uniform(0.009, 0.012) * meals_per_week / 7)
    wanted_g = feed_wanted_g(days, animals, enclosure=place.enclosure, ration=ration)
    wanted_g = wanted_g[np.arange(days.count) // 7 * 7]
    menu = Menu(
        meals_per_week=meals_per_week, mix={"pellet": 0.8, "plant": 0.2}, spread=0.12, stops_below_c=STOPS_BELOW_C
    )
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _case(
    rng: np.random.Generator,
    days: Days,
    *,
    place: Place,
    animals: list[Animal],
    meals: Meals,
    site_factor: float,
    sounds_every_days: float,
) -> Case:
    """A fifth of what is eaten, half of what is left and three tenths of the leaves settle, a twin's share being off by a tenth;
    voids are built with a factor of safety."""
    true_feed_share = place.feed_share * float(rng.lognormal(0, 0.1)) if place.feed_share < 1 else 1.0
    solids_share = 0.20 * site_factor * float(rng.lognormal(0, 0.22))
    load_g = meals.eaten_g_per_day(days) * solids_share + meals.left_g_per_day(days) * 0.5
    if place.litter_g_per_day is not None:
        load_g = load_g + place.litter_g_per_day * 0.3
    sludge = OnePool(rng, load_g=load_g * true_feed_share, temp_c=place.temp_c)
    leaves_g = 0 if place.is_indoor else 200.0 * place.surface_m2 * 0.2
    planned_g = (feed_g_per_year(days, meals, place.start_day) * 0.21 + leaves_g) * place.feed_share
    sludge_l = planned_g / SLUDGE_G_PER_L * float(rng.uniform(0.8, 1.7))
    first = void_for(rng, days, start_day=place.start_day, sludge_l=sludge_l, spread=0.12)
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.1)
    crew = Crew(
        sounds_every_days=sounds_every_days if rng.random() < 0.65 else None,
        sounds_in_winter=False,
        readers=(Reader(1.0, 0.07, 3.0, 1.0),),
        sense=Sense(0.78, 0.1),
        reads_before=0.8,
        reads_after=0.8,
        measures_slurry=0.8,
    )
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(spread=0.05),
        sludge=sludge,
        builds=builds,
        crew=crew,
        habits=RecordHabits(feeding_stops_below_c=STOPS_BELOW_C),
    )
