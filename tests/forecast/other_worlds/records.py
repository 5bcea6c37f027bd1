"""From a lived truth to one case: everything the facility has written down by as_of, and what came after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from enclosures.forecast.inputs import FilterEvidence, Geometry, SeasonSpan, StaySpan, TemperatureSeen, WeightSeen

from .animals import Animal
from .calendar_and_climate import Days
from .crew import Crew
from .crew_at_work import Life, Sludge
from .meals import FeedLog, Meals
from .places import Place
from .void_builds import Builds

STILL_GROWING_DAYS = 640  # after hatching
LATELY_DAYS = 180


@dataclass(frozen=True, kw_only=True)
class Case:
    """`due_in_days` from as_of with the same habits and nobody cleaning: 0 when due already, infinite when not within the horizon.
    `true_fill`: mean depth over void height at the end of as_of. `groups`: what kind of case it is, in words."""

    evidence: FilterEvidence
    due_in_days: float
    true_fill: float
    groups: frozenset[str]


@dataclass(frozen=True, kw_only=True)
class RecordHabits:
    """How often things other than feed and sludge are written down (days; 0: never), and what the facility states about itself."""

    temperature_every_days: int = 7
    weighs_every_days: int = 90
    weighs_young_every_days: int = 30
    feeding_stops_below_c: float = 13.0
    room_temp_c: float = 24.0
    assumed_feed_share: float = 0.0


USUAL_HABITS = RecordHabits()


def case_of(
    rng: np.random.Generator,
    days: Days,
    *,
    place: Place,
    animals: Sequence[Animal],
    meals: Meals,
    feed_log: FeedLog,
    sludge: Sludge,
    builds: Builds,
    crew: Crew,
    keeps_sludge_at_rebuild: bool = False,
    habits: RecordHabits = USUAL_HABITS,
) -> Case:
    """Lives the filter's life and takes down what its crew would."""
    life = Life(
        rng, days, place=place, sludge=sludge, builds=builds, crew=crew, keeps_sludge_at_rebuild=keeps_sludge_at_rebuild
    )
    lived = life.live()
    commissioned_on, geometries = _building_record(rng, days, place=place, builds=builds)
    evidence = FilterEvidence(
        filter=place.filter,
        enclosure=place.enclosure,
        commissioned_on=commissioned_on,
        builds=geometries,
        feedings=feed_log.portions(rng, days, meals=meals, start_day=place.start_day),
        soundings=lived.soundings,
        cleanouts=lived.cleanouts,
        temperatures=_temperatures(rng, days, place=place, habits=habits, gaps=feed_log.gaps),
        seasons=_seasons(days, place),
        stays=_stays(days, animals, enclosure=place.enclosure),
        weights=_weights(rng, days, animals=animals, enclosure=place.enclosure, habits=habits),
        feed_share=place.feed_share,
        is_indoor=place.is_indoor,
        surface_m2=place.surface_m2,
        litter_level=place.litter_level,
        litter_g_m2_year=place.litter_stated_g_m2_year,
        is_southern=place.climate.is_southern,
        room_temp_c=habits.room_temp_c,
        monthly_temp_c=place.climate.monthly_c,
        feeding_stops_below_c=habits.feeding_stops_below_c,
        assumed_feed_share=habits.assumed_feed_share,
    )
    return Case(
        evidence=evidence,
        due_in_days=lived.due_in_days,
        true_fill=lived.true_fill,
        groups=frozenset(_groups(evidence, as_of=days.dates[days.today])),
    )


def _building_record(
    rng: np.random.Generator, days: Days, *, place: Place, builds: Builds
) -> tuple[date | None, tuple[Geometry, ...]]:
    """When it was commissioned, if anybody knows, and the builds. One that starts on paper was built a year to four before."""
    commissioned_on = days.dates[place.start_day]
    geometries = tuple(geometry for day, geometry in builds if day <= days.today)
    if not place.starts_on_paper:
        return commissioned_on, geometries
    older_on = commissioned_on - timedelta(days=int(rng.integers(300, 1500)))
    is_known = rng.random() < 0.7
    first, *later = geometries
    return older_on if is_known else None, (replace(first, valid_from=older_on), *later)


def _groups(evidence: FilterEvidence, *, as_of: date) -> set[str]:
    is_later = any(cleanout.outcome != "attempted" for cleanout in evidence.cleanouts)
    groups = {"later cycle" if is_later else "first cycle"}
    if not evidence.soundings:
        groups.add("no soundings yet")
    if not evidence.is_indoor:
        groups.add("ponds")
    if len(evidence.builds) > 1:
        groups.add("after a rebuild")
    if any(_is_growing(stay, as_of=as_of) for stay in evidence.stays):
        groups.add("growing hatchlings")
    return groups


def _is_growing(stay: StaySpan, *, as_of: date) -> bool:
    """A young animal that lives here or did within the last half year."""
    if stay.hatched_on is None or (as_of - stay.hatched_on).days >= STILL_GROWING_DAYS:
        return False
    return stay.to_on is None or (as_of - stay.to_on).days < LATELY_DAYS


def _until(days: Days, day: int | None) -> date | None:
    """The date of an end, if it is not after as_of."""
    return days.dates[day] if day is not None and day <= days.today else None


def _seasons(days: Days, place: Place) -> tuple[SeasonSpan, ...]:
    spans = []
    for kind, from_day, to_day in place.seasons:
        begin = max(from_day, place.start_day)
        if begin <= days.today and (to_day is None or to_day > place.start_day):
            spans.append(SeasonSpan(kind=kind, from_on=days.dates[begin], to_on=_until(days, to_day)))
    return tuple(spans)


def _stays(days: Days, animals: Sequence[Animal], *, enclosure: str) -> tuple[StaySpan, ...]:
    """Hatched before the first day of the world: not known."""
    spans = []
    for animal in animals:
        is_known = animal.hatched_day is not None and animal.hatched_day >= 0
        for where, from_day, to_day in animal.stays:
            if where == enclosure and from_day <= days.today and (to_day is None or to_day > from_day):
                span = StaySpan(
                    animal=animal.name,
                    from_on=days.dates[max(from_day, 0)],
                    to_on=_until(days, to_day),
                    hatched_on=days.dates[animal.hatched_day] if is_known else None,
                )
                spans.append(span)
    return tuple(sorted(spans, key=lambda span: (span.from_on, span.animal)))


def _temperatures(
    rng: np.random.Generator, days: Days, *, place: Place, habits: RecordHabits, gaps: Sequence[tuple[int, int]]
) -> tuple[TemperatureSeen, ...]:
    """Half a degree off, at uneven gaps, and not while nothing is written."""
    every_days = habits.temperature_every_days
    if not every_days:
        return ()
    seen = []
    day = place.start_day + int(rng.integers(0, every_days + 1))
    while day <= days.today:
        if not any(begin <= day < end for begin, end in gaps):
            temp_c = round(float(place.temp_c[day] + rng.normal(0, 0.5)), 1)
            seen.append(TemperatureSeen(on=days.dates[day], temp_c=temp_c))
        day += max(1, int(every_days * rng.uniform(0.6, 1.4)))
    return tuple(seen)


def _weights(
    rng: np.random.Generator, days: Days, *, animals: Sequence[Animal], enclosure: str, habits: RecordHabits
) -> tuple[WeightSeen, ...]:
    """Every animal that ever lived here, wherever it is, within two per cent."""
    seen = []
    for animal in animals:
        if not animal.has_lived_in(enclosure):
            continue
        is_grown = animal.hatched_day is None
        every_days = habits.weighs_every_days if is_grown else habits.weighs_young_every_days
        last_day = max(days.today if stay.to_day is None else stay.to_day for stay in animal.stays)
        day = min(stay.from_day for stay in animal.stays) + int(rng.integers(0, 6))
        while every_days and day <= min(last_day, days.today):
            mass_g = round(float(animal.mass_g[day] * rng.lognormal(0, 0.02)), 2)
            seen.append(WeightSeen(animal=animal.name, on=days.dates[day], mass_g=mass_g))
            day += max(3, int(every_days * rng.uniform(0.8, 1.2)))
    return tuple(sorted(seen, key=lambda weight: (weight.on, weight.animal)))
