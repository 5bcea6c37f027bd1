"""The life of one animal: what it is known by, where it lived, how it grew, what happened to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from enclosures.boards.animals import age_words
from enclosures.boards.entry_words import mass_words
from enclosures.boards.treatments import CourseLine, courses_of
from enclosures.figures.growth_curve import WeightMark, growth_curve
from enclosures.models import Animal, Death, HealthNote, Mark, Measurement, Season, SeasonKind, Stay, Transfer
from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import ago_words


@dataclass(frozen=True, kw_only=True)
class PlaceLine:
    code: str
    name: str
    from_words: str
    to_words: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class MassLine:
    when: str
    iso: str
    mass: str
    change: str
    scl: str
    by: str


@dataclass(frozen=True, kw_only=True)
class EventLine:
    when: str
    iso: str
    text: str
    note: str
    by: str


@dataclass(frozen=True, kw_only=True)
class AnimalLife:
    animal: Animal
    age: str
    hatched: str
    place: PlaceLine | None
    marks: list[Mark]
    places: list[PlaceLine]
    masses: list[MassLine]
    events: list[EventLine]
    last_mass: str
    last_mass_when: str
    chart: dict[str, Any] | None
    courses: list[CourseLine]


def day_words(day: date) -> str:
    return f"{day.day} {day:%b} {day.year}"


def hatched_words(animal: Animal) -> str:
    """The day as well as it is known: a day, a range, a bound, or nothing."""
    first, last = animal.hatched_from, animal.hatched_to
    if first is None and last is None:
        return "not known"
    if first is None:
        return f"by {day_words(last)}"
    if last is None:
        return f"from {day_words(first)}"
    return day_words(first) if first == last else f"between {day_words(first)} and {day_words(last)}"


def build_animal_life(*, animal: Animal, today: date, zone: ZoneInfo, shows_restricted: bool) -> AnimalLife:
    stays = list(Stay.objects.filter(animal=animal).select_related("enclosure").order_by("-from_at"))
    measured = list(Measurement.objects.filter(animal=animal).oldest_first())
    places = [_place(stay, zone=zone) for stay in stays]
    masses = _masses(measured)
    weights = [(row.occurred_on, row.mass_g) for row in measured if row.mass_g is not None]
    return AnimalLife(
        animal=animal,
        age=age_words(hatched_from=animal.hatched_from, hatched_to=animal.hatched_to, today=today),
        hatched=hatched_words(animal),
        place=places[0] if stays and stays[0].to_at is None else None,
        marks=list(animal.marks.order_by("kind", "value")),
        places=places,
        masses=masses[::-1],
        events=_events(animal, shows_restricted=shows_restricted),
        last_mass=mass_words(weights[-1][1]) if weights else "",
        last_mass_when=ago_words(weights[-1][0], today) if weights else "",
        chart=_chart(animal, measured, stays=stays, today=today),
        courses=courses_of(animal, today=today),
    )


def _chart(animal: Animal, measured: list[Measurement], *, stays: list[Stay], today: date) -> dict[str, Any] | None:
    """Its own masses in ink; those it hatched or came with in grey behind. One weighing is no curve."""
    own = [row for row in measured if row.mass_g is not None]
    if len(own) < 2:
        return None
    batch = Measurement.objects.filter(animal__in=_batch(animal), mass_g__isnull=False).oldest_first()
    behind = batch.values_list("animal__code", "occurred_on", "mass_g")
    marks = [WeightMark(animal=code, on=on, mass_g=mass) for code, on, mass in behind if on >= own[0].occurred_on]
    marks += [WeightMark(animal=animal.code, on=row.occurred_on, mass_g=row.mass_g) for row in own]
    places = [stay.enclosure_id for stay in stays]
    rests = Season.objects.filter(enclosure__in=places, kind=SeasonKind.BRUMATION)
    spans = [
        Span(from_on=max(rest.from_on, stay.from_on), to_on=rest.to_on)
        for rest in rests
        for stay in stays
        if stay.enclosure_id == rest.enclosure_id
        and (stay.to_on or today) >= rest.from_on
        and stay.from_on <= (rest.to_on or today)
    ]
    return growth_curve(marks, animal=animal.code, today=today, rests=spans)


def _batch(animal: Animal) -> Any:
    """Animals of the same kind that hatched in the same days; for an old animal of unknown day, none."""
    if animal.hatched_from is None or animal.hatched_to is None or (animal.hatched_to - animal.hatched_from).days > 60:
        return Animal.objects.none()
    near = timedelta(days=14)
    return Animal.objects.filter(
        taxon=animal.taxon_id,
        hatched_from__gte=animal.hatched_from - near,
        hatched_to__lte=animal.hatched_to + near,
    ).exclude(pk=animal.pk)


def _place(stay: Stay, *, zone: ZoneInfo) -> PlaceLine:
    def said(at: Any, on: date, precision: str) -> str:
        if precision == "minute" and at is not None:
            return f"{day_words(on)}, {at.astimezone(zone):%H:%M}"
        return day_words(on)

    return PlaceLine(
        code=stay.enclosure.code,
        name=stay.enclosure.name,
        from_words=said(stay.from_at, stay.from_on, stay.from_precision),
        to_words=said(stay.to_at, stay.to_on, stay.to_precision) if stay.to_on else "",
        reason=stay.reason,
    )


def _masses(measured: list[Measurement]) -> list[MassLine]:
    lines, before = [], None
    for row in measured:
        change = ""
        if row.mass_g is not None and before:
            share = round(100 * (row.mass_g / before - 1))
            change = f"{'+' if share > 0 else '−' if share < 0 else '±'}{abs(share)}\u00a0%"
        before = row.mass_g or before
        lines.append(
            MassLine(
                when=day_words(row.occurred_on),
                iso=row.occurred_on.isoformat(),
                mass=mass_words(row.mass_g) if row.mass_g is not None else "–",
                change=change,
                scl=f"{row.scl_mm:.0f}\u00a0mm" if row.scl_mm is not None else "–",
                by=row.entered_by,
            )
        )
    return lines


def _events(animal: Animal, *, shows_restricted: bool) -> list[EventLine]:
    found: list[tuple[date, str, str, str]] = []
    for moved in Transfer.objects.filter(animal=animal):
        way = "from" if moved.direction == "in" else "to"
        words = f"{moved.get_direction_display().capitalize()}: {moved.get_kind_display()}"
        if moved.counterpart:
            words += f" {way} {moved.counterpart}"
        back = f"due back {day_words(moved.due_back_on)}" if moved.due_back_on else ""
        found.append(
            (moved.occurred_on, words, "; ".join(filter(None, (back, moved.terms, moved.note))), moved.entered_by)
        )
    for death in Death.objects.filter(animal=animal):
        seen = f"last seen alive {day_words(death.last_alive_on)}" if death.last_alive_on else ""
        note = "; ".join(filter(None, (seen, death.circumstances, death.result, death.note)))
        found.append((death.occurred_on, "Died", note, death.entered_by))
    notes = HealthNote.objects.filter(animal=animal)
    for health in notes if shows_restricted else notes.filter(restricted=False):
        seen = "seen by the veterinarian" if health.vet_seen else ""
        found.append(
            (health.occurred_on, health.text, "; ".join(filter(None, (health.system, seen))), health.entered_by)
        )
    for egg_of in animal.merged_from.all():
        found.append((egg_of.hatched_from or date.min, f"The same animal as {egg_of.code}", egg_of.note, ""))
    found.sort(key=lambda row: row[0], reverse=True)
    return [
        EventLine(when=day_words(day) if day != date.min else "", iso=day.isoformat(), text=text, note=note, by=by)
        for day, text, note, by in found
    ]
