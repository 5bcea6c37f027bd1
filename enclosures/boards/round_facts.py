"""What the round knows of each enclosure before anything is said: plans, meals of late, water, who is there, what was done today."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from enclosures.models import (
    Animal,
    Enclosure,
    Feeding,
    FeedingPlan,
    FeedingPlanLine,
    Instruction,
    Reading,
    RoundCheck,
    RoundSkip,
    Season,
    SeasonKind,
    Slot,
    Stay,
    WaterTest,
)

MORNING_ENDS_H = 13
MEALS_BACK_DAYS = 35
WATER_BACK_DAYS = 14


def slot_of(at: datetime, zone: ZoneInfo) -> str:
    """Morning until one o'clock."""
    return Slot.MORNING if at.astimezone(zone).hour < MORNING_ENDS_H else Slot.EVENING


@dataclass(frozen=True, slots=True)
class MealSeen:
    """A meal of late, without its lines."""

    pk: int
    on: date
    slot: str
    was_fed: bool


@dataclass(slots=True)
class PlaceFacts:
    """One enclosure. `plans` are those in force today, of the place and of its animals; `meals` oldest first, without today's."""

    place: Enclosure
    animals: list[Animal] = field(default_factory=list)
    n_missing: int = 0
    season: Season | None = None
    plans: list[FeedingPlan] = field(default_factory=list)
    meals: list[MealSeen] = field(default_factory=list)
    last_fed: Feeding | None = None
    same_meal: Feeding | None = None
    water: tuple[date, float] | None = None
    instructions: list[Instruction] = field(default_factory=list)
    done: list[Any] = field(default_factory=list)

    @property
    def own_plans(self) -> list[FeedingPlan]:
        return [plan for plan in self.plans if plan.enclosure_id is not None]

    @property
    def feeding_stops_below_c(self) -> float | None:
        """While one of them still eats, the enclosure is fed."""
        stops = [a.taxon.feeding_stops_below_c for a in self.animals if a.taxon.feeding_stops_below_c is not None]
        return min(stops) if stops else None


def load_facts(*, day: date, slot: str, zone: ZoneInfo) -> list[PlaceFacts]:
    """Every enclosure in use, in walking order. A constant number of queries."""
    places = list(Enclosure.objects.in_use_on(day).in_walking_order())
    facts = {place.pk: PlaceFacts(place) for place in places}
    _add_animals(facts)
    for season in Season.objects.covering(day).exclude(kind=SeasonKind.ACTIVE).filter(enclosure__in=facts):
        facts[season.enclosure_id].season = season
    _add_plans(facts, day=day)
    _add_meals(facts, day=day, slot=slot, zone=zone)
    _add_water(facts, day=day)
    for each in Instruction.objects.to_follow_on(day).filter(enclosure__in=facts).order_by("from_on", "pk"):
        facts[each.enclosure_id].instructions.append(each)
    _add_done(facts, day=day, slot=slot, zone=zone)
    return [facts[place.pk] for place in places]


def _add_animals(facts: dict[int, PlaceFacts]) -> None:
    stays = Stay.objects.open_now().filter(enclosure__in=facts).select_related("animal__taxon").order_by("animal__code")
    for stay in stays:
        each = facts[stay.enclosure_id]
        if stay.reason == "missing":
            each.n_missing += 1
        else:
            each.animals.append(stay.animal)


def _add_plans(facts: dict[int, PlaceFacts], *, day: date) -> None:
    lives_in = {animal.pk: pk for pk, each in facts.items() for animal in each.animals}
    lines = Prefetch("lines", FeedingPlanLine.objects.select_related("food_item").order_by("position"))
    for plan in FeedingPlan.objects.in_force_on(day).newest_first().select_related("animal").prefetch_related(lines):
        place = plan.enclosure_id or lives_in.get(plan.animal_id)
        if place in facts:
            facts[place].plans.append(plan)


def _add_meals(facts: dict[int, PlaceFacts], *, day: date, slot: str, zone: ZoneInfo) -> None:
    rows = (
        Feeding.objects.filter(enclosure__in=facts, occurred_on__lte=day)
        .between(day - timedelta(days=MEALS_BACK_DAYS), day)
        .oldest_first()
        .values_list("pk", "enclosure_id", "occurred_on", "slot", "occurred_at", "not_fed_reason")
    )
    this_morning: dict[int, int] = {}  # what the evening row names; it decides nothing about what is due
    for pk, place, on, said_slot, at, not_fed in rows:
        seen = MealSeen(pk, on, said_slot or slot_of(at, zone), not not_fed)
        if on < day:
            facts[place].meals.append(seen)
        elif slot == "pm" and seen.slot == "am":
            this_morning[place] = pk
    last = {place: each.meals[-1].pk for place, each in facts.items() if each.meals} | this_morning
    same: dict[int, int] = {}
    for place, each in facts.items():
        fed = [meal.pk for meal in each.meals if meal.slot == slot and meal.was_fed]
        if fed and not each.own_plans:
            same[place] = fed[-1]
    wanted = Feeding.objects.prefetch_related("lines__food_item").in_bulk({*last.values(), *same.values()})
    for place, each in facts.items():
        each.last_fed = wanted.get(last.get(place, 0))
        each.same_meal = wanted.get(same.get(place, 0))


def _add_water(facts: dict[int, PlaceFacts], *, day: date) -> None:
    tests = WaterTest.objects.filter(enclosure__in=facts, place="tank").between(
        day - timedelta(days=WATER_BACK_DAYS), day
    )
    rows = (
        Reading.objects.filter(test__in=tests, analyte="temperature", canonical__isnull=False, qualifier="")
        .order_by("test__occurred_at", "test_id")
        .values_list("test__enclosure_id", "test__occurred_on", "canonical")
    )
    for place, on, temp_c in rows:
        facts[place].water = (on, temp_c)


def _add_done(facts: dict[int, PlaceFacts], *, day: date, slot: str, zone: ZoneInfo) -> None:
    today: dict[str, Any] = {"enclosure__in": facts, "occurred_on": day}
    found: Collection[Any] = [
        *Feeding.objects.filter(**today).prefetch_related("lines__food_item"),
        *RoundCheck.objects.filter(**today),
        *RoundSkip.objects.filter(**today),
    ]
    by_stop: dict[tuple[Any, ...], list[WaterTest]] = defaultdict(list)
    for test in WaterTest.objects.filter(**today).prefetch_related("readings"):
        by_stop[test.enclosure_id, test.entered_at, test.entered_by].append(test)
    for record in sorted(found, key=lambda r: (r.occurred_at, r.entered_at, type(r).__name__)):
        if (record.slot or slot_of(record.occurred_at, zone)) != slot:
            continue
        facts[record.enclosure_id].done.append(record)
        facts[record.enclosure_id].done += by_stop.pop((record.enclosure_id, record.entered_at, record.entered_by), [])
