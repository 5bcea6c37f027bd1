"""Every enclosure in walking order, quarantine last: who lives there, when it was last fed, how full its void is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta, timezone

from django.db.models import OuterRef, Prefetch, Subquery

from enclosures.boards.entry_words import WEEKDAYS, food_words
from enclosures.boards.stored_outlook import fill_of, stored_outlook
from enclosures.boards.who_lives_here import Residents, residents_by_enclosure
from enclosures.models import Enclosure, EnclosureKind, Feeding, Filter, FilterOutlook, Season
from enclosures.verdicts.words import Band, day_words, fill_words, kept_together, listed

RESTS = {"brumation": "In winter rest", "drained": "Drained", "resting": "Resting, no animals"}


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidLine:
    """Fill of one filter; `code` is empty when the enclosure has only one."""

    code: str
    likely: str
    span: str
    band: Band


@dataclass(frozen=True, kw_only=True, slots=True)
class EnclosureRow:
    code: str
    name: str
    who: str
    n_animals: int
    last_fed: str
    rest: str
    voids: tuple[VoidLine, ...]
    filter_words: str
    is_quarantine: bool
    may_feed: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class EnclosuresBoard:
    on_the_walk: tuple[EnclosureRow, ...]
    quarantine: tuple[EnclosureRow, ...]
    closed: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.on_the_walk or self.quarantine)


def build_enclosures(*, today: date) -> EnclosuresBoard:
    """A constant number of queries."""
    newest = Feeding.objects.filter(enclosure=OuterRef("pk")).newest_first()
    outlooks = FilterOutlook.objects.defer("trace", "answer", "detail")
    places = list(
        Enclosure.objects.in_walking_order()
        .annotate(last_feeding_id=Subquery(newest.values("pk")[:1]))
        .prefetch_related(
            Prefetch("filters", Filter.objects.in_use_on(today).prefetch_related(Prefetch("outlook", outlooks))),
            Prefetch("seasons", Season.objects.covering(today), to_attr="seasons_now"),
        )
    )
    in_use = [place for place in places if place.closed_on is None or place.closed_on > today]
    fed = Feeding.objects.prefetch_related("lines__food_item").in_bulk(
        [place.last_feeding_id for place in in_use if place.last_feeding_id]
    )
    residents = residents_by_enclosure(today=today)
    rows = [_row(place, fed.get(place.last_feeding_id), residents.get(place.pk), today=today) for place in in_use]
    return EnclosuresBoard(
        on_the_walk=tuple(row for row in rows if not row.is_quarantine),
        quarantine=tuple(row for row in rows if row.is_quarantine),
        closed=tuple(str(place) for place in places if place not in in_use),
    )


def _row(place: Enclosure, fed: Feeding | None, residents: Residents | None, *, today: date) -> EnclosureRow:
    season = next((season for season in place.seasons_now if season.kind in RESTS), None)  # type: ignore[attr-defined]
    rest = kept_together(f"{RESTS[season.kind]} since {day_words(season.from_on, today)}") if season else ""
    filters = list(place.filters.all())
    with_void = [each for each in filters if each.kind == "upflow"]
    others = [each.get_kind_display() for each in filters if each.kind != "upflow"]
    who = residents.words if residents else "no animals"
    if residents and residents.n_missing:
        who += f", {residents.n_missing} missing"
    return EnclosureRow(
        code=place.code,
        name=place.name or place.get_kind_display().capitalize(),
        who=who,
        n_animals=residents.count.total if residents else 0,
        last_fed=last_fed_words(fed, today=today),
        rest=rest,
        voids=tuple(_void(each, n=len(with_void)) for each in with_void),
        filter_words=listed(others) if others and not with_void else "",
        is_quarantine=place.kind == EnclosureKind.QUARANTINE,
        may_feed=not rest,  # nobody on record is no reason: a facility may keep its animals elsewhere
    )


def _void(each: Filter, *, n: int) -> VoidLine:
    row = stored_outlook(each)
    fill = fill_words(fill_of(row))
    return VoidLine(
        code=each.code if n > 1 else "",
        likely=kept_together(fill.likely),
        span=kept_together(fill.span),
        band=Band.named(row.band) if row is not None else Band.UNKNOWN,
    )


def last_fed_words(fed: Feeding | None, *, today: date) -> str:
    """'Last fed today 07:52, adult pellet 12 g, all eaten'."""
    if fed is None:
        return "No feeding on record"
    local = fed.occurred_at.astimezone(timezone(timedelta(minutes=fed.utc_offset_min)))
    ago = (today - fed.occurred_on).days
    day = (
        "today"
        if ago == 0
        else "yesterday"
        if ago == 1
        else f"on {WEEKDAYS[fed.occurred_on.weekday()]} {day_words(fed.occurred_on, today)}"
    )
    at = f"{day} {local:%H:%M}" if fed.precision == "minute" else day
    lines = list(fed.lines.all())
    if not lines:
        return kept_together(f"Not fed {at}" + (f": {fed.not_fed_reason}" if fed.not_fed_reason else ""))
    eaten = {line.eaten for line in lines}
    came = f", {eaten.pop()} eaten" if len(eaten) == 1 and "" not in eaten else ""
    return kept_together(f"Last fed {at}: {', '.join(food_words(line) for line in lines)}{came}")
