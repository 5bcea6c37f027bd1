"""Feed as dry grams: line by line for the forecast, in sums for a page; possible repeats once, and how much rests on a guessed recipe."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.db.models import Case, Exists, F, IntegerField, Max, OuterRef, Sum, TextField, Value, When
from django.db.models.functions import Cast

from enclosures.estimates.feed import composition_from_class, dry_g, left_share, protein_g
from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import FeedPortion
from enclosures.models import Feeding, FeedingLine, RecordFlag

RECENT_DAYS = 365
SUMMED_DAYS = (RECENT_DAYS, 28, 7)  # sums end at these many days back, so that a page can say what fell within them


@dataclass(frozen=True, kw_only=True, slots=True)
class Meals:
    """Feed of one enclosure, oldest first. `assumed_share`: of the last year's dry feed, what has no recipe of its own."""

    portions: tuple[FeedPortion, ...] = ()
    assumed_share: float = 0.0
    foods_without_recipe: tuple[str, ...] = ()
    n_repeats_left_out: int = 0
    first_on: date | None = None


@dataclass(frozen=True, slots=True)
class _Line:
    place: int
    feeding: int
    on: date
    food: str
    food_class: str
    offered_g: float
    dry_g: float | None
    protein_g: float | None
    eaten: str
    leftovers_removed: bool | None


def load_meals(places: Collection[int], *, as_of: AsOf) -> dict[int, Meals]:
    """Every line, by enclosure id. Two queries, four where something may be a repeat."""
    meals = as_of.rows(Feeding).filter(enclosure__in=places)
    repeats = _repeats(meals, as_of=as_of)
    rows = (
        FeedingLine.objects.filter(feeding__in=meals)
        .order_by("feeding__occurred_on", "feeding__occurred_at", "feeding_id", "position")
        .values_list(
            "feeding__enclosure_id",
            "feeding_id",
            "feeding__occurred_on",
            "food_item__code",
            "food_item__food_class",
            "offered_g",
            "dry_g",
            "protein_g",
            "eaten",
            "feeding__leftovers_removed",
        )
    )
    by_place: dict[int, list[_Line]] = defaultdict(list)
    for row in rows:
        if row[1] not in repeats:
            by_place[row[0]].append(_Line(*row))
    n_repeats = _counted(repeats.values())
    return {place: _meals(by_place[place], n_repeats=n_repeats.get(place, 0), as_of=as_of) for place in places}


def load_meal_sums(place: int, *, as_of: AsOf, since: date | None, cuts: Iterable[date] = ()) -> Meals:
    """The feed of one enclosure since a day (None: ever) for a page, never for the forecast: one portion for each stretch and
    class of food, dated by its last meal. Stretches begin on the days of `cuts` and of SUMMED_DAYS; so ten years cost what one does.

    Three queries, five where something may be a repeat.
    """
    known = as_of.rows(Feeding).filter(enclosure=place)
    lately = {as_of.day - timedelta(days=days - 1) for days in SUMMED_DAYS}
    meals = known if since is None else _since(known, min(since, *lately))
    edges = sorted({*cuts, *lately})
    repeats = _repeats(meals, as_of=as_of)
    stretch = Case(
        *(When(feeding__occurred_on__lt=edge, then=Value(n)) for n, edge in enumerate(edges)),
        default=Value(len(edges)),
        output_field=IntegerField(),
    )
    has_recipe = Case(When(dry_g__isnull=True, then=Value(0)), default=Value(1), output_field=IntegerField())
    sums = (
        FeedingLine.objects.filter(feeding__in=meals)
        .exclude(feeding__in=list(repeats))
        .annotate(stretch=stretch, has_recipe=has_recipe, food_class=F("food_item__food_class"))
        .values("stretch", "food_class", "has_recipe")
        .annotate(
            last_on=Max("feeding__occurred_on"),
            offered_g_sum=Sum("offered_g"),
            dry_g_sum=Sum("dry_g"),
            protein_g_sum=Sum("protein_g"),
        )
        .order_by("last_on", "food_class", "has_recipe")
    )
    lines = [
        _Line(
            place, 0, row["last_on"], "", row["food_class"], row["offered_g_sum"], row["dry_g_sum"], row["protein_g_sum"], "", None
        )
        for row in sums
    ]  # fmt: skip
    has_lines = Exists(FeedingLine.objects.filter(feeding=OuterRef("pk")))
    first = known.filter(has_lines).order_by("occurred_at").values_list("occurred_on", flat=True)[:1]
    return _meals(lines, n_repeats=len(repeats), as_of=as_of, first_on=next(iter(first), None))


def _since(meals: Any, day: date) -> Any:
    """Those of a day and after; the instant, a day earlier than it can be, is there for the index."""
    midnight = datetime.combine(day, time(), tzinfo=UTC)
    return meals.filter(occurred_on__gte=day, occurred_at__gte=midnight - timedelta(days=1))


def load_repeats(places: Collection[int], *, as_of: AsOf) -> tuple[int, ...]:
    """Ids of the meals that are left out as possible repeats until somebody looks at them, over all time. At most four queries."""
    return tuple(sorted(_repeats(as_of.rows(Feeding).filter(enclosure__in=places), as_of=as_of)))


def _repeats(meals: Any, *, as_of: AsOf) -> dict[int, int]:
    """Feedings that may repeat another of their day and slot and that nobody had looked at by then, with their enclosure."""
    named = meals.filter(Exists(FeedingLine.objects.filter(feeding=OuterRef("pk"))))
    flagged = named.annotate(flag_text=Cast("flags", TextField())).filter(flag_text__contains='"DUP"')
    suspects = {pk: (entry, on) for pk, entry, on in flagged.values_list("pk", "entry", "occurred_on")}
    if not suspects:
        return {}
    entries = [entry for entry, _ in suspects.values()]
    settled = set(
        RecordFlag.objects.filter(
            table="feeding", code="DUP", resolved_at__lt=as_of.end, entry__in=entries
        ).values_list("entry", flat=True)
    )
    open_suspects = {pk for pk, (entry, _) in suspects.items() if entry not in settled}
    together: dict[Any, list[int]] = defaultdict(list)
    for pk, *which in named.filter(occurred_on__in={on for _, on in suspects.values()}).values_list(
        "pk", "enclosure_id", "occurred_on", "slot"
    ):
        together[tuple(which)].append(pk)
    repeats: dict[int, int] = {}
    for (place, *_), those in together.items():  # one that was flagged repeats an earlier one, if that still counts
        in_order = sorted(those, key=lambda pk: (pk in suspects, pk))
        repeats.update((pk, place) for pk in in_order[1:] if pk in open_suspects)
    return repeats


def _counted(places: Iterable[int]) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    for place in places:
        found[place] += 1
    return found


def _meals(lines: list[_Line], *, n_repeats: int, as_of: AsOf, first_on: date | None = None) -> Meals:
    portions, foods = [], set()
    recent, assumed = 0.0, 0.0
    recent_from = as_of.day - timedelta(days=RECENT_DAYS - 1)
    for line in lines:
        dry, protein = line.dry_g, line.protein_g
        if dry is None:
            usual = composition_from_class(line.food_class)
            dry = dry_g(line.offered_g, moisture_percent=usual.moisture_percent)
            protein = protein_g(line.offered_g, protein_percent=usual.protein_percent)
            foods.add(line.food)
        if line.on >= recent_from:
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
        first_on=first_on or (portions[0].on if portions else None),
    )
