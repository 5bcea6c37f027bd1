"""Uneven flow: pumps differ, beds clog, and the sludge lies higher or lower under the pipe than elsewhere.

Assumes that what settles depends on the upflow against a log-normal spread of settling speeds; what passes clogs the bed, a clogged bed slows
the pump, and service restores it now and then. The sludge is as dense as the site's water makes it, 28-82 g dry in the litre.
"""

from __future__ import annotations

import math

import numpy as np

from .animals import adult_group, feed_wanted_g
from .calendar_and_climate import Climate, Days, Floats
from .crew import Crew, Reader, Sense, UnderPipe
from .meals import FeedLog, Meals, Menu, meals_served
from .places import Place, give_leaves, new_pond, new_tank, start_day_of_record
from .records import Case, case_of
from .void_builds import feed_g_per_year, void_for, with_rebuild

FAECES_SHARES = (0.3, 0.22, 0.13, 0.12, 0.13, 0.25, 0.38, 0.25, 0.25)
SQUARE_ROOT_OF_TWO = 1.4142


class CaughtAgainstTheFlow:
    """Dry grams caught, under a flow (L/h) that falls as the bed clogs (0-1) and the void fills."""

    def __init__(
        self,
        rng: np.random.Generator,
        *,
        load_g: Floats,
        temp_c: Floats,
        area_m2: float,
        clean_flow_l_per_h: float,
        g_per_l: float,
    ) -> None:
        self.load_g, self.area_m2, self.clean_flow_l_per_h = load_g, area_m2, clean_flow_l_per_h
        self.settling_m_per_h, self.settling_spread = (
            rng.lognormal(math.log(4.0), 0.35),
            math.log(rng.uniform(3.0, 6.0)),
        )
        self.decay = rng.lognormal(math.log(0.0007), 0.4) * (1 + 0.5 * np.tanh((temp_c - 18) / 6))
        self.g_per_l = g_per_l * rng.lognormal(0, 0.1)
        self.clogging = self.caught_g = 0.0
        self.passing_to_clog_g = rng.uniform(1500, 6000) * area_m2 / 0.2
        self.service_days = set(rng.integers(0, len(load_g), max(1, len(load_g) // 300)).tolist())

    def step(self, day: int, *, room: float, fill: float) -> None:
        fill = min(fill, 1.0)
        flow_l_per_h = self.clean_flow_l_per_h * (1 - 0.45 * self.clogging) * (1 - 0.2 * fill)
        upflow_m_per_h = flow_l_per_h / self.area_m2 * 1e-3 / max(0.4, 1 - 0.45 * fill)
        times_faster = math.log(self.settling_m_per_h / upflow_m_per_h) / self.settling_spread
        caught_share = 0.5 * (1 + math.erf(times_faster / SQUARE_ROOT_OF_TWO))
        load_g = self.load_g[day] * room
        self.caught_g += load_g * caught_share - self.decay[day] * self.caught_g
        self.clogging = min(1.0, self.clogging + load_g * (1 - caught_share) / self.passing_to_clog_g)
        if day in self.service_days:
            self.clogging *= 0.3

    def volume_l(self) -> float:
        return self.caught_g / self.g_per_l

    def keep(self, share: float) -> None:
        """The bed is rinsed too, thoroughly when nearly everything comes out."""
        self.caught_g *= share
        self.clogging *= 0.2 if share < 0.2 else 0.7


def make_cases(rng: np.random.Generator, days: Days, *, n_filters: int, name: str) -> list[Case]:
    """Tanks and ponds by turns, each with an upflow of 1.8-7 m/h when clean."""
    climate = Climate(rng, days)
    site_g_per_l = float(np.exp(rng.uniform(math.log(28), math.log(82))))
    cases = []
    for number in range(n_filters):
        start_day = start_day_of_record(rng, days)
        code = f"{name}-U{number + 1}"
        if number % 2 == 0:
            place = new_tank(rng, days, climate=climate, name=code, start_day=start_day)
        else:
            place = new_pond(rng, days, climate=climate, name=code, start_day=start_day, surface_range_m2=(4, 14))
        cases.append(_case(rng, days, place=place, site_g_per_l=site_g_per_l))
    return cases


def _case(rng: np.random.Generator, days: Days, *, place: Place, site_g_per_l: float) -> Case:
    animals = adult_group(
        rng,
        days,
        code=f"{place.enclosure}-",
        enclosure=place.enclosure,
        start_day=place.start_day,
        count=int(rng.integers(2, 7)),
        mass_range_g=(200, 1100),
        turnover=0.3,
    )
    share = float(rng.uniform(0.004, 0.0065))
    wanted_g = feed_wanted_g(
        days, animals, enclosure=place.enclosure, ration=lambda mass_g: share * (mass_g / 500.0) ** -0.1
    )
    meals = _meals(rng, days, place=place, wanted_g=wanted_g)
    load_g = _load_g(rng, days, place=place, meals=meals)
    planned_leaves_l = 0.0 if place.is_indoor else place.surface_m2 * 200 * 0.25 / 55
    planned_l = feed_g_per_year(days, meals, place.start_day) * 0.17 / 52 + planned_leaves_l
    sludge_l = planned_l * (50 / site_g_per_l) ** 0.6 * float(rng.uniform(0.8, 1.8))
    first = void_for(rng, days, start_day=place.start_day, sludge_l=sludge_l, spread=0.2)
    builds = with_rebuild(rng, days, place=place, first=first, chance=0.2)
    clean_upflow_m_per_h = float(np.exp(rng.uniform(math.log(1.8), math.log(7.0))))
    sludge = CaughtAgainstTheFlow(
        rng,
        load_g=load_g,
        temp_c=place.temp_c,
        area_m2=first.usable_area_m2,
        clean_flow_l_per_h=clean_upflow_m_per_h * first.usable_area_m2 * 1000,
        g_per_l=site_g_per_l,
    )
    return case_of(
        rng,
        days,
        place=place,
        animals=animals,
        meals=meals,
        feed_log=FeedLog(written=0.97, spread=0.08),
        sludge=sludge,
        builds=builds,
        crew=_crew(rng, under_pipe=uneven_under_pipe(float(rng.lognormal(0, 0.32)))),
        keeps_sludge_at_rebuild=rng.random() < 0.15,
    )


def _load_g(rng: np.random.Generator, days: Days, *, place: Place, meals: Meals) -> Floats:
    """Dry grams a day that reach the void: faeces with some dirt of the water, all that is left, half of the leaves."""
    dirt = float(rng.lognormal(0, 0.2))
    load_g = (meals.faeces_g_per_day(days, FAECES_SHARES) * 1.15 + meals.left_g_per_day(days)) * dirt
    return load_g if place.is_indoor else load_g + give_leaves(rng, days, place=place) * 0.5


def uneven_under_pipe(ratio: float) -> UnderPipe:
    """`ratio` of the depth at the pipe to the mean depth in an empty void; a full void lies nearly level."""

    def under_pipe_mm(depth_mm: float, height_mm: float) -> float:
        fill = min(depth_mm / height_mm, 1.0)
        return depth_mm * (1 + (ratio - 1) * (1 - 0.8 * fill * fill))

    return under_pipe_mm


def _meals(rng: np.random.Generator, days: Days, *, place: Place, wanted_g: Floats) -> Meals:
    menu = Menu(
        meals_per_week=int(rng.choice([3, 4, 5])),
        mix={"pellet": 0.65, "fish": 0.15, "crustacean": 0.1, "plant": 0.1},
        spread=0.2,
        second_line=0.2,
        removes=0.2,
        judges=0.8,
    )
    return meals_served(rng, days, wanted_g=wanted_g, place=place, menu=menu)


def _crew(rng: np.random.Generator, *, under_pipe: UnderPipe) -> Crew:
    return Crew(
        sounds_every_days=float(rng.choice([40, 70, 110])) if rng.random() < 0.7 else None,
        sounding_cv=0.4,
        sounds_in_winter=False,
        readers=(Reader(1.0, 0.08, 3.0, 1.0),),
        repeats=(3, 3, 1),
        under_pipe=under_pipe,
        disputes=0.03,
        sense=Sense(0.82, 0.12),
        delay_days=20,
        reads_before=0.8,
        reads_after=0.6,
        measures_slurry=0.8,
    )
