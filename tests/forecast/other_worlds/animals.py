"""Who lives where, what they weigh, and the feed they would take. Stays are in day indices; masses in grams for every day."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from .calendar_and_climate import DAYS_A_YEAR, Days, Floats

Ration = Callable[[Floats], Floats | float]  # body mass (g) -> dry feed wanted a day as a share of body mass


class Stay(NamedTuple):
    enclosure: str
    from_day: int
    to_day: int | None = None  # None: still there at the end of the world


@dataclass(kw_only=True)
class Animal:
    name: str
    mass_g: Floats
    hatched_day: int | None = None  # None: grown already
    stays: list[Stay] = field(default_factory=list)

    def has_lived_in(self, enclosure: str) -> bool:
        return any(stay.enclosure == enclosure for stay in self.stays)


def adult_mass_g(rng: np.random.Generator, days: Days, mean_g: float) -> Floats:
    """A grown animal swings four per cent about its mean over the year."""
    phase = rng.uniform(0, 2 * np.pi)
    return mean_g * (1 + 0.04 * np.cos(2 * np.pi * days.day_of_year / DAYS_A_YEAR + phase))


def feed_wanted_g(days: Days, animals: Iterable[Animal], *, enclosure: str, ration: Ration) -> Floats:
    """Dry grams a day that the animals in the enclosure would take in warm water."""
    wanted_g = np.zeros(days.count)
    for animal in animals:
        for stay in animal.stays:
            if stay.enclosure != enclosure:
                continue
            here = slice(max(stay.from_day, 0), days.count if stay.to_day is None else min(stay.to_day, days.count))
            if here.stop > here.start:
                mass_g = animal.mass_g[here]
                wanted_g[here] += mass_g * ration(mass_g)
    return wanted_g


def share_of_mass(share: float) -> Ration:
    """The same share of body mass at every size."""
    return lambda mass_g: share


def adult_group(
    rng: np.random.Generator,
    days: Days,
    *,
    code: str,
    enclosure: str,
    start_day: int,
    count: int,
    mass_range_g: tuple[float, float],
    turnover: float = 0.25,
) -> list[Animal]:
    """Grown animals from about start_day. A share of them (`turnover`) leaves, most of those are followed by another, before and after as_of."""
    lightest_g, heaviest_g = mass_range_g
    group = []
    for number in range(1, count + 1):
        mean_g = float(np.exp(rng.uniform(math.log(lightest_g), math.log(heaviest_g))))
        animal = Animal(name=f"{code}{number}", mass_g=adult_mass_g(rng, days, mean_g))
        came_day = start_day if rng.random() < 0.8 else start_day + int(rng.integers(5, 120))
        left_day = None
        if rng.random() < turnover:
            left_day = came_day + int(rng.exponential(900)) + 60
            if left_day >= days.count - 5:
                left_day = None
        animal.stays.append(Stay(enclosure, came_day, left_day))
        if left_day is not None and rng.random() < 0.85:
            mass_g = adult_mass_g(rng, days, mean_g * float(rng.lognormal(0, 0.2)))
            follower = Animal(name=f"{code}{number}b", mass_g=mass_g)
            follower.stays.append(Stay(enclosure, min(left_day + int(rng.integers(1, 150)), days.count - 2)))
            group.append(follower)
        group.append(animal)
    return group
