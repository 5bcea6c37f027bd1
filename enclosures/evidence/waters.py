"""Water as tested, and the spells in which an enclosure was different."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Q

from enclosures.evidence.known import AsOf
from enclosures.forecast.inputs import SeasonSpan, TemperatureSeen
from enclosures.models import Analyte, Place, Reading, Season, WaterTest
from enclosures.verdicts.signs import Span, WaterSign

TESTS_BACK_DAYS = 400
NOW_DAYS = 5


@dataclass(frozen=True, kw_only=True, slots=True)
class Waters:
    """Temperatures of all time, other readings of the last year or so, oldest first."""

    temperatures: tuple[TemperatureSeen, ...] = ()
    signs: tuple[WaterSign, ...] = ()
    now_c: float | None = None  # mean of the last five days


def load_waters(places: Collection[int], *, as_of: AsOf, is_recent_only: bool = False) -> dict[int, Waters]:
    """By enclosure id; source water says nothing of the enclosure. `is_recent_only` leaves older temperatures out. One query."""
    recent = as_of.day - timedelta(days=TESTS_BACK_DAYS)
    tests = as_of.rows(WaterTest).filter(enclosure__in=places).exclude(place=Place.SOURCE)
    asked = Q(test__occurred_on__gte=recent)
    if is_recent_only:
        tests = tests.filter(occurred_on__gte=recent, occurred_at__gte=as_of.end - timedelta(days=TESTS_BACK_DAYS + 2))
    else:
        asked |= Q(analyte=Analyte.TEMPERATURE)
    rows = (
        Reading.objects.filter(asked, test__in=tests, canonical__isnull=False)
        .order_by("test__occurred_on", "test__occurred_at", "test_id", "position")
        .values_list("test__enclosure_id", "test__occurred_on", "analyte", "canonical", "qualifier")
    )
    temperatures: dict[int, list[TemperatureSeen]] = defaultdict(list)
    signs: dict[int, list[WaterSign]] = defaultdict(list)
    for place, on, analyte, value, qualifier in rows:
        if analyte == Analyte.TEMPERATURE and not qualifier:
            temperatures[place].append(TemperatureSeen(on=on, temp_c=value))
        if on >= recent:
            signs[place].append(WaterSign(on=on, analyte=analyte, value=value, qualifier=qualifier))
    return {
        place: Waters(
            temperatures=tuple(temperatures[place]),
            signs=tuple(signs[place]),
            now_c=_now_c(temperatures[place], as_of=as_of),
        )
        for place in places
    }


def _now_c(seen: list[TemperatureSeen], *, as_of: AsOf) -> float | None:
    lately = [t.temp_c for t in seen if t.on > as_of.day - timedelta(days=NOW_DAYS)]
    return sum(lately) / len(lately) if lately else None


def load_seasons(places: Collection[int], *, as_of: AsOf) -> dict[int, tuple[SeasonSpan, ...]]:
    """By enclosure id. An end after the day is still to come: the spell is open. One query."""
    found: dict[int, list[SeasonSpan]] = defaultdict(list)
    for season in Season.objects.filter(enclosure__in=places, from_on__lte=as_of.day).order_by("from_on", "pk"):
        if as_of.had_been_entered(season.entered_at):
            ended = season.to_on if season.to_on is not None and season.to_on <= as_of.day else None
            found[season.enclosure_id].append(SeasonSpan(kind=season.kind, from_on=season.from_on, to_on=ended))
    return {place: tuple(found[place]) for place in places}


def brumations(seasons: Collection[SeasonSpan]) -> tuple[Span, ...]:
    return tuple(Span(from_on=season.from_on, to_on=season.to_on) for season in seasons if season.kind == "brumation")
