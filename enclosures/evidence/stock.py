"""Who lives where, who will come, what they weigh."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import OuterRef, Q, Subquery

from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import StaySpan, WeightSeen
from enclosures.models import Animal, Enclosure, Measurement, Sex, Stay
from enclosures.verdicts.signs import StockEvent

HATCHLING_DAYS = 548  # a year and a half: common practice, no source
NESTING_FROM_DAYS = 4 * 365  # younger females do not nest: common practice, no source
ARRIVALS_BACK_DAYS = 60
SEASONAL_SLACK_DAYS = 28
SEASONAL_BACK_DAYS = 400
RECENT_STAYS_DAYS = 2 * SEASONAL_BACK_DAYS + 60  # two yearly arrivals, the last of them within SEASONAL_BACK_DAYS


@dataclass(frozen=True, kw_only=True, slots=True)
class StayKnown:
    """One stay as it was known. `to_on` None: still there, for all anyone knew."""

    animal: Animal
    place: int
    from_on: date
    to_on: date | None
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Residents:
    """The animals of one enclosure."""

    stays: tuple[StayKnown, ...] = ()
    present: tuple[Animal, ...] = ()
    weights: tuple[WeightSeen, ...] = ()
    events_ahead: tuple[StockEvent, ...] = ()
    latest_g: dict[int, float] = field(default_factory=dict)

    @property
    def spans(self) -> tuple[StaySpan, ...]:
        return tuple(
            StaySpan(animal=s.animal.code, from_on=s.from_on, to_on=s.to_on, hatched_on=hatched_on(s.animal))
            for s in self.stays
        )

    @property
    def stock_kg(self) -> float | None:
        """Mass of those present by their latest weighing; None when none was weighed."""
        masses = [self.latest_g[animal.pk] for animal in self.present if animal.pk in self.latest_g]
        return sum(masses) / 1000 if masses else None

    @property
    def feeding_stops_below_c(self) -> float | None:
        """While one of them still eats, the enclosure is fed; those that once lived here speak when nobody does."""
        animals = self.present or tuple(stay.animal for stay in self.stays)
        stops = [a.taxon.feeding_stops_below_c for a in animals if a.taxon.feeding_stops_below_c is not None]
        return min(stops) if stops else None

    def n_hatchlings(self, day: date) -> int:
        return sum(_is_younger(animal, day, HATCHLING_DAYS) for animal in self.present)

    def has_nesting_females(self, day: date) -> bool:
        return any(
            animal.sex == Sex.FEMALE and not _is_younger(animal, day, NESTING_FROM_DAYS) for animal in self.present
        )

    def arrivals_on(self, day: date) -> tuple[date, ...]:
        """Days of the last two months on which an animal came that was not here before."""
        recent = day - timedelta(days=ARRIVALS_BACK_DAYS)
        left = {(stay.animal.pk, stay.to_on) for stay in self.stays if stay.to_on}
        return tuple(
            sorted({s.from_on for s in self.stays if s.from_on >= recent and (s.animal.pk, s.from_on) not in left})
        )


def hatched_on(animal: Animal) -> date | None:
    """The middle of what is known of its hatching."""
    first, last = animal.hatched_from, animal.hatched_to
    if first and last:
        return first + (last - first) / 2
    return first or last


def load_residents(places: Collection[Enclosure], *, as_of: AsOf, is_recent_only: bool = False) -> dict[int, Residents]:
    """By enclosure id. `is_recent_only` leaves out stays that ended long ago, and all weighings but each animal's latest. Two queries."""
    ids = [place.pk for place in places]
    ever_here = Stay.objects.filter(enclosure__in=ids).values("animal_id")
    rows = (
        Stay.objects.known_at(as_of.end)
        .filter(animal__in=ever_here, from_on__lte=as_of.day)
        .select_related("animal__taxon")
        .order_by("from_at", "pk")
    )
    if is_recent_only:
        rows = rows.filter(Q(to_on__isnull=True) | Q(to_on__gte=as_of.day - timedelta(days=RECENT_STAYS_DAYS)))
    stays = [stay for stay in (known_stay(row, as_of=as_of) for row in rows) if stay is not None]
    here: dict[int, list[StayKnown]] = defaultdict(list)
    for stay in stays:
        here[stay.place].append(stay)
    codes = {stay.animal.pk: stay.animal.code for stay in stays}
    weights = (_latest_weights if is_recent_only else weights_of)(codes, as_of=as_of)
    at_home = {stay.animal.pk for stay in stays if stay.to_on is None}
    return {
        place.pk: _residents(place, here[place.pk], weights=weights, at_home=at_home, as_of=as_of) for place in places
    }


def known_stay(row: Stay, *, as_of: AsOf) -> StayKnown | None:
    """The stay as it stood in the book that day; a stay of no length (a merged twin) is none."""
    has_ended = (
        row.to_at is not None
        and row.to_on is not None
        and row.to_on <= as_of.day
        and as_of.had_been_entered(row.ended_entered_at)
    )
    if has_ended and row.to_at == row.from_at:
        return None
    return StayKnown(
        animal=row.animal,
        place=row.enclosure_id,
        from_on=row.from_on,
        to_on=row.to_on if has_ended else None,
        reason=row.reason,
    )


def weights_of(codes: dict[int, str], *, as_of: AsOf) -> dict[int, list[WeightSeen]]:
    """All weighings of these animals (code by id), oldest first. One query."""
    rows = (
        as_of.rows(Measurement)
        .filter(animal__in=list(codes), mass_g__isnull=False)
        .order_by("occurred_on", "occurred_at", "pk")
        .values_list("animal_id", "occurred_on", "mass_g")
    )
    found: dict[int, list[WeightSeen]] = defaultdict(list)
    for animal, on, mass_g in rows:
        found[animal].append(WeightSeen(animal=codes[animal], on=on, mass_g=mass_g))
    return found


def _latest_weights(codes: dict[int, str], *, as_of: AsOf) -> dict[int, list[WeightSeen]]:
    newest = as_of.rows(Measurement).filter(animal=OuterRef("pk"), mass_g__isnull=False).newest_first()
    rows = (
        Animal.objects.filter(pk__in=list(codes))
        .annotate(weighed_on=Subquery(newest.values("occurred_on")[:1]), mass_g=Subquery(newest.values("mass_g")[:1]))
        .order_by()
        .values_list("pk", "weighed_on", "mass_g")
    )
    return {pk: [WeightSeen(animal=codes[pk], on=on, mass_g=mass_g)] for pk, on, mass_g in rows if on is not None}


def _residents(
    place: Enclosure,
    stays: list[StayKnown],
    *,
    weights: dict[int, list[WeightSeen]],
    at_home: set[int],
    as_of: AsOf,
) -> Residents:
    animals = {stay.animal.pk: stay.animal for stay in stays}
    present = {stay.animal.pk: stay.animal for stay in stays if stay.to_on is None}
    seen = [weight for pk in animals for weight in weights.get(pk, [])]
    return Residents(
        stays=tuple(stays),
        present=tuple(present[pk] for pk in sorted(present)),
        weights=tuple(sorted(seen, key=lambda weight: (weight.on, weight.animal))),
        events_ahead=_coming(place, stays, absent=at_home - set(present), as_of=as_of),
        latest_g={pk: weights[pk][-1].mass_g for pk in animals if weights.get(pk)},
    )


def _coming(place: Enclosure, stays: list[StayKnown], *, absent: set[int], as_of: AsOf) -> tuple[StockEvent, ...]:
    """Those that came at about the same time in two years, and are elsewhere now, are expected at that time again."""
    arrivals: dict[int, list[StayKnown]] = defaultdict(list)
    for stay in stays:
        arrivals[stay.animal.pk].append(stay)
    expected: dict[Any, list[date]] = defaultdict(list)
    for pk, came in arrivals.items():
        if pk not in absent or len(came) < 2:
            continue
        last = came[-1].from_on
        is_yearly = abs((last - came[-2].from_on).days - 365) <= SEASONAL_SLACK_DAYS
        again = _a_year_on(last)
        if is_yearly and (as_of.day - last).days <= SEASONAL_BACK_DAYS and again > as_of.day:
            expected[came[-1].animal.taxon].append(again)
    return tuple(
        sorted(
            (
                StockEvent(on=min(days), text=coming_words(taxon, n=len(days), indoor=place.indoor))
                for taxon, days in expected.items()
            ),
            key=lambda event: (event.on, event.text),
        )
    )


def _a_year_on(day: date) -> date:
    try:
        return day.replace(year=day.year + 1)
    except ValueError:  # 29 February
        return day.replace(year=day.year + 1, day=28)


def coming_words(taxon: Any, *, n: int, indoor: bool) -> str:
    """'The map turtles come in'; `taxon` None where the kind is not known."""
    name = "animal" if taxon is None else taxon.common_name or f"{taxon.scientific_name} turtle"
    where = "in" if indoor else "out"
    return f"The {name}s come {where}" if n > 1 else f"One {name} comes {where}"


def _is_younger(animal: Animal, day: date, days: int) -> bool:
    hatched = hatched_on(animal)
    return hatched is not None and (day - hatched).days < days
