"""Feed as dry grams per line, possible repeats once, and how much of it rests on a guessed recipe."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import TextField
from django.db.models.functions import Cast

from enclosures.estimates.feed import composition_from_class, dry_g, left_share, protein_g
from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import FeedPortion
from enclosures.models import Feeding, FeedingLine, RecordFlag

RECENT_DAYS = 365


@dataclass(frozen=True, kw_only=True, slots=True)
class Meals:
    """All lines of one enclosure, oldest first. `assumed_share`: of the last year's dry feed, what has no recipe of its own."""

    portions: tuple[FeedPortion, ...] = ()
    assumed_share: float = 0.0
    foods_without_recipe: tuple[str, ...] = ()
    n_repeats_left_out: int = 0


@dataclass(frozen=True, slots=True)
class _Line:
    place: int
    feeding: int
    entry: Any
    on: Any
    slot: str
    is_suspect: bool
    food: str
    food_class: str
    offered_g: float
    dry_g: float | None
    protein_g: float | None
    eaten: str
    leftovers_removed: bool | None


def load_meals(places: Collection[int], *, as_of: AsOf) -> dict[int, Meals]:
    """By enclosure id. Two queries at most."""
    rows = (
        FeedingLine.objects.filter(feeding__in=as_of.rows(Feeding).filter(enclosure__in=places))
        .annotate(flag_text=Cast("feeding__flags", TextField()))
        .order_by("feeding__occurred_on", "feeding__occurred_at", "feeding_id", "position")
        .values_list(
            "feeding__enclosure_id",
            "feeding_id",
            "feeding__entry",
            "feeding__occurred_on",
            "feeding__slot",
            "flag_text",
            "food_item__code",
            "food_item__food_class",
            "offered_g",
            "dry_g",
            "protein_g",
            "eaten",
            "feeding__leftovers_removed",
        )
    )
    lines = [_Line(*row[:5], '"DUP"' in (row[5] or ""), *row[6:]) for row in rows]
    repeats = _repeats(lines, as_of=as_of)
    by_place: dict[int, list[_Line]] = defaultdict(list)
    for line in lines:
        if line.feeding not in repeats:
            by_place[line.place].append(line)
    left_out: dict[int, set[int]] = defaultdict(set)
    for line in lines:
        if line.feeding in repeats:
            left_out[line.place].add(line.feeding)
    return {place: _meals(by_place[place], n_repeats=len(left_out[place]), as_of=as_of) for place in places}


def _repeats(lines: list[_Line], *, as_of: AsOf) -> set[int]:
    """Feedings that may repeat another of their day and slot and that nobody had looked at by then: they count once."""
    suspects = {line.feeding: line.entry for line in lines if line.is_suspect}
    if not suspects:
        return set()
    settled = set(
        RecordFlag.objects.filter(
            table="feeding", code="DUP", resolved_at__lt=as_of.end, entry__in=suspects.values()
        ).values_list("entry", flat=True)
    )
    open_suspects = {feeding for feeding, entry in suspects.items() if entry not in settled}
    meals: dict[tuple[Any, ...], set[int]] = defaultdict(set)
    for line in lines:
        meals[line.place, line.on, line.slot].add(line.feeding)
    repeats: set[int] = set()
    for together in meals.values():  # one that was flagged repeats an earlier one, if that still counts
        in_order = sorted(together, key=lambda feeding: (feeding in suspects, feeding))
        repeats.update(feeding for feeding in in_order[1:] if feeding in open_suspects)
    return repeats


def _meals(lines: list[_Line], *, n_repeats: int, as_of: AsOf) -> Meals:
    portions, foods = [], set()
    recent, assumed = 0.0, 0.0
    for line in lines:
        dry, protein = line.dry_g, line.protein_g
        if dry is None:
            usual = composition_from_class(line.food_class)
            dry = dry_g(line.offered_g, moisture_percent=usual.moisture_percent)
            protein = protein_g(line.offered_g, protein_percent=usual.protein_percent)
            foods.add(line.food)
        if line.on > as_of.day - timedelta(days=RECENT_DAYS):
            recent += dry
            assumed += dry if line.dry_g is None else 0.0
        portions.append(
            FeedPortion(
                on=line.on,
                dry_g=dry,
                food_class=line.food_class,  # type: ignore[arg-type]
                eaten=line.eaten,  # type: ignore[arg-type]
                protein_g=protein or 0.0,
                removed_dry_g=left_share(line.eaten) * dry if line.leftovers_removed else 0.0,
            )
        )
    return Meals(
        portions=tuple(portions),
        assumed_share=assumed / recent if recent > 0 else 0.0,
        foods_without_recipe=tuple(sorted(foods)),
        n_repeats_left_out=n_repeats,
    )
