"""The calendar cleaner: every filter is vacuumed in the same weeks of the year, whatever its fill, and seldom sounded.

Assumes that a kilogram of feed makes so many litres and that this number wanders from month to month; fresh litres settle to fewer over some
months; nothing rots. Feed is measured by the half scoop.
"""

from __future__ import annotations

import math

import numpy as np

from .animals import adult_group, feed_wanted_g, share_of_mass
from .calendar_and_climate import Climate, Days, Floats, LeafFall, autocorrelated
from .crew import Crew, Reader
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

FEED_G_PER_G_OF_LEAF = 5  # a kilogram of feed is about 0.2 kg of solids, as is a fifth of the leaves caught
CAUGHT_SHARE = 0.35  # of leaves
CLEANED_ON_DAYS = (105, 250, 290)  # of the year, one for the facility


class WanderingLitres:
    """Fresh and settled litres. `feed_g` is all that settles, as grams of feed."""

    def __init__(self, rng: np.random.Generator, *, feed_g: Floats, l_per_kg: float) -> None:
        count = len(feed_g)
        by_month = autocorrelated(rng, count // 30 + 2, correlation=0.8, spread=0.25)
        factor = np.repeat(np.exp(by_month - 0.03), 30)[:count]
        self.inflow_l = feed_g / 1000 * l_per_kg * factor
        self.settling_days, self.settled_share = rng.uniform(50, 140), rng.uniform(0.55, 0.8)
        self.fresh_l = self.settled_l = 0.0

    def step(self, day: int, *, room: float, fill: float) -> None:
        settling_l = self.fresh_l / self.settling_days
        self.fresh_l += self.inflow_l[day] * room - settling_l
        self.settled_l += settling_l * self.settled_share

    def volume_l(self) -> float:
        return self.fresh_l + self.settled_l

    def keep(self, share: float) -> None:
        self.fresh_l *= share
        self.settled_l *= share


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Tanks and ponds by turns. The site's litres in a kilogram of feed lie anywhere between 1.8 and 6.5."""
    climate = Climate(rng, days)
    cleaned_on_day = int(rng.choice(CLEANED_ON_DAYS))
    l_per_kg = float(np.exp(rng.uniform(math.log(1.8), math.log(6.5))))
    cases = []
    for number in range(n_filters):
        start_day = start_day_of_record(rng, days, is_long=rng.random() < 0.5)
        code = f"{name}-K{number + 1}"
        if number % 2 == 0:
            place = new_tank(rng, days, climate=climate, name=code, start_day=start_day, temp_range_c=(21, 25))
        else:
            place = new_pond(
                rng,
                days,
                climate=climate,
                name=code,
                start_day=start_day,
                surface_range_m2=(5, 18),
                winters_recorded=0.95,
            )
        cases.append(_case(rng, days, place=place, cleaned_on_day=cleaned_on_day, site_l_per_kg=l_per_kg))
    return cases


def _case(rng: np.random.Generator, days: Days, *, place: Place, cleaned_on_day: int, site_l_per_kg: float) -> Case:
    animals = adult_group(
        rng,
        days,
        code=f"{place.enclosure}-",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=int(rng.integers(2, 8)),
        mass_range_g=(200, 1000),
        turnover=0.3,
    )
    wanted_g = feed_wanted_g(days, animals, enclosure=place.enclosure, ration=share_of_mass(0.005))
    meals = _meals(rng, days, place=place, wanted_g=wanted_g)
    feed_g = _feed_and_leaves_g(rng, days, place=place, meals=meals)
    sludge = WanderingLitres(rng, feed_g=feed_g, l_per_kg=site_l_per_kg * float(rng.lognormal(0, 0.2)))
    sludge_l = _planned_l(days, place=place, meals=meals, site_l_per_kg=site_l_per_kg)
    sludge_l = sludge_l * float(rng.choice([1.0, 1.6, 2.4]))
    first = void_for(rng, days, start_day=place.start_day, sludge_l=sludge_l, spread=0.25)
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.08)
    place.starts_on_paper = bool(rng.random() < 0.25)
    crew = _crew(rng, clean_days=_clean_days(rng, days, start_day=place.start_day, day_of_year=cleaned_on_day))
    has_no_thermometer = place.is_indoor and rng.random() < 0.5
    habits = RecordHabits(
        temperature_every_days=0 if has_no_thermometer else 10,
        weighs_every_days=int(rng.choice([0, 365])),
        room_temp_c=23.0,
    )
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(written=0.93, spread=0.0),
        sludge=sludge,
        builds=builds,
        crew=crew,
        habits=habits,
    )


def _meals(rng: np.random.Generator, days: Days, *, place: Place, wanted_g: Floats) -> Meals:
    """By the half scoop, of a size that suits the stock soon after the start."""
    scoop_g = float(rng.choice([5.0, 12.0, 24.0])) * (0.5 if place.is_indoor else 1.0)
    scoop_g = min(scoop_g, max(1.0, float(wanted_g[place.start_day + 10]) * 2))
    menu = Menu(
        meals_per_week=int(rng.choice([2, 3, 5])),
        mix={"pellet": 0.85, "plant": 0.15},
        spread=0.25,
        words=(0.8, 0.15, 0.04, 0.01),
        scoop_g=scoop_g,
        judges=0.1,
    )
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _feed_and_leaves_g(rng: np.random.Generator, days: Days, *, place: Place, meals: Meals) -> Floats:
    """Grams a day as grams of feed; what is left makes twice as much as what is eaten."""
    feed_g = meals.eaten_g_per_day(days) + 2 * meals.left_g_per_day(days)
    if place.is_indoor:
        return feed_g
    leaves_g = give_leaves(rng, days, place=place, leaf_fall=LeafFall(year_spread=0.3))
    return feed_g + leaves_g * float(rng.uniform(0.7, 1.3)) * CAUGHT_SHARE * FEED_G_PER_G_OF_LEAF


def _planned_l(days: Days, *, place: Place, meals: Meals, site_l_per_kg: float) -> float:
    """Litres in the planned year, by somebody who half knows what is special about the site."""
    feed_l = feed_g_per_year(days, meals, place.start_day) / 1000 * 3.8 * 0.7
    leaves_l = place.surface_m2 * 200 / 1000 * CAUGHT_SHARE * FEED_G_PER_G_OF_LEAF * 3.7 * 0.7
    return (feed_l if place.is_indoor else feed_l + leaves_l) * (site_l_per_kg / 3.4) ** 0.6


def _clean_days(rng: np.random.Generator, days: Days, *, start_day: int, day_of_year: int) -> tuple[int, ...]:
    """Within twelve days of the date, in seven years of eight, once the filter is a hundred days old."""
    chosen = []
    for year in range(days.year[0], days.year[days.today] + 1):
        hits = np.nonzero((days.year == year) & (days.day_of_year == day_of_year))[0]
        if len(hits) and rng.random() < 0.88:
            day = int(hits[0]) + int(rng.integers(-12, 13))
            if day - start_day > 100:
                chosen.append(day)
    return tuple(chosen)


def _crew(rng: np.random.Generator, *, clean_days: tuple[int, ...]) -> Crew:
    return Crew(
        sounds_every_days=150.0 if rng.random() < 0.35 else None,
        sounding_cv=0.5,
        sounds_in_winter=False,
        readers=(Reader(1.03, 0.09, 4.0, 5.0),),
        repeats=(1,),
        notes_minute=0.1,
        sense=None,
        clean_days=clean_days,
        cleans_in_part=0.06,
        reads_before=0.45,
        reads_after=0.2,
        measures_slurry=0.75,
    )
