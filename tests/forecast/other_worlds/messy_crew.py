"""The messy crew: a fifth to two fifths of the meals unwritten, weeks without any entry, three people who read the rod each their own way.

Assumes fluffy fresh sludge that turns dense within some months while both rot slowly; feeding is generous in some months and stingy in others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .animals import Animal, adult_group, feed_wanted_g, share_of_mass
from .calendar_and_climate import Climate, Days, Floats, autocorrelated
from .crew import Crew, Reader, Sense
from .hatchlings import Hatchery, growing_ever_slower, juvenile_ration
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, RecordHabits, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

Kind = Literal["tank", "tub", "pond"]
KINDS: tuple[Kind, ...] = ("tank", "tank", "tub", "pond", "tank", "tub", "pond", "tank")
FAECES_SHARES = (0.26, 0.2, 0.12, 0.12, 0.13, 0.25, 0.35, 0.2, 0.25)
READERS = (Reader(1.10, 0.07, 3.0, 5.0), Reader(0.88, 0.08, 4.0, 10.0), Reader(1.0, 0.16, 5.0, 1.0))
MEALS_PER_WEEK: dict[Kind, int] = {"tub": 6, "tank": 4, "pond": 3}
TUB_MIX = {"pellet": 0.4, "worm": 0.3, "crustacean": 0.2, "insect": 0.1}
ADULT_MIX = {"pellet": 0.6, "plant": 0.15, "worm": 0.1, "fish": 0.1, "other": 0.05}


class FreshAndOld:
    """Dry grams of fresh sludge (25-35 g/L) and of old (55-80 g/L)."""

    def __init__(self, rng: np.random.Generator, *, load_g: Floats, temp_c: Floats) -> None:
        self.load_g = load_g
        self.fresh_g_per_l, self.old_g_per_l = rng.uniform(25, 35), rng.uniform(55, 80)
        self.turning_per_day = 1 / rng.uniform(60, 200)
        self.decay = rng.lognormal(math.log(0.0009), 0.3) * 1.05 ** (temp_c - 20)
        self.fresh_g = self.old_g = 0.0

    def step(self, day: int, *, room: float, fill: float) -> None:
        decay = self.decay[day]
        turned_g = self.turning_per_day * self.fresh_g
        self.fresh_g += self.load_g[day] * room - turned_g - decay * self.fresh_g
        self.old_g += turned_g - decay * self.old_g

    def volume_l(self) -> float:
        return self.fresh_g / self.fresh_g_per_l + self.old_g / self.old_g_per_l

    def keep(self, share: float) -> None:
        self.fresh_g *= share
        self.old_g *= share


@dataclass(frozen=True, kw_only=True)
class Site:
    """What all filters of the facility share: spans nobody wrote anything in, the share of meals unwritten, how much of the feed settles."""

    climate: Climate
    gaps: tuple[tuple[int, int], ...]
    unwritten: float
    factor: float


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Four tanks, two tubs of hatchlings and two ponds in eight."""
    climate = Climate(rng, days)
    gaps = []
    for _ in range(int(rng.integers(2, 6))):
        begin = int(rng.integers(0, days.today))
        gaps.append((begin, begin + int(rng.integers(25, 140))))
    unwritten = float(rng.uniform(0.2, 0.4))
    site = Site(climate=climate, gaps=tuple(gaps), unwritten=unwritten, factor=float(rng.lognormal(0, 0.25)))
    return [
        _case(rng, days, site=site, kind=KINDS[number % len(KINDS)], code=f"{name}-{number + 1}")
        for number in range(n_filters)
    ]


def _case(rng: np.random.Generator, days: Days, *, site: Site, kind: Kind, code: str) -> Case:
    place, animals = _place_and_animals(rng, days, site=site, kind=kind, code=code)
    meals = _meals(rng, days, place=place, animals=animals, kind=kind)
    load_g = _load_g(rng, days, place=place, meals=meals, site=site)
    planned_leaves_l = 0.0 if place.is_indoor else place.surface_m2 * 190 * 0.3 / 55
    sludge = FreshAndOld(rng, load_g=load_g, temp_c=place.temp_c)
    planned_l = feed_g_per_year(days, meals, place.start_day) * 0.21 / 50 + planned_leaves_l
    first = void_for(
        rng,
        days,
        start_day=place.start_day,
        sludge_l=planned_l * float(rng.uniform(0.9, 2.0)),
        spread=0.35,
        is_small=kind == "tub",
    )
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.1)
    place.starts_on_paper = bool(kind != "tub" and rng.random() < 0.2)
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        sludge=sludge,
        builds=builds,
        crew=_crew(rng, site),
        feed_log=_feed_log(rng, site),
        keeps_sludge_at_rebuild=rng.random() < 0.25,
        habits=RecordHabits(
            temperature_every_days=int(rng.choice([10, 25, 60])),
            weighs_every_days=int(rng.choice([120, 250])),
            weighs_young_every_days=60,
            assumed_feed_share=float(rng.choice([0.0, 0.2, 0.5])),
        ),
    )


def _place_and_animals(
    rng: np.random.Generator, days: Days, *, site: Site, kind: Kind, code: str
) -> tuple[Place, list[Animal]]:
    start_day = start_day_of_record(rng, days)
    if kind == "pond":
        place = new_pond(rng, days, climate=site.climate, name=code, start_day=start_day, winters_recorded=0.6)
    else:
        place = new_tank(rng, days, climate=site.climate, name=code, start_day=start_day, temp_range_c=(22, 27))
    if kind == "tub":
        hatchery = Hatchery(tub=code, batch_size=(4, 10), growth=growing_ever_slower, starts_at_once=rng.random() < 0.5)
        return place, hatchery.batches(rng, days, start_day)[0]
    animals = adult_group(
        rng,
        days,
        code=f"{code}-",
        enclosure=code,
        start_day=start_day,
        count=int(rng.integers(2, 7 if kind == "pond" else 6)),
        mass_range_g=(250, 1200) if kind == "pond" else (120, 900),
        turnover=0.35,
    )
    return place, animals


def _meals(rng: np.random.Generator, days: Days, *, place: Place, animals: list[Animal], kind: Kind) -> Meals:
    """A hand that is generous or stingy for months on end."""
    generosity = np.exp(autocorrelated(rng, days.count, correlation=0.995, spread=0.2))
    ration = juvenile_ration if kind == "tub" else share_of_mass(0.0055)
    wanted_g = feed_wanted_g(days, animals, enclosure=place.enclosure, ration=ration) * generosity
    menu = Menu(
        meals_per_week=MEALS_PER_WEEK[kind],
        mix=TUB_MIX if kind == "tub" else ADULT_MIX,
        spread=0.35,
        words=(0.6, 0.2, 0.12, 0.08),
        second_line=0.25,
        removes=0.1,
        misses=0.1,
        judges=0.5,
    )
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _load_g(rng: np.random.Generator, days: Days, *, place: Place, meals: Meals, site: Site) -> Floats:
    """Three quarters of the faeces, six tenths of what is left and about a third of the leaves settle, more or less."""
    factor = site.factor * float(rng.lognormal(0, 0.25))
    faeces_g = meals.faeces_g_per_day(days, FAECES_SHARES)
    load_g = (faeces_g * 0.75 + meals.left_g_per_day(days) * 0.6) * factor
    if place.is_indoor:
        return load_g
    leaves_g = give_leaves(rng, days, place=place)
    return load_g + leaves_g * float(rng.uniform(0.2, 0.45))


def _crew(rng: np.random.Generator, site: Site) -> Crew:
    return Crew(
        sounds_every_days=float(rng.uniform(60, 150)) if rng.random() < 0.6 else None,
        sounding_cv=0.9,
        sounds_in_winter=rng.random() < 0.3,
        readers=READERS,
        repeats=(1, 1, 1, 2, 3),
        slips=0.05,
        notes_minute=0.3,
        sense=Sense(0.82, 0.17),
        delay_days=35,
        cleans_in_part=0.2,
        attempts_only=0.04,
        reads_before=0.25,
        reads_after=0.2,
        measures_slurry=0.2,
        forgets_cleanout=0.03,
        away=site.gaps,
    )


def _feed_log(rng: np.random.Generator, site: Site) -> FeedLog:
    return FeedLog(
        written=1 - site.unwritten,
        twice=0.03,
        slipped_decimal=0.006,
        bias=float(rng.lognormal(0, 0.15)),
        spread=0.15,
        gaps=site.gaps,
    )
