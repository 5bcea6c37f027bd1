"""Batches of hatchlings: into a tub each autumn, out to a pond (or away) the next year, growing by one of three laws."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .animals import Animal, Stay
from .calendar_and_climate import Days, Floats

Growth = Callable[[np.random.Generator, Floats, float], Floats]  # growth days and mass at hatching (g) -> mass (g)
Batch = tuple[int, int]  # the tub is filled on the first day and empty from the second


def growing_by_gompertz(rng: np.random.Generator, growth_days: Floats, hatched_g: float) -> Floats:
    """Towards 150-380 g, slower and slower in the logarithm."""
    grown_g, pace_per_day = rng.uniform(150, 380), rng.uniform(0.0020, 0.0034)
    return grown_g * np.exp(-math.log(grown_g / hatched_g) * np.exp(-pace_per_day * growth_days))


def growing_ever_slower(rng: np.random.Generator, growth_days: Floats, hatched_g: float) -> Floats:
    """Exponential at first, the rate itself dying away over 260 days."""
    return hatched_g * np.exp(rng.uniform(0.006, 0.009) * 260 * (1 - np.exp(-growth_days / 260)))


def growing_by_von_bertalanffy(rng: np.random.Generator, growth_days: Floats, hatched_g: float) -> Floats:
    """Length (mm) towards 110-170 with a constant loss; mass as 0.0002 g for each cubic millimetre of length."""
    grown_mm, pace_per_day = rng.uniform(110, 170), rng.uniform(0.3, 0.6) / 365
    hatched_mm = (hatched_g / 2.0e-4) ** (1 / 3)
    return 2.0e-4 * (grown_mm - (grown_mm - hatched_mm) * np.exp(-pace_per_day * growth_days)) ** 3


def juvenile_ration(mass_g: Floats) -> Floats:
    """Dry feed a day as a share of body mass: 1.6 % of a hatchling down to half a per cent."""
    return np.clip(0.013 * (mass_g / 5.0) ** -0.15, 0.0055, 0.016)


@dataclass(frozen=True, kw_only=True)
class Hatchery:
    """One tub's habits. `pond`: where a batch goes (None: away), for about `days_in_pond`. `starts_at_once`: the first batch comes on the
    first day, not in its autumn. `outdoors_c`: daily water outdoors (degC) by which animals that have left the tub grow."""

    tub: str
    batch_size: tuple[int, int]  # from, up to but not including
    growth: Growth = growing_by_gompertz
    code: str = "h"
    pond: str | None = None
    days_in_pond: int = 500
    starts_at_once: bool = False
    outdoors_c: Floats | None = None

    def batches(self, rng: np.random.Generator, days: Days, start_day: int) -> tuple[list[Animal], list[Batch]]:
        """All animals of all batches from start_day to the end of the world, and the batches' days."""
        animals: list[Animal] = []
        batches: list[Batch] = []
        free_from = start_day
        while True:
            is_first_at_once = not batches and self.starts_at_once
            filled = free_from if is_first_at_once else days.next_on(free_from, int(rng.integers(240, 290)))
            if filled >= days.count - 2:
                break
            emptied = days.next_on(filled + 120, int(rng.integers(130, 200)))
            for number in range(int(rng.integers(*self.batch_size))):
                name = f"{self.tub}-{self.code}{len(batches)}{number}"
                animals.append(self._hatchling(rng, days, name=name, batch=(filled, emptied)))
            batches.append((filled, emptied))
            if emptied >= days.count:
                break
            free_from = emptied + 20
        return animals, batches

    def _hatchling(self, rng: np.random.Generator, days: Days, *, name: str, batch: Batch) -> Animal:
        filled, emptied = batch
        leaves = None if emptied >= days.count else emptied
        hatched = filled - int(rng.integers(15, 50))
        growth_days = self._growth_days(days, hatched=hatched, leaves=leaves)
        mass_g = self.growth(rng, growth_days, rng.uniform(3.0, 8.0))
        animal = Animal(name=name, mass_g=mass_g, hatched_day=hatched)
        until = leaves
        if rng.random() < 0.05 and leaves:  # one in twenty does not stay with its batch
            until = filled + int(rng.integers(20, 120))
        animal.stays.append(Stay(self.tub, filled, until))
        if self.pond and until == leaves and leaves is not None:
            gone = leaves + self.days_in_pond + int(rng.integers(-60, 120))
            animal.stays.append(Stay(self.pond, leaves, gone if gone < days.count else None))
        return animal

    def _growth_days(self, days: Days, *, hatched: int, leaves: int | None) -> Floats:
        """Days of growth so far: none before hatching, slower outdoors and none in the cold."""
        pace = np.where(np.arange(days.count) >= hatched, 1.0, 0.0)
        if self.outdoors_c is not None and leaves is not None:
            pace[leaves:] = np.clip((self.outdoors_c[leaves:] - 12) / 10, 0, 1.1)
        return np.cumsum(pace)
