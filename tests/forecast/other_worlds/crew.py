"""The people: when they sound and clean, how they read the rod, and what of it they write down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from .calendar_and_climate import Days
from .places import Place

UnderPipe = Callable[[float, float], float]  # mean depth and void height (mm) -> depth where the rod stands (mm)

TOO_COLD_TO_SOUND_C = 8.0
TOO_COLD_TO_CLEAN_C = 9.0


class Reader(NamedTuple):
    """One person with the rod: a factor, errors in proportion and in mm (standard deviations), and the mark they round to (mm)."""

    bias: float
    relative_error: float
    error_mm: float
    rounded_to_mm: float


class Sense(NamedTuple):
    """The true fill at which somebody notices, drawn anew each time: mean and standard deviation."""

    mean_fill: float
    spread: float


@dataclass(frozen=True, kw_only=True)
class Crew:
    """Habits. `sounds_every_days` None: never; its gaps vary by `sounding_cv`. `repeats`: readings a sounding, one drawn. `sense` None: cleans
    on `clean_days` only, else also about `delay_days` after noticing. Chances: a slip in a reading (`slips`), a reading taken while signals
    disagree (`disputes`), a minute written (`notes_minute`), a part cleanout, one that came to nothing, a depth before and after, litres of
    slurry, a cleanout not written at all. `leaves`: share of the void's height that a full cleanout leaves. `away`: nobody sounds then."""

    sounds_every_days: float | None
    sounding_cv: float = 0.35
    sounds_in_winter: bool = True
    readers: tuple[Reader, ...]
    repeats: tuple[int, ...] = (3,)
    slips: float = 0.0
    disputes: float = 0.0
    under_pipe: UnderPipe | None = None
    notes_minute: float = 0.5
    sense: Sense | None
    delay_days: float = 15.0
    clean_days: tuple[int, ...] = ()
    cleans_in_part: float = 0.08
    attempts_only: float = 0.02
    reads_before: float = 0.7
    reads_after: float = 0.6
    measures_slurry: float = 0.6
    forgets_cleanout: float = 0.0
    leaves: tuple[float, float] = (0.03, 0.12)
    away: tuple[tuple[int, int], ...] = ()

    def sounding_days(self, rng: np.random.Generator, days: Days, place: Place) -> set[int]:
        """Gamma-distributed gaps of five days at least, up to as_of."""
        if not self.sounds_every_days:
            return set()
        chosen = set()
        day = place.start_day + int(rng.uniform(0.3, 1.3) * self.sounds_every_days)
        while day <= days.today:
            is_cold = not place.is_indoor and place.temp_c[day] < TOO_COLD_TO_SOUND_C
            is_away = any(begin <= day < end for begin, end in self.away)
            if not is_away and (self.sounds_in_winter or not is_cold):
                chosen.add(day)
            gap_days = self.sounds_every_days * rng.gamma(1 / self.sounding_cv**2, self.sounding_cv**2)
            day += max(5, int(gap_days))
        return chosen

    def readings_mm(self, rng: np.random.Generator, *, depth_mm: float, height_mm: float) -> list[float]:
        """One person's repeats: most of the error is shared between them."""
        reader = self.readers[int(rng.integers(len(self.readers)))]
        stands_mm = self.under_pipe(depth_mm, height_mm) if self.under_pipe else depth_mm
        seen_mm = stands_mm * reader.bias * (1 + reader.relative_error * rng.normal())
        seen_mm = seen_mm + reader.error_mm * 0.6 * rng.normal()
        count = int(self.repeats[int(rng.integers(len(self.repeats)))])
        values_mm = [max(0.0, seen_mm + reader.error_mm * 0.8 * rng.normal()) for _ in range(count)]
        mark_mm = reader.rounded_to_mm
        return [round(round(value / mark_mm) * mark_mm, 1) for value in values_mm]


def slipped(rng: np.random.Generator, readings_mm: list[float], *, height_mm: float) -> list[float]:
    """A decimal place lost, digits the wrong way round, or the rod held 50 mm off; at most one and a half voids."""
    kind = int(rng.integers(3))
    if kind == 0:
        wrong_mm = [round(value / 10, 1) for value in readings_mm]
    elif kind == 1:
        wrong_mm = [float(str(int(value))[::-1]) for value in readings_mm]
    else:
        wrong_mm = [value + 50 for value in readings_mm]
    return [min(value, height_mm * 1.5) for value in wrong_mm]
