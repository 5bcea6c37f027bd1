"""The truth of one void, day by day, with its crew sounding, cleaning and rebuilding until as_of; then nobody cleans."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Literal, Protocol

import numpy as np

from enclosures.forecast.inputs import CleanoutDone, SoundingSeen

from .calendar_and_climate import HORIZON_DAYS, Days
from .crew import TOO_COLD_TO_CLEAN_C, Crew, slipped
from .places import Place
from .void_builds import Builds

Outcome = Literal["full", "part", "attempted"]
LEAST_FILL_TO_NOTICE = 0.45


class Sludge(Protocol):
    """What lies in a void. Each style has its own physics."""

    def step(self, day: int, *, room: float, fill: float) -> None:
        """One day's load and decay. `room`: the share of the load that a full void still lets in; `fill`: depth over height before it."""

    def volume_l(self) -> float: ...

    def keep(self, share: float) -> None:
        """A cleanout leaves this share (0-1) behind."""


@dataclass(frozen=True, kw_only=True)
class Lived:
    """`due_in_days` from as_of: 0 when due already, infinite when not due within the horizon. `true_fill`: depth over height at as_of."""

    soundings: tuple[SoundingSeen, ...]
    cleanouts: tuple[CleanoutDone, ...]
    true_fill: float
    due_in_days: float


class Life:
    def __init__(
        self,
        rng: np.random.Generator,
        days: Days,
        *,
        place: Place,
        sludge: Sludge,
        builds: Builds,
        crew: Crew,
        keeps_sludge_at_rebuild: bool,
    ) -> None:
        self.rng, self.days, self.place, self.sludge, self.crew = rng, days, place, sludge, crew
        self.keeps_sludge_at_rebuild = keeps_sludge_at_rebuild
        self.builds_ahead = list(builds)
        self.soundings: list[SoundingSeen] = []
        self.cleanouts: list[CleanoutDone] = []
        self._take_up_next_build()
        self.sounding_days = crew.sounding_days(rng, days, place)
        self.noticed_at_fill = self._next_sense()
        self.booked_day: int | None = None
        if place.starts_on_paper:
            self._start_with_an_older_void()
        self.fill = self._depth_mm() / self.height_mm

    def live(self) -> Lived:
        """Runs once, to the day it is due after as_of or to the horizon."""
        for day in range(self.place.start_day, self.days.today + 1):
            self._lie_one_day(day)
            self._clean_if_planned(day)
            self.fill = self.sludge.volume_l() / self.area_m2 / self.height_mm
            self._sound_if_planned(day)
        true_fill = self.fill
        return Lived(
            soundings=tuple(self.soundings),
            cleanouts=tuple(self.cleanouts),
            true_fill=float(true_fill),
            due_in_days=0.0 if true_fill >= self.due_fill else self._days_to_due(),
        )

    def _days_to_due(self) -> float:
        for ahead_days in range(1, HORIZON_DAYS + 1):
            self._lie_one_day(self.days.today + ahead_days)
            if self.fill >= self.due_fill:
                return float(ahead_days)
        return math.inf

    def _lie_one_day(self, day: int) -> None:
        if self.builds_ahead and self.builds_ahead[0][0] == day:
            if not self.keeps_sludge_at_rebuild:
                self._clean(day, outcome="full", leaves=(0.0, 0.03))
            self._take_up_next_build()
        room = 1.0 if self.fill < 1 else 0.3 if self.fill < 1.15 else 0.05
        self.sludge.step(day, room=room, fill=self.fill)
        self.fill = self._depth_mm() / self.height_mm

    def _take_up_next_build(self) -> None:
        _, build = self.builds_ahead.pop(0)
        self.area_m2, self.height_mm, self.due_fill = build.usable_area_m2, build.void_height_mm, build.due_fill

    def _depth_mm(self) -> float:
        return self.sludge.volume_l() / self.area_m2

    def _next_sense(self) -> float:
        if self.crew.sense is None:
            return math.inf
        return max(LEAST_FILL_TO_NOTICE, self.rng.normal(*self.crew.sense))

    def _start_with_an_older_void(self) -> None:
        """An older filter, emptied the day the records begin: what is left behind is grown from the void's own load."""
        rng, start_day = self.rng, self.place.start_day
        stood_mm = rng.uniform(0.55, 1.0) * self.height_mm
        before_mm = round(stood_mm, 0) if rng.random() < 0.4 else None
        left_mm = float(rng.uniform(*self.crew.leaves)) * self.height_mm
        tries = 0
        while self._depth_mm() < left_mm and tries < 400:
            day = start_day + tries
            self.sludge.step(day if day < self.days.count else start_day, room=1.0, fill=0.0)
            tries += 1
        if self._depth_mm() > left_mm:
            self.sludge.keep(left_mm / self._depth_mm())
        after_mm = round(left_mm, 0) if rng.random() < 0.5 else None
        self.cleanouts.append(
            CleanoutDone(
                entry=self._cleanout_entry(),
                on=self._date(start_day),
                outcome="full",
                depth_before_mm=before_mm,
                depth_after_mm=after_mm,
            )
        )

    def _clean_if_planned(self, day: int) -> None:
        if day in self.crew.clean_days and day > self.place.start_day:
            self._clean(day)
        elif self.crew.sense is not None:
            if self.booked_day is None and self.fill >= self.noticed_at_fill:
                self.booked_day = day + int(self.rng.exponential(self.crew.delay_days)) + 1
            is_warm = self.place.is_indoor or self.place.temp_c[day] > TOO_COLD_TO_CLEAN_C
            if self.booked_day is not None and day >= self.booked_day and is_warm:
                self._clean(day)

    def _clean(self, day: int, *, outcome: Outcome | None = None, leaves: tuple[float, float] | None = None) -> None:
        rng, crew = self.rng, self.crew
        depth_mm = self._depth_mm()
        chance = rng.random()
        if outcome is None:
            outcome = self._outcome(chance)
        before_mm, qualifier = self._read(chance=crew.reads_before)
        kept_share = self._kept_share(outcome, depth_mm=depth_mm, leaves=leaves or crew.leaves)
        volume_l = self.sludge.volume_l()
        self.sludge.keep(kept_share)
        after_mm, after_qualifier = self._read(chance=0.1 if outcome == "attempted" else crew.reads_after)
        slurry_l = None
        if rng.random() < crew.measures_slurry and outcome != "attempted":
            slurry_l = self._slurry_l(volume_l - self.sludge.volume_l())
        if rng.random() >= crew.forgets_cleanout:
            self.cleanouts.append(
                CleanoutDone(
                    entry=self._cleanout_entry(),
                    on=self._date(day),
                    outcome=outcome,
                    minute=self._minute(),
                    depth_before_mm=before_mm,
                    depth_before_qualifier=qualifier,
                    depth_after_mm=None if after_qualifier else after_mm,
                    slurry_l=slurry_l,
                )
            )
        self.booked_day = None
        self.noticed_at_fill = self._next_sense()

    def _outcome(self, chance: float) -> Outcome:
        if chance < self.crew.attempts_only:
            return "attempted"
        return "part" if chance < self.crew.attempts_only + self.crew.cleans_in_part else "full"

    def _kept_share(self, outcome: Outcome, *, depth_mm: float, leaves: tuple[float, float]) -> float:
        if outcome == "full":
            left_mm = float(self.rng.uniform(*leaves)) * self.height_mm
            return min(0.9, left_mm / depth_mm) if depth_mm > 0.5 else 1.0
        return float(self.rng.uniform(0.35, 0.7)) if outcome == "part" else 1.0

    def _slurry_l(self, taken_l: float) -> float:
        """Sludge comes out with its own volume of water or twice that, and is read to the ten litres where there is much."""
        pumped_l = taken_l * float(self.rng.uniform(1.7, 3.0)) + float(self.rng.uniform(0.5, 3))
        return float(max(1.0, round(pumped_l, -1 if pumped_l > 60 else 0)))

    def _read(self, *, chance: float) -> tuple[float | None, Literal["", ">="]]:
        """The depth at a cleanout as one number, or that it stands at the grid; None when nobody looks."""
        if self.rng.random() > chance:
            return None, ""
        value_mm = float(np.mean(self._readings_mm(self._depth_mm())))
        return (float(self.height_mm), ">=") if value_mm >= self.height_mm else (round(value_mm, 1), "")

    def _readings_mm(self, depth_mm: float) -> list[float]:
        return self.crew.readings_mm(self.rng, depth_mm=depth_mm, height_mm=self.height_mm)

    def _sound_if_planned(self, day: int) -> None:
        """Nobody sounds a void on the day it was cleaned."""
        is_cleaned_today = bool(self.cleanouts) and self.cleanouts[-1].on == self._date(day)
        if day not in self.sounding_days or is_cleaned_today:
            return
        rng, crew, height_mm = self.rng, self.crew, self.height_mm
        readings_mm, qualifier = self._readings_mm(self.fill * height_mm), ""
        if max(readings_mm) >= height_mm:
            readings_mm, qualifier = [float(height_mm)], ">="
        elif max(readings_mm) < 4 and rng.random() < 0.5:
            readings_mm, qualifier = [5.0], "<="
        elif crew.slips and rng.random() < crew.slips:
            readings_mm = slipped(rng, readings_mm, height_mm=height_mm)
        is_disputed = bool(crew.disputes and rng.random() < crew.disputes)
        if is_disputed:
            readings_mm = [round(value * 0.4, 1) for value in readings_mm]
        self.soundings.append(
            SoundingSeen(
                entry=f"{self.place.filter}-s{len(self.soundings) + 1}",
                on=self._date(day),
                depths_mm=tuple(readings_mm),
                minute=self._minute(),
                qualifier=qualifier,
                is_disputed=is_disputed,
            )
        )

    def _minute(self) -> int | None:
        return int(self.rng.integers(8 * 60, 17 * 60)) if self.rng.random() < self.crew.notes_minute else None

    def _date(self, day: int) -> date:
        return self.days.dates[day]

    def _cleanout_entry(self) -> str:
        return f"{self.place.filter}-c{len(self.cleanouts) + 1}"
