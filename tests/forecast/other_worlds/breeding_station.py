"""The breeding station: small animals, careful people, tubs that fill and empty with each year's batch and are often stripped between.

Assumes two pools of sludge, of which only the quick one rots to speak of, and that a thick layer lies denser under its own weight.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .animals import Animal, Stay, adult_group, feed_wanted_g, share_of_mass
from .calendar_and_climate import Climate, Days, Floats
from .crew import Crew, Reader, Sense
from .hatchlings import Batch, Hatchery, juvenile_ration
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, Season, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

Kind = Literal["tub", "pond", "tank"]
KINDS: tuple[Kind, ...] = ("tub", "tub", "pond", "tub", "tank", "tub", "pond", "tub")
LETTERS: dict[Kind, str] = {"tub": "T", "pond": "G", "tank": "A"}
FAECES_SHARES = (0.25, 0.19, 0.11, 0.1, 0.12, 0.22, 0.34, 0.2, 0.2)
MEALS_PER_WEEK: dict[Kind, int] = {"tub": 6, "tank": 4, "pond": 5}
MIXES = {
    "tub": {"pellet": 0.45, "worm": 0.15, "crustacean": 0.25, "insect": 0.15},
    "tank": {"pellet": 0.5, "mollusc": 0.2, "crustacean": 0.15, "worm": 0.15},
    "pond": {"pellet": 0.7, "crustacean": 0.1, "plant": 0.2},
}
STOPS_BELOW_C = 14.0
SLOW_DECAY_PER_DAY = 0.00025


class UnderItsOwnWeight:
    """Dry grams of quick and slow sludge; grams in the litre rise as a power of the load on the floor."""

    def __init__(self, rng: np.random.Generator, *, load_g: Floats, temp_c: Floats, area_m2: float) -> None:
        self.load_g, self.area_m2 = load_g, area_m2
        self.quick_share = rng.uniform(0.25, 0.5)
        self.quick_decay = rng.lognormal(math.log(0.012), 0.3) * 1.06 ** (temp_c - 22)
        self.loose_g_per_l, self.power = rng.uniform(32, 45), rng.uniform(0.15, 0.3)
        self.quick_g = self.slow_g = 0.0

    def step(self, day: int, *, room: float, fill: float) -> None:
        load_g = self.load_g[day] * room
        self.quick_g += load_g * self.quick_share - self.quick_decay[day] * self.quick_g
        self.slow_g += load_g * (1 - self.quick_share) - SLOW_DECAY_PER_DAY * self.slow_g

    def volume_l(self) -> float:
        mass_g = self.quick_g + self.slow_g
        return mass_g / (self.loose_g_per_l * (1 + mass_g / self.area_m2 / 700.0) ** self.power)

    def keep(self, share: float) -> None:
        self.quick_g *= share
        self.slow_g *= share


@dataclass(frozen=True, kw_only=True)
class Unit:
    """One filter of the station with the batches of its tub."""

    kind: Kind
    place: Place
    batches: tuple[Batch, ...] = ()


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Five tubs, two ponds the batches move on to, and a tank of parents in eight."""
    climate = Climate(rng, days)
    kinds = [KINDS[number % len(KINDS)] for number in range(n_filters)]
    codes = [f"{name}-{LETTERS[kind]}{number}" for number, kind in enumerate(kinds, 1)]
    ponds = [code for code, kind in zip(codes, kinds, strict=True) if kind == "pond"]
    station_day = days.today - int(rng.uniform(400, 2190))
    units: list[Unit] = []
    animals: list[Animal] = []
    for code, kind in zip(codes, kinds, strict=True):
        place = _place(rng, days, climate=climate, code=code, kind=kind, station_day=station_day)
        batches: list[Batch] = []
        if kind == "tub":
            young, batches = _young(rng, days, place=place, ponds=ponds)
            animals += young
            _rest_between(rng, place=place, batches=batches)
        elif kind == "tank":
            animals += _grown(rng, days, place, count=int(rng.integers(3, 7)), mass_range_g=(110, 300), turnover=0.15)
        units.append(Unit(kind=kind, place=place, batches=tuple(batches)))
    standing_since = {unit.place.enclosure: unit.place.start_day for unit in units if unit.kind == "pond"}
    _wait_until_ponds_stand(animals, standing_since)
    site_factor = float(rng.lognormal(0, 0.28))
    return [_case(rng, days, unit=unit, animals=animals, site_factor=site_factor) for unit in units]


def _place(rng: np.random.Generator, days: Days, *, climate: Climate, code: str, kind: Kind, station_day: int) -> Place:
    """Ponds are dug some months after the station opens; every filter has sixty days of record at least."""
    if kind == "pond":
        start_day = station_day + int(rng.integers(120, 300))
    else:
        start_day = max(station_day, start_day_of_record(rng, days))
    start_day = min(start_day, days.today - 60)
    if kind == "pond":
        return new_pond(
            rng, days, climate=climate, name=code, start_day=start_day, surface_range_m2=(3, 9), winters_recorded=1.0
        )
    return new_tank(rng, days, climate=climate, name=code, start_day=start_day, temp_range_c=(24, 27))


def _young(rng: np.random.Generator, days: Days, *, place: Place, ponds: list[str]) -> tuple[list[Animal], list[Batch]]:
    hatchery = Hatchery(
        tub=place.enclosure,
        batch_size=(4, 10),
        code="b",
        pond=str(rng.choice(ponds)) if ponds else None,
        days_in_pond=int(rng.integers(300, 750)),
        starts_at_once=rng.random() < 0.6,
        outdoors_c=place.climate.daily_c,
    )
    return hatchery.batches(rng, days, place.start_day)


def _rest_between(rng: np.random.Generator, *, place: Place, batches: list[Batch]) -> None:
    """An empty tub is not fed; half of the tubs have their rests between two batches on record."""
    is_occupied = np.zeros(len(place.is_feeding), bool)
    for filled, emptied in batches:
        is_occupied[filled:emptied] = True
    place.is_feeding &= is_occupied
    if rng.random() < 0.5:
        for (_, emptied), (filled_again, _) in itertools.pairwise(batches):
            place.seasons.append(Season("resting", emptied, filled_again))


def _grown(
    rng: np.random.Generator,
    days: Days,
    place: Place,
    *,
    letter: str = "",
    count: int,
    mass_range_g: tuple[float, float],
    turnover: float,
) -> list[Animal]:
    return adult_group(
        rng,
        days,
        code=f"{place.enclosure}-{letter}",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=count,
        mass_range_g=mass_range_g,
        turnover=turnover,
    )


def _wait_until_ponds_stand(animals: list[Animal], standing_since: dict[str, int]) -> None:
    """No animal moves to a pond before it is dug."""
    for animal in animals:
        animal.stays = [
            Stay(where, max(from_day, standing_since.get(where, from_day)), to_day)
            for where, from_day, to_day in animal.stays
            if to_day is None or to_day > standing_since.get(where, 0)
        ]


def _case(rng: np.random.Generator, days: Days, *, unit: Unit, animals: list[Animal], site_factor: float) -> Case:
    kind, place = unit.kind, unit.place
    here = [animal for animal in animals if animal.has_lived_in(place.enclosure)]
    if kind == "pond" and rng.random() < 0.6:
        here += _grown(rng, days, place, letter="k", count=2, mass_range_g=(250, 700), turnover=0.1)
    meals = _meals(rng, days, place=place, animals=here, kind=kind)
    load_g = _load_g(rng, days, place=place, meals=meals, site_factor=site_factor)
    planned_leaves_l = 0.0 if place.is_indoor else place.surface_m2 * 150 * 0.25 / 55
    planned_l = max(feed_g_per_year(days, meals, place.start_day) * 0.17 / 42 + planned_leaves_l, 0.15)
    first = void_for(
        rng,
        days,
        start_day=place.start_day,
        sludge_l=planned_l * site_factor**0.6 * float(rng.uniform(0.7, 1.35)),
        spread=0.2,
        is_small=kind == "tub",
    )
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.12 if kind == "pond" else 0.03)
    sludge = UnderItsOwnWeight(rng, load_g=load_g, temp_c=place.temp_c, area_m2=first.usable_area_m2)
    return case_of(
        rng,
        days,
        place=place,
        animals=here,
        meals=meals,
        feed_log=FeedLog(written=0.995, spread=0.02),
        sludge=sludge,
        builds=builds,
        crew=_crew(rng, strip_days=_strip_days(rng, days, unit)),
        habits=RecordHabits(temperature_every_days=4, feeding_stops_below_c=STOPS_BELOW_C, room_temp_c=25.0),
    )


def _meals(rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal], kind: Kind) -> Meals:
    ration = share_of_mass(0.006) if kind == "tank" else juvenile_ration
    wanted_g = feed_wanted_g(days, animals, enclosure=place.enclosure, ration=ration)
    menu = Menu(
        meals_per_week=MEALS_PER_WEEK[kind],
        mix=MIXES[kind],
        spread=0.1,
        words=(0.75, 0.17, 0.06, 0.02),
        second_line=0.5,
        removes=0.6,
        misses=0.01,
        judges=0.99,
        stops_below_c=STOPS_BELOW_C,
    )
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _load_g(rng: np.random.Generator, days: Days, *, place: Place, meals: Meals, site_factor: float) -> Floats:
    factor = site_factor * float(rng.lognormal(0, 0.2))
    faeces_g = meals.faeces_g_per_day(days, FAECES_SHARES)
    load_g = (faeces_g * 0.85 + meals.left_g_per_day(days) * 0.7) * factor
    if place.is_indoor:
        return load_g
    leaves_g = give_leaves(rng, days, place=place, chances=(0.5, 0.4, 0.1))
    return load_g + leaves_g * float(rng.uniform(0.15, 0.35))


def _strip_days(rng: np.random.Generator, days: Days, unit: Unit) -> tuple[int, ...]:
    """Four tubs in ten are stripped soon after a batch has moved out, mostly."""
    if unit.kind != "tub" or rng.random() >= 0.4:
        return ()
    return tuple(
        emptied + int(rng.integers(1, 12)) for _, emptied in unit.batches if emptied < days.count and rng.random() < 0.8
    )


def _crew(rng: np.random.Generator, *, strip_days: tuple[int, ...]) -> Crew:
    """A rod every month, three readings each."""
    return Crew(
        sounds_every_days=30.0 if rng.random() < 0.85 else None,
        sounding_cv=0.15,
        sounds_in_winter=False,
        readers=(Reader(1.0, 0.04, 1.5, 1.0),),
        notes_minute=0.9,
        sense=Sense(0.72, 0.06),
        delay_days=10,
        clean_days=strip_days,
        cleans_in_part=0.02,
        reads_before=0.95,
        reads_after=0.95,
        measures_slurry=0.9,
    )
