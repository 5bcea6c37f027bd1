"""What is decided for days ahead, as it was known on a day: who moves where, and the seasons whose dates are set.

A plan counts while it is neither done nor called off. A day that has passed without the move being ticked off counts as "tomorrow" for a
month; then it no longer counts, and that is said. Animals that are where they were to go are not counted again, ticked off or not.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from statistics import fmean, median
from typing import Any

from django.db.models import Prefetch, Q

from enclosures.evidence.known import AsOf
from enclosures.evidence.stock import Residents, coming_words, hatched_on, known_stay, weights_of
from enclosures.forecast.inputs import Comer, PlannedMove, SeasonSpan, WeightSeen
from enclosures.forecast.sureness import day_words
from enclosures.models import Animal, Enclosure, Measurement, PlannedMover, PlannedSeason, Season, Stay
from enclosures.models import PlannedMove as MoveRow
from enclosures.verdicts.signs import StockEvent
from enclosures.verdicts.words import count_words, listed

LATE_DAYS = 30  # a plan overdue for longer was forgotten, not put off: common practice, no source
NAMED = 3  # so many are named in a sentence; more are counted
LIKE_AGE = (0.6, 1.6)  # weighings at so many times an animal's age tell what it weighs
FIRST_WINTER_DAYS = 140  # a winter rest planned without an end, where none is on record: common practice, no source
SEASON_WORDS = {"brumation": "winter rest", "drained": "drained spell", "resting": "rest"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Ahead:
    """What is ahead of one enclosure. `weights` of those who are to come; `doubts` are sentences about plans that no longer count."""

    moves: tuple[PlannedMove, ...] = ()
    seasons: tuple[SeasonSpan, ...] = ()
    events: tuple[StockEvent, ...] = ()
    weights: tuple[WeightSeen, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanRows:
    """Plans that touch some enclosures, and all the enclosures they touch, by id."""

    moves: tuple[MoveRow, ...] = ()
    seasons: tuple[PlannedSeason, ...] = ()
    later: tuple[Season, ...] = ()  # seasons written down with a beginning still to come
    places: Mapping[int, Enclosure] = field(default_factory=dict)


def load_plan_rows(places: Collection[Enclosure], *, as_of: AsOf) -> PlanRows:
    """Three queries, four where anybody is named."""
    ids = [place.pk for place in places]
    movers = Prefetch(
        "movers",
        PlannedMover.objects.select_related("animal__taxon", "animal__merged_into__taxon").order_by("position"),
    )
    moves = (
        as_of.rows(MoveRow).ahead()
        .filter(Q(from_enclosure__in=ids) | Q(to_enclosure__in=ids))
        .select_related("from_enclosure__facility", "to_enclosure__facility", "taxon")
        .prefetch_related(movers)
        .order_by("planned_on", "pk")
    )  # fmt: skip
    seasons = as_of.rows(PlannedSeason).filter(enclosure__in=ids).exclude(state="off").order_by("from_on", "pk")
    later = Season.objects.filter(enclosure__in=ids, from_on__gt=as_of.day, entered_at__lt=as_of.end)
    rows = tuple(moves)
    touched = {place.pk: place for place in places}
    for row in rows:
        for place in (row.from_enclosure, row.to_enclosure):
            if place is not None:
                touched.setdefault(place.pk, place)
    return PlanRows(moves=rows, seasons=tuple(seasons), later=tuple(later.order_by("from_on", "pk")), places=touched)


def aheads(
    rows: PlanRows,
    residents: Mapping[int, Residents],
    seasons: Mapping[int, tuple[SeasonSpan, ...]],
    *,
    as_of: AsOf,
) -> dict[int, Ahead]:
    """By enclosure id, for every enclosure with residents given. Up to three queries, however many plans there are."""
    parties, doubts = _parties(rows, residents, as_of=as_of)
    weights = _weights_of_comers(parties, residents, as_of=as_of)
    usual = _usual_masses(parties, weights, as_of=as_of)
    found = {}
    for pk, place in rows.places.items():
        spans, season_doubts = _seasons(pk, rows, seasons.get(pk, ()), as_of=as_of)
        to_come = [party for party in parties if party.row.to_enclosure_id == pk and party.movers]
        moves = [_move(party, pk, usual=usual) for party in parties if party.touches(pk)]
        codes = {mover.code for party in to_come for mover in party.movers}
        found[pk] = Ahead(
            moves=tuple(moves),
            seasons=spans,
            events=_events(to_come, place),
            weights=tuple(seen for code in sorted(codes) for seen in weights.get(code, ())),
            doubts=(*doubts.get(pk, ()), *season_doubts),
        )
    return found


@dataclass(frozen=True, kw_only=True, slots=True)
class _Mover:
    """One that is to move; without a record where only a number is planned."""

    code: str
    animal: Animal | None
    is_at_source: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class _Party:
    """Those of one plan who have not moved yet, and the day they are counted from."""

    row: MoveRow
    on: date
    movers: tuple[_Mover, ...]

    def touches(self, place: int) -> bool:
        """It changes something there: somebody is to come, or somebody who lives there is to go."""
        if self.row.to_enclosure_id == place:
            return bool(self.movers)
        return self.row.from_enclosure_id == place and (
            any(mover.is_at_source for mover in self.movers) or not self.row.movers.all()
        )


def _parties(
    rows: PlanRows, residents: Mapping[int, Residents], *, as_of: AsOf
) -> tuple[list[_Party], dict[int, list[str]]]:
    """Plan after plan in the order of their days, so that one who is to move twice is where the first move leaves it."""
    where = _whereabouts(rows.moves, residents, as_of=as_of)
    parties, doubts = [], defaultdict(list)
    for row in rows.moves:
        movers = _named(row, where) if row.movers.all() else _by_number(row, residents, where)
        if not movers:
            continue  # all of them are there
        if (as_of.day - row.planned_on).days > LATE_DAYS:
            for pk in {row.from_enclosure_id, row.to_enclosure_id} - {None}:
                what = move_words(row, pk, n=len(movers), names=[mover.code for mover in movers])
                doubts[pk].append(
                    f"Planned for about {day_words(row.planned_on)} and neither ticked off nor called off: {what}. "
                    "It is no longer counted."
                )
            continue
        parties.append(_Party(row=row, on=max(row.planned_on, as_of.day + timedelta(days=1)), movers=tuple(movers)))
        for mover in movers:
            if mover.animal is not None:
                where[mover.animal.pk] = row.to_enclosure_id
    return parties, doubts


def _whereabouts(moves: Iterable[MoveRow], residents: Mapping[int, Residents], *, as_of: AsOf) -> dict[int, int | None]:
    """Enclosure by animal id; one that is nowhere is not in it."""
    where: dict[int, int | None] = {a.pk: pk for pk, those in residents.items() for a in those.present}
    others = {animal.pk for row in moves for animal in _movers(row)} - set(where)
    if others:
        rows = Stay.objects.known_at(as_of.end).filter(animal__in=others, from_on__lte=as_of.day)
        for stay in rows.select_related("animal").order_by("from_at", "pk"):
            known = known_stay(stay, as_of=as_of)
            if known is not None and known.to_on is None:
                where[stay.animal_id] = stay.enclosure_id
    return where


def _movers(row: MoveRow) -> list[Animal]:
    """Those named, each as the one it was found to be."""
    named = (mover.animal.merged_into or mover.animal for mover in row.movers.all())
    return list({animal.pk: animal for animal in named}.values())


def _named(row: MoveRow, where: Mapping[int, int | None]) -> list[_Mover]:
    """Those named who are not there yet; one that died or left meanwhile goes nowhere."""
    start, end = row.from_enclosure_id, row.to_enclosure_id
    found = []
    for animal in _movers(row):
        at = where.get(animal.pk)
        is_here = at is not None
        if (end is not None and at == end) or (not is_here and start is not None):
            continue
        is_at_source = start is not None and at == start
        found.append(_Mover(code=animal.code, animal=animal, is_at_source=is_at_source))
    return found


def _by_number(row: MoveRow, residents: Mapping[int, Residents], where: Mapping[int, int | None]) -> list[_Mover]:
    """Of those at the source the heaviest, for it is size that lets one go; from outside, or where nobody is on record, just so many."""
    n = (row.n_animals or 0) - _n_moved_since(row, residents)
    if n <= 0:
        return []
    source = residents.get(row.from_enclosure_id) if row.from_enclosure_id is not None else None
    if source is None or not source.stays:
        return [_Mover(code=f"{row.entry}#{k}", animal=None, is_at_source=False) for k in range(1, n + 1)]
    there = [
        animal
        for animal in source.present
        if where.get(animal.pk) == row.from_enclosure_id and row.taxon_id in (None, animal.taxon_id)
    ]
    there.sort(key=lambda animal: (-source.latest_g.get(animal.pk, 0.0), animal.code))
    return [_Mover(code=animal.code, animal=animal, is_at_source=True) for animal in there[:n]]


def _n_moved_since(row: MoveRow, residents: Mapping[int, Residents]) -> int:
    """How many have gone that way since it was decided, though nobody ticked it off."""
    source = residents.get(row.from_enclosure_id) if row.from_enclosure_id is not None else None
    end = residents.get(row.to_enclosure_id) if row.to_enclosure_id is not None else None
    since, was_there = row.occurred_on, set()
    if source is not None:
        was_there = {s.animal.pk for s in source.stays if s.to_on is not None and s.to_on >= since}
    if end is None:
        return len(was_there)
    came = {s.animal.pk for s in end.stays if s.from_on >= since}
    return len(came if source is None else came & was_there)


def _move(party: _Party, place: int, *, usual: Mapping[str, float]) -> PlannedMove:
    row, day = party.row, party.row.planned_on
    names = [mover.code for mover in party.movers if mover.animal is not None]
    is_to_come = row.to_enclosure_id == place
    return PlannedMove(
        on=party.on,
        text=move_words(row, place, n=len(party.movers), names=names),
        leaving=() if is_to_come else tuple(mover.code for mover in party.movers if mover.is_at_source),
        coming=tuple(_comer(mover, row, usual) for mover in party.movers) if is_to_come else (),
        is_for_good=row.to_enclosure_id is None,
        planned_for=day if party.on - day > timedelta(days=1) else None,
    )


def _comer(mover: _Mover, row: MoveRow, usual: Mapping[str, float]) -> Comer:
    start, end = row.from_enclosure, row.to_enclosure
    lives_at_c = None
    if start is not None and end is not None and start.indoor != end.indoor:
        facility = start.facility
        lives_at_c = facility.room_temp_c if start.indoor else fmean(facility.monthly_temp_c)
    return Comer(
        animal=mover.code,
        hatched_on=hatched_on(mover.animal) if mover.animal is not None else None,
        usual_mass_g=row.mass_g if row.mass_g is not None else usual.get(mover.code),
        lives_at_c=lives_at_c,
    )


def move_words(row: MoveRow, place: int, *, n: int, names: Sequence[str]) -> str:
    """'ten animals move to P3', 'BL-133 comes from T2', said at one end of the move."""
    s = "s" if n == 1 else ""
    who = listed(names) if names and len(names) == n <= NAMED else f"{count_words(n)} animal{'' if n == 1 else 's'}"
    if row.to_enclosure_id == place:
        return f"{who} come{s} from {row.from_enclosure.code}" if row.from_enclosure is not None else f"{who} arrive{s}"
    return f"{who} move{s} to {row.to_enclosure.code}" if row.to_enclosure is not None else f"{who} leave{s}"


def _events(to_come: Sequence[_Party], place: Enclosure) -> tuple[StockEvent, ...]:
    """Arrivals close the working window: one event for each kind and day."""
    found = []
    for party in to_come:
        kinds: dict[Any, int] = defaultdict(int)
        for mover in party.movers:
            kinds[mover.animal.taxon if mover.animal is not None else party.row.taxon] += 1
        for kind, n in kinds.items():
            found.append(StockEvent(on=party.on, text=coming_words(kind, n=n, indoor=place.indoor)))
    return tuple(sorted(found, key=lambda event: (event.on, event.text)))


def with_planned_events(expected: Iterable[StockEvent], planned: Sequence[StockEvent]) -> tuple[StockEvent, ...]:
    """What is planned stands for what the years before would say of the same arrival."""
    said = {event.text for event in planned}
    kept = [event for event in expected if event.text not in said]
    return tuple(sorted([*kept, *planned], key=lambda event: (event.on, event.text)))


def _weights_of_comers(
    parties: Iterable[_Party], residents: Mapping[int, Residents], *, as_of: AsOf
) -> dict[str, tuple[WeightSeen, ...]]:
    """All weighings of those who are to move, by code: most are loaded with the place they live in."""
    seen: dict[str, list[WeightSeen]] = defaultdict(list)
    known: set[str] = set()
    for those in residents.values():
        mine = {stay.animal.code for stay in those.stays} - known
        for weight in those.weights:
            if weight.animal in mine:
                seen[weight.animal].append(weight)
        known |= mine
    movers = {m.animal.pk: m.animal.code for party in parties for m in party.movers if m.animal is not None}
    missing = {pk: code for pk, code in movers.items() if code not in known}
    if missing:
        for pk, weights in weights_of(missing, as_of=as_of).items():
            seen[missing[pk]] = weights
    return {code: tuple(seen[code]) for code in movers.values() if seen[code]}


def _usual_masses(parties: Iterable[_Party], weights: Mapping[str, Any], *, as_of: AsOf) -> dict[str, float]:
    """What an animal nobody has weighed will weigh: the median of its kind here at about its age, or of all where its age is not known."""
    asked = [
        (mover, party)
        for party in parties
        for mover in party.movers
        if party.row.mass_g is None and mover.code not in weights
    ]
    taxa = {_taxon_id(mover, party) for mover, party in asked} - {None}
    if not taxa:
        return {}
    rows = as_of.rows(Measurement).filter(animal__taxon__in=taxa, mass_g__isnull=False).select_related("animal")
    known: dict[int, list[tuple[int | None, float]]] = defaultdict(list)
    for row in rows.order_by("pk"):
        known[row.animal.taxon_id].append((_age_days(row.animal, row.occurred_on), row.mass_g))
    usual = {}
    for mover, party in asked:
        weighed = known.get(_taxon_id(mover, party) or 0, [])
        age = _age_days(mover.animal, party.on) if mover.animal is not None else None
        if age is not None:
            low, high = (share * age for share in LIKE_AGE)
            weighed = [(at, mass) for at, mass in weighed if at is not None and low <= at <= high]
        if weighed:
            usual[mover.code] = median(mass for _, mass in weighed)
    return usual


def _taxon_id(mover: _Mover, party: _Party) -> int | None:
    return mover.animal.taxon_id if mover.animal is not None else party.row.taxon_id


def _age_days(animal: Animal, day: date) -> int | None:
    hatched = hatched_on(animal)
    return None if hatched is None else (day - hatched).days


def _seasons(
    place: int, rows: PlanRows, on_record: Sequence[SeasonSpan], *, as_of: AsOf
) -> tuple[tuple[SeasonSpan, ...], list[str]]:
    """Seasons still to begin, and the planned end of those that have. One that nobody says has begun counts for a month."""
    found = [_span(s.kind, s.from_on, s.to_on, on_record) for s in rows.later if s.enclosure_id == place]
    doubts = []
    for row in rows.seasons:
        is_over = row.to_on is not None and row.to_on <= as_of.day
        if row.enclosure_id != place or is_over:
            continue
        has_begun = any(s.kind == row.kind and s.to_on is None for s in on_record)
        if row.state == "done" or (has_begun and row.from_on <= as_of.day):
            if has_begun and row.to_on is not None:
                found.append(SeasonSpan(kind=row.kind, from_on=min(row.from_on, as_of.day), to_on=row.to_on))  # type: ignore[arg-type]
        elif (as_of.day - row.from_on).days <= LATE_DAYS:
            found.append(_span(row.kind, row.from_on, row.to_on, on_record))
        else:
            doubts.append(
                f"The {SEASON_WORDS[row.kind]} planned from about {day_words(row.from_on)} was never said to have begun: "
                "it is no longer counted."
            )
    return tuple(sorted(found, key=lambda span: (span.from_on, span.kind))), doubts


def _span(kind: str, from_on: date, to_on: date | None, on_record: Sequence[SeasonSpan]) -> SeasonSpan:
    """A winter rest has an end: without one it lasts as long as the last did."""
    if to_on is None and kind == "brumation":
        past = [(s.to_on - s.from_on).days for s in on_record if s.kind == kind and s.to_on is not None]
        to_on = from_on + timedelta(days=past[-1] if past else FIRST_WINTER_DAYS)
    return SeasonSpan(kind=kind, from_on=from_on, to_on=to_on)  # type: ignore[arg-type]
