"""What the feeding form offers: the foods usual here first, what was given last, who lives here, when they were last fed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Subquery

from enclosures.boards.enclosures import RESTS, last_fed_words
from enclosures.models import Animal, Enclosure, Feeding, FeedingLine, FoodItem, Measurement, Season, Stay
from enclosures.verdicts.words import day_words, kept_together

USUAL_DAYS = 60


@dataclass(frozen=True, kw_only=True, slots=True)
class FeedingBoard:
    """`last` maps a food's pk to the last amount and unit given here; `same` is the whole last meal, in the same form."""

    foods: tuple[FoodItem, ...]
    usual: frozenset[int]
    last: dict[int, tuple[float, str]]
    same: dict[int, tuple[float, str]]
    same_words: str
    animals: tuple[Animal, ...]
    last_fed: str
    biomass_g: float | None

    @property
    def count_words(self) -> str:
        return f"of {len(self.animals)}" if self.animals else ""


def build_log_feeding(*, enclosure: Enclosure, today: date, before: Feeding | None = None) -> FeedingBoard:
    """A constant number of queries. `before`: the feeding being corrected, which is no "last time" of itself."""
    last: dict[int, tuple[float, str]] = {}
    counts: dict[int, int] = {}
    for food_id, *given in _given_lately(enclosure, today=today, before=before):
        last.setdefault(food_id, _as_given(*given))
        counts[food_id] = counts.get(food_id, 0) + 1
    newest = _newest(enclosure, before)
    meal = newest if newest is None or newest.lines.all() else _newest(enclosure, before, is_fed=True)
    same = {line.food_item_id: _as_line(line) for line in meal.lines.all()} if meal is not None else {}
    animals = animals_of(enclosure)
    return FeedingBoard(
        foods=_foods(counts, also={line.food_item_id for line in before.lines.all()} if before is not None else set()),
        usual=frozenset(counts),
        last=last,
        same=same,
        same_words=last_fed_words(meal, today=today).partition(": ")[2].rpartition(", ")[0] if meal is not None else "",
        animals=animals,
        last_fed=_rest_words(enclosure, today=today) + last_fed_words(newest, today=today),
        biomass_g=_biomass_g(animals),
    )


def _rest_words(enclosure: Enclosure, *, today: date) -> str:
    """'In winter rest since 1 Nov. ' before anything is offered; empty in season."""
    rest = Season.objects.covering(today).filter(enclosure=enclosure, kind__in=RESTS).first()
    return kept_together(f"{RESTS[rest.kind]} since {day_words(rest.from_on, today)}. ") if rest is not None else ""


def animals_of(enclosure: Enclosure) -> tuple[Animal, ...]:
    """Who lives here now, without those missing, by code."""
    stays = Stay.objects.open_now().filter(enclosure=enclosure).exclude(reason="missing")
    return tuple(Animal.objects.filter(pk__in=stays.values("animal_id")).with_taxon().order_by("code"))


def _given_lately(
    enclosure: Enclosure, *, today: date, before: Feeding | None
) -> Iterator[tuple[int, Any, str, float]]:
    """Food, amount, unit and grams of every line of the last weeks, newest first: plain rows, since a meal is logged every few minutes."""
    meals = Feeding.objects.filter(enclosure=enclosure).between(today - timedelta(days=USUAL_DAYS), today)
    lines = FeedingLine.objects.filter(feeding__in=meals.exclude(pk=before.pk if before is not None else None))
    newest_first = lines.order_by("-feeding__occurred_at", "-feeding_id", "position")
    yield from newest_first.values_list("food_item_id", "amount", "unit", "offered_g")


def _as_given(amount: float | None, unit: str, offered_g: float) -> tuple[float, str]:
    return (amount, unit) if amount is not None and unit else (offered_g, "g")


def _as_line(line: FeedingLine) -> tuple[float, str]:
    return _as_given(line.amount, line.unit, line.offered_g)


def _foods(counts: dict[int, int], *, also: set[int]) -> tuple[FoodItem, ...]:
    """In use, or in the entry being corrected; the most used here first."""
    foods = FoodItem.objects.prefetch_related("units", "compositions").order_by("code")
    shown = [food for food in foods if not food.is_retired or food.pk in also]
    return tuple(sorted(shown, key=lambda food: (-counts.get(food.pk, 0), str(food).lower())))


def _newest(enclosure: Enclosure, before: Feeding | None, *, is_fed: bool = False) -> Feeding | None:
    feedings = Feeding.objects.filter(enclosure=enclosure).exclude(pk=before.pk if before is not None else None)
    if is_fed:
        feedings = feedings.filter(Exists(FeedingLine.objects.filter(feeding=OuterRef("pk"))))
    return feedings.newest_first().prefetch_related("lines__food_item").first()


def _biomass_g(animals: tuple[Animal, ...]) -> float | None:
    """The last masses together, when every animal here has been weighed."""
    newest = Measurement.objects.filter(animal=OuterRef("pk"), mass_g__isnull=False).newest_first()
    masses = Animal.objects.filter(pk__in=[animal.pk for animal in animals]).annotate(
        m=Subquery(newest.values("mass_g")[:1])
    )
    weighed = [mass for mass in masses.order_by("pk").values_list("m", flat=True) if mass is not None]
    return sum(weighed) if animals and len(weighed) == len(animals) else None
