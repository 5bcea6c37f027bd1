"""What one enclosure's page shows, loaded once for all of its parts and bounded, so that it costs after ten years what it costs after one.

The filters' evidence in here has its feed in sums and only the latest temperatures and weights: it is for showing. The forecast
reads `load_filters`.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from enclosures.evidence.filters import KnownFilter, known_filter
from enclosures.evidence.known import AsOf
from enclosures.evidence.meals import Meals, load_meal_sums
from enclosures.evidence.shares import edges_of, load_siblings
from enclosures.evidence.stock import Residents, load_residents
from enclosures.evidence.voids import Void, load_voids
from enclosures.evidence.waters import Waters, load_seasons, load_waters
from enclosures.models import Enclosure, Filter


@dataclass(frozen=True, kw_only=True, slots=True)
class EnclosureNow:
    """`filters` by id. `meals` are sums since the filters were last emptied, a year back at least (see `load_meal_sums`)."""

    filters: dict[int, KnownFilter]
    meals: Meals
    waters: Waters
    residents: Residents


def load_enclosure_now(enclosure: Enclosure, *, filters: Collection[Filter] = (), today: date) -> EnclosureNow:
    """A fixed number of queries, fewer when the filters come with builds, layers and pump fittings prefetched."""
    as_of = AsOf.of(today, zone=enclosure.facility.zone)
    chosen = list(filters)
    for row in chosen:
        row.enclosure = enclosure
    voids = load_voids(chosen, as_of=as_of)
    siblings = load_siblings([enclosure.pk], as_of=as_of).get(enclosure.pk, [])
    starts = [fed_from(row, voids[row.pk]) for row in chosen]
    meals = load_meal_sums(
        enclosure.pk,
        as_of=as_of,
        since=None if None in starts else min((day for day in starts if day), default=today),
        cuts={*edges_of(siblings), *(day for day in starts if day)},
    )
    waters = load_waters([enclosure.pk], as_of=as_of, is_recent_only=True)[enclosure.pk]
    seasons = load_seasons([enclosure.pk], as_of=as_of)[enclosure.pk]
    residents = load_residents([enclosure], as_of=as_of, is_recent_only=True)[enclosure.pk]
    known = {
        row.pk: known_filter(
            row,
            void=voids[row.pk],
            meals=meals,
            waters=waters,
            seasons=seasons,
            residents=residents,
            siblings=siblings,
            as_of=as_of,
        )
        for row in chosen
    }
    return EnclosureNow(filters=known, meals=meals, waters=waters, residents=residents)


def fed_from(row: Filter, void: Void) -> date | None:
    """The day from which its feed is summed: it was emptied, or it began; None when neither is known."""
    return void.emptied.occurred_on if void.emptied is not None else row.commissioned_on
