"""Facilities made up to test the forecast: what really happened in every void, and the records a busy crew would have left of it.

The truth is one of the voids of `simulated_truths`; the crew forgets feedings, reads a rod that stands on a mound, cleans by depth, by
the calendar or by the season, measures half of what it should, rebuilds filters, changes diets, moves young animals on. A forecast sees the
evidence only; `SimulatedFilter.due_on` knows when the void would really have been due.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from .inputs import (
    CleanoutDone,
    FeedPortion,
    FilterEvidence,
    FoodClass,
    Geometry,
    LitterLevel,
    SeasonSpan,
    SoundingSeen,
    StaySpan,
    TemperatureSeen,
    WeightSeen,
)
from .priors import Floats
from .simulated_truths import FAMILIES, Truth, truth_of

HORIZON_DAYS = 1095
KIND_SHARES = {"tub": 0.25, "tank": 0.4, "pond": 0.35}
POND_MONTHS_C = np.array([4, 5, 8, 13, 18, 22, 24, 24, 20, 14, 9, 5], dtype=float)
LEAF_MONTHS = np.array([0.3, 0.3, 0.6, 1.0, 1.1, 1.0, 0.9, 0.9, 1.1, 2.2, 2.0, 0.6])
CLASS_YIELD: dict[FoodClass, float] = {"pellet": 1.0, "worm": 0.8, "plant": 1.25, "insect": 0.85, "fish": 0.6}
LITTER_TRUE: dict[LitterLevel, float] = {"none": 8.0, "open": 35.0, "near": 80.0, "canopy": 160.0}


@dataclass(frozen=True, kw_only=True)
class Manner:
    """How one facility is run, and what its sludge is like. All shares 0-1."""

    family: str
    solids_per_feed: float
    unlogged_share: float  # feedings nobody wrote down
    gap_chance: float  # per filter: a whole spell without a log
    pipe_spread: float  # log sd of the rod's place over the mean depth
    rod_share: float  # sd of a reading, as share of depth
    blunder_chance: float
    soundings_a_year: float
    cleans: str  # "depth", "calendar", "season"
    clean_fill: float
    calendar_days: float
    storm_chance: float  # per pond and autumn
    dilution: float
    habit_per_root_year: float
    burst_spread: float
    records_stock: bool
    diet_change_chance: float
    rebuild_chance: float
    alike_chance: float  # that a filter's sludge behaves as the facility's

    @classmethod
    def drawn(cls, rng: np.random.Generator, *, family: str) -> Manner:
        return cls(
            family=family,
            solids_per_feed=0.17 * float(np.exp(0.35 * rng.standard_normal())),
            unlogged_share=float(rng.choice([0.0, 0.03, 0.1, 0.2, 0.3])),
            gap_chance=float(rng.choice([0.0, 0.3])),
            pipe_spread=rng.uniform(0.06, 0.18),
            rod_share=rng.uniform(0.06, 0.14),
            blunder_chance=float(rng.choice([0.0, 0.0, 0.03])),
            soundings_a_year=float(rng.choice([0.7, 1.5, 3.0, 6.0])),
            cleans=str(rng.choice(["depth", "depth", "calendar", "season"])),
            clean_fill=rng.uniform(0.55, 0.95),
            calendar_days=float(rng.choice([300, 365, 450, 540])),
            storm_chance=float(rng.choice([0.0, 0.2, 0.5])),
            dilution=2.2 * float(np.exp(0.25 * rng.standard_normal())),
            habit_per_root_year=rng.uniform(0.05, 0.25),
            burst_spread=rng.uniform(0.2, 0.7),
            records_stock=bool(rng.random() < 0.6),
            diet_change_chance=float(rng.choice([0.0, 0.3])),
            rebuild_chance=float(rng.choice([0.0, 0.3])),
            alike_chance=float(rng.choice([0.0, 0.5, 0.9])),
        )


@dataclass(eq=False)
class SimulatedFilter:
    """The records, the truth, and what kind of case it is. `fill_by_day` runs from `start_on` as things really went."""

    evidence: FilterEvidence
    start_on: date
    fill_by_day: Floats
    litter_share: float
    kind: str
    family: str
    due_days: dict[date, float] = field(default_factory=dict)  # by origin; inf: beyond the horizon

    def due_in_days(self, as_of: date) -> float:
        """Days from `as_of` (one of the origins) to the first at or above the due level had nobody cleaned; inf beyond 1,095."""
        return self.due_days[as_of]

    def fill_on(self, day: date) -> float:
        return float(self.fill_by_day[(day - self.start_on).days])

    def groups_on(self, as_of: date) -> frozenset[str]:
        """What kind of case the forecast of that day is: by records that existed, and by where the animals live."""
        e, out = self.evidence, {"all"}
        emptied = [c.on for c in e.cleanouts if c.outcome == "full" and c.on <= as_of]
        read = [s.on for s in e.soundings if s.on <= as_of]
        checks = {
            "no soundings yet": not read,
            "no sounding this cycle": not any(not emptied or on > max(emptied) for on in read),
            "first cycle": not emptied,
            "later cycle with a sounding": bool(emptied) and any(on > max(emptied) for on in read),
            "ponds": self.kind == "pond",
            "growing hatchlings": self.kind == "tub",
            "after a rebuild": sum(b.valid_from <= as_of for b in e.builds) > 1,
        }
        return frozenset(out | {name for name, holds in checks.items() if holds})


@dataclass(eq=False)
class SimulatedFacility:
    manner: Manner
    as_of: date
    origins: tuple[date, ...]
    filters: tuple[SimulatedFilter, ...]


def simulate_facility(
    rng: np.random.Generator,
    *,
    family: str | None = None,
    n_filters: int = 8,
    n_origins: int = 1,
    manner: Manner | None = None,
    kinds: tuple[str, ...] = ("tub", "tank", "pond"),
    name: str = "S",
) -> SimulatedFacility:
    """One facility of `n_filters`, seen from `n_origins` days a quarter of a year apart, the last of them `as_of`."""
    manner = manner or Manner.drawn(rng, family=family or str(rng.choice(FAMILIES)))
    as_of = date(2025, 1, 1) + timedelta(days=int(rng.integers(0, 365)))
    origins = tuple(as_of - timedelta(days=91 * back) for back in reversed(range(n_origins)))
    common_seed = int(rng.integers(2**31))
    filters = tuple(
        _Maker(rng, manner, as_of, origins, f"{name}-{number}", common_seed, kinds).make()
        for number in range(n_filters)
    )
    return SimulatedFacility(manner=manner, as_of=as_of, origins=origins, filters=filters)


class _Maker:
    """Makes one filter: its stock and diet, its load, its void, then its years with the crew."""

    def __init__(
        self,
        rng: np.random.Generator,
        manner: Manner,
        as_of: date,
        origins: tuple[date, ...],
        name: str,
        common_seed: int,
        kinds: tuple[str, ...],
    ) -> None:
        self.rng, self.m, self.as_of, self.origins, self.name = rng, manner, as_of, origins, name
        self.truth_seed = common_seed if rng.random() < manner.alike_chance else int(rng.integers(2**31))
        often = np.array([KIND_SHARES[kind] for kind in kinds])
        self.kind = str(rng.choice(kinds, p=often / often.sum()))
        self.is_pond = self.kind == "pond"
        age = int(
            rng.choice([rng.integers(90, 400), rng.integers(400, 900), rng.integers(900, 1900)], p=[0.3, 0.3, 0.4])
        )
        self.age = age + 91 * (len(origins) - 1)
        self.start = as_of - timedelta(days=self.age)
        self.n_days = self.age + 1 + HORIZON_DAYS
        self.days = np.arange(self.n_days)
        calendar = np.datetime64(self.start) + self.days
        self.month = calendar.astype("datetime64[M]").astype(int) % 12
        self.year_angle = 2 * np.pi * ((calendar - np.datetime64("2020-01-01")).astype(int) % 365.25) / 365.25

    def on(self, day: int) -> date:
        return self.start + timedelta(days=int(day))

    def _wander(self, *, every: int, sd: float) -> Floats:
        knots = np.arange(0, self.n_days + every, every)
        return np.interp(self.days, knots, self.rng.normal(0, sd, len(knots)))

    def make(self) -> SimulatedFilter:
        self._water()
        self._stock()
        self._meals()
        self._load()
        self._size()
        fills, due_days = self._years()
        evidence = FilterEvidence(
            filter=self.name,
            enclosure=self.name,
            commissioned_on=self.start,
            builds=tuple(self.builds),
            feedings=self.portions,
            soundings=tuple(self.soundings),
            cleanouts=tuple(self.cleanouts),
            temperatures=self.tests,
            seasons=self.winters,
            stays=self.stays,
            weights=self.weights,
            is_indoor=not self.is_pond,
            surface_m2=self.surface_m2,
            litter_level=self.litter_level,
            room_temp_c=24.0,
            feeding_stops_below_c=13.0 if self.is_pond else 16.0,
        )
        return SimulatedFilter(
            evidence=evidence,
            start_on=self.start,
            fill_by_day=fills,
            litter_share=float(self.litter[: self.age].sum() / max(self.load[: self.age].sum(), 1e-12)),
            kind=self.kind,
            family=self.m.family,
            due_days=due_days,
        )

    def _water(self) -> None:
        rng = self.rng
        wander = self._wander(every=30, sd=1.0)
        if self.is_pond:
            mid = (np.arange(12) + 0.5) * 2 * np.pi / 12
            self.temp_c = np.maximum(
                np.interp(self.year_angle, mid, POND_MONTHS_C, period=2 * np.pi) + rng.normal(0, 1.0) + wander, 1.0
            )
        else:
            self.temp_c = rng.uniform(22, 27) + 0.5 * wander
        self.tests = tuple(
            TemperatureSeen(on=self.on(day), temp_c=round(float(self.temp_c[day] + rng.normal(0, 0.5)), 1))
            for day in range(3, self.age, int(rng.choice([7, 14, 30])))
        )
        self.winters = ()
        if self.is_pond:
            cold = self._brumation()
            self.winters = tuple(SeasonSpan(kind="brumation", from_on=a, to_on=b) for a, b in cold if a <= self.as_of)

    def _brumation(self) -> list[tuple[date, date]]:
        out = []
        for year in range(self.start.year - 1, self.on(self.n_days - 1).year + 1):
            a = date(year, 11, 5) + timedelta(days=int(self.rng.integers(-10, 11)))
            b = date(year + 1, 3, 20) + timedelta(days=int(self.rng.integers(-10, 11)))
            if b > self.start and a <= self.on(self.n_days - 1):
                out.append((max(a, self.start), b))
        self.is_brumating = np.zeros(self.n_days, dtype=bool)
        for a, b in out:
            self.is_brumating[max((a - self.start).days, 0) : max((b - self.start).days + 1, 0)] = True
        return out

    def _stock(self) -> None:
        """Mass of every animal by day; young grow by a Gompertz curve and are moved on at a size."""
        rng = self.rng
        rows: list[Floats] = []
        stays: list[StaySpan] = []
        if self.kind == "tub":
            begin = 0
            while begin < self.n_days:
                stay = int(rng.integers(250, 800))
                end = min(begin + stay, self.n_days)
                at_start = rng.uniform(3, 6)
                top, rate = rng.uniform(60, 200), rng.uniform(0.7, 1.5)
                for _ in range(int(rng.integers(2, 7))):
                    age = np.arange(end - begin) / 365.25
                    grown = top * rng.uniform(0.8, 1.2) * np.exp(np.log(at_start / top) * np.exp(-rate * age))
                    row = np.zeros(self.n_days)
                    row[begin:end] = grown
                    rows.append(row)
                    stays.append(self._stay(len(rows), begin, end, hatched=self.on(begin)))
                begin = end + int(rng.integers(3, 40))
        else:
            size = rng.uniform(150, 1500)
            for _ in range(int(rng.integers(2, 10))):
                begin = 0 if rng.random() < 0.85 else int(rng.integers(0, self.n_days))
                end = self.n_days if rng.random() < 0.85 else int(rng.integers(begin + 1, self.n_days + 1))
                row = np.zeros(self.n_days)
                row[begin:end] = size * np.exp(rng.normal(0, 0.3))
                rows.append(row)
                stays.append(self._stay(len(rows), begin, end, hatched=None))
        self.mass = np.array(rows)
        self.stays: tuple[StaySpan, ...] = ()
        self.weights: tuple[WeightSeen, ...] = ()
        if self.m.records_stock:
            self.stays = tuple(s for s in stays if s.from_on <= self.as_of)
            every = 30 if self.kind == "tub" else 270
            self.weights = tuple(
                WeightSeen(
                    animal=f"{self.name}/{i + 1}", on=self.on(day), mass_g=float(row[day] * np.exp(rng.normal(0, 0.02)))
                )
                for day in range(5, self.age, every)
                for i, row in enumerate(rows)
                if row[day] > 0
            )

    def _stay(self, number: int, begin: int, end: int, *, hatched: date | None) -> StaySpan:
        leaves = self.on(end) if end < self.n_days and self.on(end) <= self.as_of else None
        return StaySpan(animal=f"{self.name}/{number}", from_on=self.on(begin), to_on=leaves, hatched_on=hatched)

    def _meals(self) -> None:
        """Dry grams offered on feeding days: stock, appetite by temperature, the crew's wandering habit, and chance."""
        rng = self.rng
        hunger = 1.0 / (1.0 + np.exp(-(self.temp_c - 18.0) / 2.5)) if self.is_pond else np.full(self.n_days, 0.9)
        hunger = np.where(self.temp_c < (13.0 if self.is_pond else 5.0), 0.0, hunger)
        if self.is_pond:
            hunger = np.where(self.is_brumating, 0.0, hunger)
        steps = rng.standard_normal(self.n_days) * self.m.habit_per_root_year / np.sqrt(365.25)
        habit = np.exp(np.cumsum(steps))
        ration = 0.012 if self.kind == "tub" else 0.008
        self.metabolic = np.where(self.mass > 0, np.maximum(self.mass, 1.0) ** rng.uniform(0.7, 0.95), 0.0).sum(axis=0)
        scale = ration * 3.0 * rng.uniform(0.7, 1.3)
        per_week = int(rng.choice([3, 4, 6, 7]))
        is_day = (self.days * per_week) % 7 < per_week
        offered = scale * self.metabolic * hunger * habit * 7.0 / per_week
        offered = offered * is_day * np.exp(rng.normal(-0.02, 0.2, self.n_days))
        self.offered = np.where(offered > 1e-3, offered, 0.0)
        classes = [str(c) for c in rng.choice(list(CLASS_YIELD), size=2, replace=False, p=[0.5, 0.15, 0.15, 0.1, 0.1])]
        share = np.full(self.n_days, rng.uniform(0.6, 1.0))
        if rng.random() < self.m.diet_change_chance:
            share[int(rng.integers(self.age // 3, self.age + 1)) :] = rng.uniform(0.0, 0.4)
        self.classes, self.first_share = classes, share

    def _load(self) -> None:
        """Solids reaching the void by day (kg): eaten feed by class, left feed, bursts; then leaves, storms and silt."""
        rng, n = self.rng, self.n_days
        eaten_words = rng.choice(["all", "most", "some", "none"], size=n, p=[0.72, 0.17, 0.08, 0.03])
        really_left = {"all": (0.0, 0.05), "most": (0.05, 0.25), "some": (0.3, 0.7), "none": (0.9, 1.0)}
        low = np.array([really_left[w][0] for w in eaten_words])
        high = np.array([really_left[w][1] for w in eaten_words])
        left = low + (high - low) * rng.random(n)
        per_feed = self.m.solids_per_feed * float(np.exp(rng.normal(0, 0.25)))
        yields = [CLASS_YIELD[c] * float(np.exp(rng.normal(0, 0.15))) for c in self.classes]
        mix = self.first_share * yields[0] + (1 - self.first_share) * yields[1]
        season = np.exp(self._wander(every=120, sd=0.12))
        burst = np.exp(self.m.burst_spread * rng.standard_normal(n) - self.m.burst_spread**2 / 2)
        feed = self.offered / 1000.0 * ((1 - left) * per_feed * mix + left * 0.55) * burst * season
        self._background()
        self.load = feed + self.litter
        self._log_meals(eaten_words)

    def _background(self) -> None:
        rng = self.rng
        if self.is_pond:
            self.surface_m2 = float(rng.uniform(3, 16))
            self.litter_level: LitterLevel = rng.choice(["open", "near", "canopy"])
        else:
            self.surface_m2, self.litter_level = float(rng.uniform(0.4, 2.0)), "none"
        per_year = LITTER_TRUE[self.litter_level] * float(np.exp(0.6 * rng.standard_normal()))
        shape = LEAF_MONTHS[self.month] / LEAF_MONTHS.mean() if self.is_pond else np.ones(self.n_days)
        if self.is_pond:  # each autumn has its own size, and some a storm
            years = (self.days + self.start.toordinal()) // 365
            size = np.exp(rng.normal(0, 0.35, int(years[-1] - years[0]) + 1))
            shape = shape * size[years - years[0]]
            for year in np.unique(years):
                if rng.random() < self.m.storm_chance:
                    mine = np.flatnonzero((years == year) & np.isin(self.month, (9, 10)))
                    if len(mine):
                        at = int(rng.choice(mine))
                        shape[at : at + 5] += rng.uniform(15, 60)
        self.litter = self.surface_m2 * per_year * shape / 365_000.0

    def _log_meals(self, eaten_words: np.ndarray) -> None:
        rng = self.rng
        known = rng.random(self.n_days) >= self.m.unlogged_share
        if rng.random() < self.m.gap_chance and self.age > 150:
            at = int(rng.integers(30, self.age - 30))
            known[at : at + int(rng.integers(14, 75))] = False
        out = []
        notes_left = rng.random() < 0.6
        for day in np.flatnonzero((self.offered > 0) & known & (self.days <= self.age)):
            first = float(self.first_share[day])
            for name, share in zip(self.classes, (first, 1 - first), strict=True):
                if share > 0.01:
                    out.append(
                        FeedPortion(
                            on=self.on(day),
                            dry_g=float(self.offered[day] * share),
                            food_class=name,
                            eaten=str(eaten_words[day]) if notes_left else "",
                        )
                    )
        self.portions = tuple(out)

    def _size(self) -> None:
        """A void that fills in a year or two, by luck or by sense."""
        rng = self.rng
        goal = int(np.clip(np.exp(rng.normal(np.log(480), 0.55)), 120, 1400))
        begin = int(rng.integers(0, max(self.n_days - goal, 1)))
        self.full_mass = float(self.load[begin : begin + goal].sum()) + 1e-6
        trial = self._new_truth()
        for day in range(begin, min(begin + goal, self.n_days)):
            trial.add(float(self.load[day]), float(self.temp_c[day]), inert_share=self._inert(day))
        self.height = float(rng.choice([50, 60, 80, 100, 120, 150, 180, 240]))
        self.usable = 0.8
        litres = max(trial.litres, 0.05) / 0.7
        self.builds = [
            Geometry(
                valid_from=self.start, chamber_area_m2=litres / self.height / self.usable, void_height_mm=self.height
            )
        ]
        self.rebuild_day = -1
        if rng.random() < self.m.rebuild_chance and self.age > 250:
            self.rebuild_day = self.age - int(rng.integers(30, min(self.age - 120, 500)))

    def _new_truth(self) -> Truth:
        return truth_of(
            self.m.family, np.random.default_rng(self.truth_seed), n_days=self.n_days, full_mass_kg=self.full_mass
        )

    def _inert(self, day: int) -> float:
        return float(0.5 * self.litter[day] / self.load[day]) if self.load[day] > 0 else 0.0

    def _years(self) -> tuple[Floats, dict[date, float]]:
        rng, m = self.rng, self.m
        truth = self._new_truth()
        self.soundings: list[SoundingSeen] = []
        self.cleanouts: list[CleanoutDone] = []
        self.pipe = float(np.exp(m.pipe_spread * rng.standard_normal()))
        self.mound = float(np.exp(m.pipe_spread * rng.standard_normal()))
        rate = m.soundings_a_year * float(np.exp(0.6 * rng.standard_normal())) * (rng.random() > 0.25)
        due_clean = self._next_clean(0)
        fills = np.zeros(self.age + 1)
        due_days: dict[date, float] = {}
        resolve = self._plans()
        for day in range(self.age + 1):
            truth.add(float(self.load[day]), float(self.temp_c[day]), inert_share=self._inert(day))
            fill = truth.litres / self.builds[-1].usable_void_l
            if rng.random() < rate / 365.25 and fill > 0:
                self._sound(day, fill)
            if day == self.rebuild_day:
                self._clean(day, truth, fill, outcome="full")
                self._rebuild(day)
                due_clean = self._next_clean(day)
            elif day >= due_clean or (
                m.cleans == "depth" and fill * self.pipe > resolve["level"] and day >= resolve["after"]
            ):
                if m.cleans == "season" and fill < 0.3:
                    due_clean = day + 180
                elif m.cleans != "depth" or fill * self.pipe > resolve["level"]:
                    outcome = "part" if rng.random() < 0.12 else "full"
                    self._clean(day, truth, fill, outcome=outcome)
                    due_clean = self._next_clean(day)
                    resolve = self._plans(day)
            fill = truth.litres / self.builds[-1].usable_void_l
            fills[day] = fill
            if self.on(day) in self.origins:
                due_days[self.on(day)] = self._due(copy.deepcopy(truth), day)
        return fills, due_days

    def _plans(self, day: int = 0) -> dict[str, float]:
        """At what fill this void will be cleaned next, and not before when."""
        level = self.m.clean_fill * float(np.exp(self.rng.normal(0, 0.12)))
        return {"level": level, "after": day + float(self.rng.integers(20, 60))}

    def _next_clean(self, day: int) -> float:
        if self.m.cleans == "calendar":
            return day + self.m.calendar_days + float(self.rng.integers(-12, 13))
        if self.m.cleans == "season":
            ahead = self.days[(self.days > day + 120) & np.isin(self.month, (3, 8))]
            return float(ahead[0] + self.rng.integers(0, 25)) if len(ahead) else np.inf
        return np.inf

    def _due(self, truth: Truth, day: int) -> float:
        build = self.builds[-1]
        litres = build.due_fill * build.usable_void_l
        if truth.litres >= litres:
            return 0.0
        for ahead in range(1, HORIZON_DAYS + 1):
            if day + ahead >= self.n_days:
                break
            truth.add(
                float(self.load[day + ahead]), float(self.temp_c[day + ahead]), inert_share=self._inert(day + ahead)
            )
            if truth.litres >= litres:
                return float(ahead)
        return np.inf

    def _read(self, fill: float) -> tuple[float, str]:
        """One rod reading in mm, and ">=" where it stopped at the grid."""
        rng, height = self.rng, self.builds[-1].void_height_mm
        at_pipe = fill * height * self.pipe * self.mound
        seen = at_pipe * (1.0 + self.m.rod_share * rng.standard_normal()) + rng.normal(0, 2.5)
        if rng.random() < self.m.blunder_chance:
            seen *= float(rng.choice([0.4, 0.6, 1.6]))
        seen = max(round(seen), 0.0)
        return (height, ">=") if seen >= height else (seen, "")

    def _sound(self, day: int, fill: float) -> None:
        depth, qualifier = self._read(fill)
        repeats = int(self.rng.choice([1, 1, 3]))
        depths = tuple(max(round(depth + float(self.rng.normal(0, 2.0))), 0) for _ in range(repeats))
        seen = SoundingSeen(
            entry=f"{self.name}:s{day}",
            on=self.on(day),
            depths_mm=depths if not qualifier else (depth,),
            qualifier=">=" if qualifier else "",
            minute=540,
        )
        self.soundings.append(seen)

    def _clean(self, day: int, truth: Truth, fill: float, *, outcome: str) -> None:
        rng = self.rng
        logit = rng.normal(-1.9, 0.5) if outcome == "full" else rng.normal(-0.2, 0.4)
        kept = float(1 / (1 + np.exp(-logit)))
        before = truth.litres
        truth.keep(kept)
        depth, qualifier = self._read(fill)
        after = max(round(fill * kept * self.builds[-1].void_height_mm + float(rng.normal(0, 3))), 0)
        slurry = (before - truth.litres) * self.m.dilution * float(np.exp(rng.normal(0, 0.3)))
        measured = rng.random() < 0.65
        done = CleanoutDone(
            entry=f"{self.name}:c{day}",
            on=self.on(day),
            outcome="full" if outcome == "full" else "part",
            minute=600,
            depth_before_mm=depth if measured else None,
            depth_before_qualifier=">=" if measured and qualifier else "",
            depth_after_mm=float(after) if rng.random() < 0.4 else None,
            slurry_l=round(slurry, 1) if rng.random() < 0.5 and slurry > 0.1 else None,
        )
        self.cleanouts.append(done)
        self.mound = float(np.exp(self.m.pipe_spread * rng.standard_normal()))

    def _rebuild(self, day: int) -> None:
        old = self.builds[-1]
        self.builds.append(
            Geometry(
                valid_from=self.on(day),
                chamber_area_m2=old.chamber_area_m2,
                void_height_mm=round(old.void_height_mm * self.rng.uniform(1.15, 1.6)),
                usable_fraction=old.usable_fraction,
            )
        )
        if self.rng.random() < 0.5:  # a new pipe, in another place
            self.pipe = float(np.exp(self.m.pipe_spread * self.rng.standard_normal()))
