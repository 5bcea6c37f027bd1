"""The odd one out: seven filters alike and one that is overfed, or whose void is far too large or far too small. Animals change places.

Assumes that microbes digest so many grams a day on each square metre, more in warm water, however much there is; what is beyond that stays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .animals import Animal, Stay, adult_group, adult_mass_g, feed_wanted_g
from .calendar_and_climate import Climate, Days, Floats
from .crew import Crew, Reader, Sense
from .hatchlings import Hatchery, growing_by_von_bertalanffy
from .meals import USUAL_WORDS, FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

Kind = Literal["pond", "tank", "tub"]
KINDS: tuple[Kind, ...] = ("pond", "tank", "pond", "tub", "pond", "tank", "pond", "pond")
FAECES_SHARES = (0.28, 0.2, 0.12, 0.14, 0.12, 0.25, 0.38, 0.2, 0.2)
TUB_MIX = {"pellet": 0.5, "crustacean": 0.3, "worm": 0.2}
ADULT_MIX = {"pellet": 0.5, "fish": 0.2, "plant": 0.3}
WORDS_WHEN_OVERFED = (0.45, 0.25, 0.2, 0.1)
TIMES_SIZED = {"oversized": 2.5, "undersized": 0.45}


class DigestedByArea:
    """Dry grams that can rot (32-45 g/L) and that cannot (60-90 g/L). At most 4 % of the first rots in a day."""

    def __init__(self, rng: np.random.Generator, *, load_g: Floats, temp_c: Floats, area_m2: float) -> None:
        self.load_g = load_g
        self.inert_share = rng.uniform(0.35, 0.5)
        warmth = np.clip((temp_c - 4) / 18, 0.05, 1.4)
        self.capacity_g = rng.lognormal(math.log(1.6), 0.3) * area_m2 * warmth
        self.digestible_g = self.inert_g = 0.0
        self.digestible_g_per_l, self.inert_g_per_l = rng.uniform(32, 45), rng.uniform(60, 90)

    def step(self, day: int, *, room: float, fill: float) -> None:
        load_g = self.load_g[day] * room
        self.digestible_g += load_g * (1 - self.inert_share)
        self.inert_g += load_g * self.inert_share
        self.digestible_g -= min(self.digestible_g * 0.04, self.capacity_g[day])

    def volume_l(self) -> float:
        return self.digestible_g / self.digestible_g_per_l + self.inert_g / self.inert_g_per_l

    def keep(self, share: float) -> None:
        self.digestible_g *= share
        self.inert_g *= share


@dataclass(frozen=True, kw_only=True)
class Unit:
    """One filter: its kind, its first day, and what is odd about it ("" for all but one)."""

    code: str
    kind: Kind
    start_day: int
    oddity: str


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Five ponds whose groups swap, two tanks that some winter in, and a tub whose hatchlings move on, in eight."""
    climate = Climate(rng, days)
    start_days = [start_day_of_record(rng, days, is_long=rng.random() < 0.5) for _ in range(n_filters)]
    odd_number = int(rng.integers(n_filters))
    site_factor = float(rng.lognormal(0, 0.25))
    oddity = str(rng.choice(["overfed", "oversized", "undersized"]))
    units = []
    for number, start_day in enumerate(start_days):
        kind = KINDS[number % len(KINDS)]
        code = f"{name}-{'OP' if kind == 'pond' else 'OT'}{number + 1}"
        is_odd = number == odd_number
        units.append(Unit(code=code, kind=kind, start_day=start_day, oddity=oddity if is_odd else ""))
    animals = _animals(rng, days, units=units, climate=climate)
    return [_case(rng, days, unit=unit, climate=climate, animals=animals, site_factor=site_factor) for unit in units]


def _animals(rng: np.random.Generator, days: Days, *, units: list[Unit], climate: Climate) -> list[Animal]:
    """Everyone with all their moves; nobody is in a place before its first day."""
    starts = {unit.code: unit.start_day for unit in units}
    ponds = [unit.code for unit in units if unit.kind == "pond"]
    animals = _swapping_groups(rng, days, units=units)
    for unit in units:
        if unit.kind == "tub":
            hatchery = Hatchery(
                tub=unit.code,
                batch_size=(5, 11),
                growth=growing_by_von_bertalanffy,
                code="y",
                pond=str(rng.choice(ponds)) if ponds else None,
                starts_at_once=True,
                outdoors_c=climate.daily_c,
            )
            animals += hatchery.batches(rng, days, unit.start_day)[0]
        elif unit.kind == "tank":
            animals += adult_group(
                rng,
                days,
                code=f"{unit.code}-r",
                enclosure=unit.code,
                start_day=unit.start_day,
                count=int(rng.integers(1, 3)),
                mass_range_g=(150, 500),
                turnover=0.1,
            )
    for animal in animals:
        animal.stays = [
            Stay(where, max(from_day, starts[where]), to_day)
            for where, from_day, to_day in animal.stays
            if to_day is None or to_day > starts[where]
        ]
    return animals


def _swapping_groups(rng: np.random.Generator, days: Days, *, units: list[Unit]) -> list[Animal]:
    """Two to five animals of each pond; some groups winter in a tank, at most two groups in each."""
    starts = {unit.code: unit.start_day for unit in units}
    ponds = [unit.code for unit in units if unit.kind == "pond"]
    tanks = [unit.code for unit in units if unit.kind == "tank"]
    animals = []
    for number, home in enumerate(ponds):
        has_tank = bool(tanks) and number < 2 * len(tanks)
        winter_tank = tanks[number % len(tanks)] if has_tank and rng.random() < 0.6 else None
        for member in range(int(rng.integers(2, 6))):
            mean_g = float(np.exp(rng.uniform(math.log(250), math.log(1300))))
            animal = Animal(name=f"{home}-g{member}", mass_g=adult_mass_g(rng, days, mean_g))
            animal.stays = _swaps(rng, days, home=home, starts=starts, ponds=ponds, winter_tank=winter_tank)
            animals.append(animal)
    return animals


def _swaps(
    rng: np.random.Generator,
    days: Days,
    *,
    home: str,
    starts: dict[str, int],
    ponds: list[str],
    winter_tank: str | None,
) -> list[Stay]:
    """To another pond (or the same) after 100 days and more; into the tank in October and back in April or May."""
    stays: list[Stay] = []
    here, day = home, starts[home]
    swap_day = day + int(rng.exponential(500)) + 100
    while day < days.count:
        indoors_day = days.count
        if winter_tank and day >= starts[winter_tank] - 30:
            indoors_day = days.next_on(day + 20, int(rng.integers(285, 300)))
        leaves = min(indoors_day, swap_day)
        stays.append(Stay(here, day, leaves if leaves < days.count else None))
        if leaves >= days.count:
            break
        if winter_tank and leaves == indoors_day:
            day = days.next_on(indoors_day + 60, int(rng.integers(110, 130)))
            stays.append(Stay(winter_tank, indoors_day, day if day < days.count else None))
            swap_day = max(swap_day, day + 40)
        else:
            here = str(rng.choice([pond for pond in ponds if starts[pond] <= leaves] or [home]))
            day = leaves
            swap_day = day + int(rng.exponential(600)) + 100
    return stays


def _case(
    rng: np.random.Generator, days: Days, *, unit: Unit, climate: Climate, animals: list[Animal], site_factor: float
) -> Case:
    place = _place(rng, days, unit=unit, climate=climate)
    times_fed = float(rng.uniform(2.0, 3.2)) if unit.oddity == "overfed" else 1.0
    meals = _meals(rng, days, place=place, animals=animals, kind=unit.kind, times_fed=times_fed)
    load_g = _load_g(rng, days, place=place, meals=meals, site_factor=site_factor)
    planned_leaves_l = 0.0 if place.is_indoor else place.surface_m2 * 190 * 0.3 * 0.55 / 60
    planned_feed_g = feed_g_per_year(days, meals, place.start_day) / times_fed**0.5
    planned_l = (planned_feed_g * 0.21 * 0.85 / 52 + planned_leaves_l) * 1.5 * site_factor**0.6
    first = void_for(
        rng,
        days,
        start_day=place.start_day,
        sludge_l=max(planned_l, 0.2) * TIMES_SIZED.get(unit.oddity, 1.0) * float(rng.uniform(0.8, 1.6)),
        spread=0.25,
        is_small=unit.kind == "tub",
    )
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.2)
    sludge = DigestedByArea(rng, load_g=load_g, temp_c=place.temp_c, area_m2=first.usable_area_m2)
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(written=0.96, spread=0.1),
        sludge=sludge,
        builds=builds,
        crew=_crew(rng),
        keeps_sludge_at_rebuild=rng.random() < 0.3,
    )


def _place(rng: np.random.Generator, days: Days, *, unit: Unit, climate: Climate) -> Place:
    if unit.kind == "pond":
        return new_pond(rng, days, climate=climate, name=unit.code, start_day=unit.start_day, surface_range_m2=(4, 13))
    return new_tank(rng, days, climate=climate, name=unit.code, start_day=unit.start_day)


def _meals(
    rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal], kind: Kind, times_fed: float
) -> Meals:
    """One per cent of small animals a day, half of that for others; where two or three times too much is fed, more of it is left."""
    wanted_g = feed_wanted_g(
        days, animals, enclosure=place.enclosure, ration=lambda mass_g: np.where(mass_g < 120, 0.010, 0.0055)
    )
    menu = Menu(
        mix=TUB_MIX if kind == "tub" else ADULT_MIX,
        spread=0.2,
        words=WORDS_WHEN_OVERFED if times_fed > 1 else USUAL_WORDS,
        second_line=0.2,
        removes=0.15,
    )
    return meals_served(rng, days, wanted_g=wanted_g * times_fed, place=place, menu=menu)


def _load_g(rng: np.random.Generator, days: Days, *, place: Place, meals: Meals, site_factor: float) -> Floats:
    factor = site_factor * float(rng.lognormal(0, 0.22))
    faeces_g = meals.faeces_g_per_day(days, FAECES_SHARES)
    load_g = (faeces_g * 0.85 + meals.left_g_per_day(days) * 0.6) * factor
    if place.is_indoor:
        return load_g
    leaves_g = give_leaves(rng, days, place=place)
    return load_g + leaves_g * float(rng.uniform(0.2, 0.4))


def _crew(rng: np.random.Generator) -> Crew:
    return Crew(
        sounds_every_days=float(rng.uniform(45, 120)) if rng.random() < 0.65 else None,
        sounding_cv=0.5,
        sounds_in_winter=rng.random() < 0.5,
        readers=(Reader(1.0, 0.08, 3.0, 1.0), Reader(1.06, 0.06, 2.0, 5.0)),
        repeats=(1, 3),
        sense=Sense(0.8, 0.15),
        delay_days=25,
        reads_before=0.6,
        reads_after=0.5,
        measures_slurry=0.5,
    )
