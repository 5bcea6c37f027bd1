"""What the feeding form offers: the foods usual here first, what was given last, who lives here, when they were last fed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from enclosures.boards.enclosures import last_fed_words
from enclosures.models import Animal, Enclosure, Feeding, FeedingLine, FoodItem, Measurement, Stay

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
    recent = list(
        Feeding.objects.filter(enclosure=enclosure)
        .between(today - timedelta(days=USUAL_DAYS), today)
        .exclude(pk=before.pk if before is not None else None)
        .newest_first()
        .prefetch_related(Prefetch("lines", FeedingLine.objects.select_related("food_item")))
    )
    last: dict[int, tuple[float, str]] = {}
    counts: dict[int, int] = {}
    for feeding in recent:
        for line in feeding.lines.all():
            last.setdefault(line.food_item_id, _as_given(line))
            counts[line.food_item_id] = counts.get(line.food_item_id, 0) + 1
    meal = next((feeding for feeding in recent if feeding.lines.all()), None)
    same = {line.food_item_id: _as_given(line) for line in meal.lines.all()} if meal is not None else {}
    animals = animals_of(enclosure)
    return FeedingBoard(
        foods=_foods(counts, also={line.food_item_id for line in before.lines.all()} if before is not None else set()),
        usual=frozenset(counts),
        last=last,
        same=same,
        same_words=last_fed_words(meal, today=today).partition(": ")[2].rpartition(", ")[0] if meal is not None else "",
        animals=animals,
        last_fed=last_fed_words(recent[0] if recent else _newest(enclosure, before), today=today),
        biomass_g=_biomass_g(animals),
    )


def animals_of(enclosure: Enclosure) -> tuple[Animal, ...]:
    """Who lives here now, without those missing, by code."""
    stays = Stay.objects.open_now().filter(enclosure=enclosure).exclude(reason="missing")
    return tuple(Animal.objects.filter(pk__in=stays.values("animal_id")).with_taxon().order_by("code"))


def _as_given(line: FeedingLine) -> tuple[float, str]:
    return (line.amount, line.unit) if line.amount is not None and line.unit else (line.offered_g, "g")


def _foods(counts: dict[int, int], *, also: set[int]) -> tuple[FoodItem, ...]:
    """In use, or in the entry being corrected; the most used here first."""
    foods = FoodItem.objects.prefetch_related("units", "compositions").order_by("code")
    shown = [food for food in foods if not food.is_retired or food.pk in also]
    return tuple(sorted(shown, key=lambda food: (-counts.get(food.pk, 0), str(food).lower())))


def _newest(enclosure: Enclosure, before: Feeding | None) -> Feeding | None:
    feedings = Feeding.objects.filter(enclosure=enclosure).exclude(pk=before.pk if before is not None else None)
    return feedings.newest_first().prefetch_related("lines__food_item").first()


def _biomass_g(animals: tuple[Animal, ...]) -> float | None:
    """The last masses together, when every animal here has been weighed."""
    weighed: dict[int, float] = {}
    rows = Measurement.objects.filter(animal__in=animals, mass_g__isnull=False).oldest_first()
    for animal_id, mass_g in rows.values_list("animal_id", "mass_g"):
        weighed[animal_id] = mass_g
    return sum(weighed.values()) if animals and len(weighed) == len(animals) else None
