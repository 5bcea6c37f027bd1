"""The door: evidence for the forecast and signs for the verdicts, for many filters at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import prefetch_related_objects

from enclosures.evidence.known import AsOf
from enclosures.evidence.meals import Meals, load_meals
from enclosures.evidence.plan_changes import load_plan_changes
from enclosures.evidence.planned import Ahead, aheads, load_plan_rows
from enclosures.evidence.shares import Sibling, load_siblings, share_on, shared_portions
from enclosures.evidence.signs import signs_of
from enclosures.evidence.stock import Residents, load_residents
from enclosures.evidence.voids import Void, geometries, load_voids
from enclosures.evidence.waters import Waters, load_seasons, load_waters
from enclosures.forecast.inputs import FilterEvidence, PlannedChange, SeasonSpan, WeightSeen
from enclosures.models import Cleanout, Filter
from enclosures.verdicts.signs import FilterSigns

ASSUMED_SAID = 0.1
NOTHING_AHEAD = Ahead()


@dataclass(frozen=True, kw_only=True, slots=True)
class KnownFilter:
    """One filter as known on a day."""

    filter: Filter
    evidence: FilterEvidence
    signs: FilterSigns
    emptied: Cleanout | None = None  # the last full one
    first_fed_on: date | None = None


def load_filters(filters: Iterable[Filter], *, as_of: date, zone: ZoneInfo) -> dict[int, KnownFilter]:
    """By filter id, in the order given. The number of queries does not depend on how many filters there are."""
    known = AsOf.of(as_of, zone=zone)
    chosen = list(filters)
    if not chosen:
        return {}
    prefetch_related_objects(chosen, "enclosure__facility")
    places = {row.enclosure_id: row.enclosure for row in chosen}
    voids = load_voids(chosen, as_of=known)
    siblings = load_siblings(list(places), as_of=known)
    meals = load_meals(list(places), as_of=known)
    waters = load_waters(list(places), as_of=known)
    seasons = load_seasons(list(places), as_of=known)
    plans = load_plan_rows(list(places.values()), as_of=known)
    residents = load_residents(list(plans.places.values()), as_of=known)
    ahead = aheads(plans, residents, seasons, as_of=known)
    plan_changes = load_plan_changes(list(places.values()), meals=meals, residents=residents, ahead=ahead, as_of=known)
    found = {}
    for row in chosen:
        at = row.enclosure_id
        found[row.pk] = known_filter(
            row,
            void=voids[row.pk],
            meals=meals[at],
            waters=waters[at],
            seasons=seasons[at],
            residents=residents[at],
            siblings=siblings.get(at, []),
            as_of=known,
            ahead=ahead[at],
            plan_changes=plan_changes.get(at, ()),
        )
    return found


def known_filter(
    row: Filter,
    *,
    void: Void,
    meals: Meals,
    waters: Waters,
    seasons: tuple[SeasonSpan, ...],
    residents: Residents,
    siblings: list[Sibling],
    as_of: AsOf,
    ahead: Ahead = NOTHING_AHEAD,
    plan_changes: tuple[PlannedChange, ...] = (),
) -> KnownFilter:
    """One filter from what was loaded for all of them. Without `ahead` nothing of what is planned is in it."""
    return KnownFilter(
        filter=row,
        evidence=_evidence(
            row,
            void=void,
            meals=meals,
            waters=waters,
            seasons=seasons,
            residents=residents,
            siblings=siblings,
            as_of=as_of,
            ahead=ahead,
            plan_changes=plan_changes,
        ),
        signs=signs_of(row, void=void, waters=waters, seasons=seasons, residents=residents, ahead=ahead, as_of=as_of),
        emptied=void.emptied,
        first_fed_on=meals.first_on,
    )


def load_filter_evidence(filters: Iterable[Filter], *, as_of: date, zone: ZoneInfo) -> dict[int, FilterEvidence]:
    """What the forecast is told, by filter id."""
    return {pk: known.evidence for pk, known in load_filters(filters, as_of=as_of, zone=zone).items()}


def load_void_evidence(filters: Iterable[Filter], *, as_of: date, zone: ZoneInfo) -> dict[int, FilterEvidence]:
    """Builds, soundings and cleanouts alone, by filter id: enough to say what became of a forecast. Seven queries, no feed."""
    chosen = list(filters)
    prefetch_related_objects(chosen, "enclosure__facility")
    voids = load_voids(chosen, as_of=AsOf.of(as_of, zone=zone))
    return {
        row.pk: FilterEvidence(
            filter=row.code,
            enclosure=row.enclosure.code,
            commissioned_on=row.commissioned_on,
            builds=geometries(voids[row.pk].builds, default_due_fill=row.enclosure.facility.default_due_fill),
            soundings=voids[row.pk].soundings,
            cleanouts=voids[row.pk].cleanouts,
        )
        for row in chosen
    }


def load_filter_signs(filters: Iterable[Filter], *, as_of: date, zone: ZoneInfo) -> dict[int, FilterSigns]:
    """What the verdicts are told, by filter id."""
    return {pk: known.signs for pk, known in load_filters(filters, as_of=as_of, zone=zone).items()}


def _evidence(
    row: Filter,
    *,
    void: Void,
    meals: Meals,
    waters: Waters,
    seasons: tuple[SeasonSpan, ...],
    residents: Residents,
    siblings: list[Sibling],
    as_of: AsOf,
    ahead: Ahead,
    plan_changes: tuple[PlannedChange, ...],
) -> FilterEvidence:
    place, facility = row.enclosure, row.enclosure.facility
    share = share_on(as_of.day, row.pk, siblings)
    stops = residents.feeding_stops_below_c
    defaults = {} if stops is None else {"feeding_stops_below_c": stops}
    return FilterEvidence(
        filter=row.code,
        enclosure=place.code,
        commissioned_on=row.commissioned_on,
        builds=geometries(void.builds, default_due_fill=facility.default_due_fill),
        feedings=shared_portions(meals.portions, row.pk, siblings, share=share),
        soundings=void.soundings,
        cleanouts=void.cleanouts,
        temperatures=waters.temperatures,
        seasons=seasons,
        stays=residents.spans,
        weights=_with_comers(residents.weights, ahead.weights),
        planned=plan_changes,
        planned_moves=ahead.moves,
        planned_seasons=ahead.seasons,
        feed_share=share,
        is_indoor=place.indoor,
        surface_m2=place.surface_m2,
        litter_level=place.litter_level,  # type: ignore[arg-type]
        litter_g_m2_year=place.litter_g_m2_year,
        is_southern=facility.is_southern,
        room_temp_c=facility.room_temp_c,
        monthly_temp_c=tuple(facility.monthly_temp_c),
        assumed_feed_share=meals.assumed_share,
        notes=(*_doubts(meals), *ahead.doubts),
        **defaults,
    )


def _with_comers(known: tuple[WeightSeen, ...], more: tuple[WeightSeen, ...]) -> tuple[WeightSeen, ...]:
    """Weighings of those who are to come, but for the ones that lived here before."""
    here = {weight.animal for weight in known}
    new = [weight for weight in more if weight.animal not in here]
    return tuple(sorted([*known, *new], key=lambda weight: (weight.on, weight.animal))) if new else known


def _doubts(meals: Meals) -> tuple[str, ...]:
    """What is doubtful about the records themselves, as sentences."""
    said = []
    if meals.assumed_share >= ASSUMED_SAID:
        foods = ", ".join(meals.foods_without_recipe)
        said.append(f"No recipe on record for {foods}: a usual one of its kind was taken.")
    if meals.n_repeats_left_out:
        n = meals.n_repeats_left_out
        meals_words = "One meal that may be a repeat is" if n == 1 else f"{n} meals that may be repeats are"
        said.append(f"{meals_words} left out until somebody looks at {'it' if n == 1 else 'them'}.")
    return tuple(said)
