"""The septic law: litres in a kilogram of feed fall as a power of the sludge's age, and there is no other physics.

Assumes, as for a household's tank, that all that happens to sludge happens with time since the last cleanout; a part cleanout makes it younger.
The site's litres in a kilogram lie anywhere between 1.7 and 6.5.
"""

from __future__ import annotations

import math

import numpy as np

from .animals import Animal, Stay, adult_group, feed_wanted_g
from .calendar_and_climate import Climate, Days, Floats
from .crew import Crew, Reader, Sense
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

AGE_AS_STATED_DAYS = 210  # at about this age a kilogram takes the litres stated of the site
FEED_G_PER_G_OF_LEAF = 1.4


class YearsMakeItDense:
    """Litres, each laid down as large as the age of the whole allows. `feed_g` is all that settles, as grams of feed."""

    def __init__(self, rng: np.random.Generator, *, feed_g: Floats, l_per_kg: float) -> None:
        self.load_l = feed_g / 1000 * l_per_kg
        self.power, self.young_days = rng.uniform(0.1, 0.4), rng.uniform(15, 45)
        self.lying_l = self.age_days = 0.0

    def step(self, day: int, *, room: float, fill: float) -> None:
        self.age_days += 1
        times_stated = ((self.age_days + self.young_days) / AGE_AS_STATED_DAYS) ** (-self.power)
        self.lying_l += self.load_l[day] * room * times_stated

    def volume_l(self) -> float:
        return self.lying_l

    def keep(self, share: float) -> None:
        self.lying_l *= share
        self.age_days *= share


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Three tanks to a pond, most with long records; one tank in eight of hatchlings that grow evenly."""
    climate = Climate(rng, days)
    l_per_kg = float(np.exp(rng.uniform(math.log(1.7), math.log(6.5))))
    cases = []
    for number in range(n_filters):
        start_day = start_day_of_record(rng, days, is_long=rng.random() < 0.75)
        code = f"{name}-S{number + 1}"
        if number % 4 == 3:
            place = new_pond(rng, days, climate=climate, name=code, start_day=start_day, surface_range_m2=(4, 12))
        else:
            place = new_tank(rng, days, climate=climate, name=code, start_day=start_day, temp_range_c=(20, 26))
        animals = _even_growers(rng, days, place) if number % 8 == 4 else _adults(rng, days, place)
        cases.append(_case(rng, days, place=place, animals=animals, site_l_per_kg=l_per_kg))
    return cases


def _even_growers(rng: np.random.Generator, days: Days, place: Place) -> list[Animal]:
    """6 g at hatching and 0.12-0.25 g a day for 1600 days."""
    animals = []
    for number in range(int(rng.integers(3, 7))):
        hatched = place.start_day - int(rng.integers(20, 90))
        growth_days = np.clip(np.arange(days.count) - hatched, 0, 1600)
        mass_g = 6 + growth_days * rng.uniform(0.12, 0.25)
        animal = Animal(name=f"{place.enclosure}-l{number}", mass_g=mass_g, hatched_day=hatched)
        animal.stays.append(Stay(place.enclosure, place.start_day))
        animals.append(animal)
    return animals


def _adults(rng: np.random.Generator, days: Days, place: Place) -> list[Animal]:
    return adult_group(
        rng,
        days,
        code=f"{place.enclosure}-",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=int(rng.integers(2, 7)),
        mass_range_g=(200, 1000),
        turnover=0.15,
    )


def _case(rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal], site_l_per_kg: float) -> Case:
    meals = _meals(rng, days, place=place, animals=animals)
    feed_g = meals.eaten_g_per_day(days) + 2.5 * meals.left_g_per_day(days)
    planned_leaves_l = 0.0
    if not place.is_indoor:
        leaves_g = give_leaves(rng, days, place=place, chances=(0.5, 0.4, 0.1))
        feed_g = feed_g + leaves_g * FEED_G_PER_G_OF_LEAF
        planned_leaves_l = place.surface_m2 * 150 / 1000 * FEED_G_PER_G_OF_LEAF * 3.6
    sludge = YearsMakeItDense(rng, feed_g=feed_g, l_per_kg=site_l_per_kg * float(rng.lognormal(0, 0.25)))
    planned_l = feed_g_per_year(days, meals, place.start_day) / 1000 * 3.6 + planned_leaves_l
    planned_l = planned_l * (site_l_per_kg / 3.3) ** 0.6 * 1.1
    first = void_for(
        rng,
        days,
        start_day=place.start_day,
        sludge_l=planned_l * float(rng.uniform(0.8, 2.2)),
        spread=0.25,
        due_fill=float(rng.choice([0.7, 0.7, 0.65, 0.8])),
    )
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.1)
    place.starts_on_paper = bool(rng.random() < 0.2)
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(written=0.97),
        sludge=sludge,
        builds=builds,
        crew=_crew(rng),
        habits=RecordHabits(temperature_every_days=14, weighs_every_days=180),
    )


def _meals(rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal]) -> Meals:
    wanted_g = feed_wanted_g(
        days, animals, enclosure=place.enclosure, ration=lambda mass_g: 0.0053 * np.where(mass_g < 100, 1.7, 1.0)
    )
    menu = Menu(meals_per_week=3, mix={"pellet": 0.75, "gel": 0.1, "worm": 0.15}, judges=0.7)
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _crew(rng: np.random.Generator) -> Crew:
    return Crew(
        sounds_every_days=float(rng.choice([90, 180, 365])) if rng.random() < 0.7 else None,
        sounding_cv=0.3,
        readers=(Reader(1.0, 0.06, 3.0, 5.0),),
        repeats=(2,),
        sense=Sense(0.75, 0.1),
        delay_days=30,
        cleans_in_part=0.1,
        reads_before=0.7,
        reads_after=0.3,
        measures_slurry=0.9,
    )
