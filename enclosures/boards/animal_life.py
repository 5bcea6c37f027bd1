"""The life of one animal: what it is known by, where it lived, how it grew, what happened to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from enclosures.boards.animals import age_words, animals_visible_to
from enclosures.boards.coming_changes import PlannedLine, planned_for
from enclosures.boards.entry_words import mass_words
from enclosures.boards.photos import PhotoShown, photos_of
from enclosures.boards.treatments import CourseLine, courses_of
from enclosures.estimates.units import recorded_quantity
from enclosures.figures.growth_curve import WeightMark, growth_curve
from enclosures.models import (
    Animal,
    Death,
    HealthNote,
    Mark,
    Measurement,
    Membership,
    Role,
    Season,
    SeasonKind,
    Stay,
    Transfer,
)
from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import ago_words, capital


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
    photos: tuple[PhotoShown, ...] = ()


@dataclass(frozen=True, kw_only=True)
class AnimalLife:
    """`planned` what is decided for it, the nearest first; `chart_words` says what the chart shows besides its own masses."""

    animal: Animal
    age: str
    hatched: str
    place: PlaceLine | None
    marks: list[Mark]
    planned: list[PlannedLine]
    places: list[PlaceLine]
    masses: list[MassLine]
    events: list[EventLine]
    last_mass: str
    last_mass_when: str
    chart: dict[str, Any] | None
    chart_words: str
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


def build_animal_life(
    *, animal: Animal, membership: Membership | None, today: date, zone: ZoneInfo, shows_restricted: bool
) -> AnimalLife:
    """One animal as this person may see it: an outside coordinator sees no other program's animals and no photos."""
    is_inside = membership is not None and membership.role != Role.COORDINATOR
    stays = list(Stay.objects.filter(animal=animal).select_related("enclosure").order_by("-from_at"))
    measured = list(Measurement.objects.filter(animal=animal).oldest_first())
    places = [_place(stay, zone=zone) for stay in stays]
    masses = _masses(measured)
    weights = [(row.occurred_on, row.mass_g) for row in measured if row.mass_g is not None]
    rests = _rests(stays, today=today)
    batch = [] if len(weights) < 2 else _batch_marks(animal, membership, since=weights[0][0])
    return AnimalLife(
        animal=animal,
        age=age_words(hatched_from=animal.hatched_from, hatched_to=animal.hatched_to, today=today),
        hatched=hatched_words(animal),
        place=places[0] if stays and stays[0].to_at is None else None,
        marks=list(animal.marks.order_by("kind", "value")),
        planned=planned_for(animal, today=today),
        places=places,
        masses=masses[::-1],
        events=_events(animal, shows_restricted=shows_restricted, shows_photos=is_inside),
        last_mass=mass_words(weights[-1][1]) if weights else "",
        last_mass_when=ago_words(weights[-1][0], today) if weights else "",
        chart=_chart(animal, measured, batch=batch, rests=rests, today=today),
        chart_words=_chart_words(
            has_batch=bool(batch), has_rests=bool(weights) and any(_touches(rest, weights[0][0]) for rest in rests)
        ),
        courses=courses_of(animal, today=today),
    )


def _chart(
    animal: Animal, measured: list[Measurement], *, batch: list[WeightMark], rests: list[Span], today: date
) -> dict[str, Any] | None:
    """Its own masses in ink; those it hatched or came with in grey behind. One weighing is no curve."""
    own = [row for row in measured if row.mass_g is not None]
    if len(own) < 2:
        return None
    marks = [*batch, *(WeightMark(animal=animal.code, on=row.occurred_on, mass_g=row.mass_g) for row in own)]
    return growth_curve(marks, animal=animal.code, today=today, rests=rests)


def _chart_words(*, has_batch: bool, has_rests: bool) -> str:
    parts = ["thin grey lines: those that hatched with it"] if has_batch else []
    parts += ["shaded: winter rest"] if has_rests else []
    return f"{capital('; '.join(parts))}." if parts else ""


def _rests(stays: list[Stay], *, today: date) -> list[Span]:
    rests = Season.objects.filter(enclosure__in=[stay.enclosure_id for stay in stays], kind=SeasonKind.BRUMATION)
    return [
        Span(from_on=max(rest.from_on, stay.from_on), to_on=rest.to_on)
        for rest in rests
        for stay in stays
        if stay.enclosure_id == rest.enclosure_id
        and (stay.to_on or today) >= rest.from_on
        and stay.from_on <= (rest.to_on or today)
    ]


def _touches(rest: Span, first: date) -> bool:
    return rest.to_on is None or rest.to_on >= first


def _batch_marks(animal: Animal, membership: Membership | None, *, since: date) -> list[WeightMark]:
    """Weighings of its batch, of those this person may see."""
    seen = _batch(animal).filter(pk__in=animals_visible_to(membership).values("pk"))  # type: ignore[attr-defined]
    rows = Measurement.objects.filter(animal__in=seen, mass_g__isnull=False, occurred_on__gte=since).oldest_first()
    return [
        WeightMark(animal=code, on=on, mass_g=mass)
        for code, on, mass in rows.values_list("animal__code", "occurred_on", "mass_g")
    ]


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
                scl=recorded_quantity(row.scl_mm, "mm") if row.scl_mm is not None else "–",
                by=row.entered_by,
            )
        )
    return lines


def _events(animal: Animal, *, shows_restricted: bool, shows_photos: bool) -> list[EventLine]:
    found: list[tuple[date, str, str, str, tuple[PhotoShown, ...]]] = []
    for moved in Transfer.objects.filter(animal=animal):
        way = "from" if moved.direction == "in" else "to"
        words = f"{moved.get_direction_display().capitalize()}: {moved.get_kind_display()}"
        if moved.counterpart:
            words += f" {way} {moved.counterpart}"
        back = f"due back {day_words(moved.due_back_on)}" if moved.due_back_on else ""
        found.append(
            (moved.occurred_on, words, "; ".join(filter(None, (back, moved.terms, moved.note))), moved.entered_by, ())
        )
    for death in Death.objects.filter(animal=animal):
        seen = f"last seen alive {day_words(death.last_alive_on)}" if death.last_alive_on else ""
        note = "; ".join(filter(None, (seen, death.circumstances, death.result, death.note)))
        found.append((death.occurred_on, "Died", note, death.entered_by, ()))
    notes = HealthNote.objects.filter(animal=animal)
    shown = list(notes if shows_restricted else notes.filter(restricted=False))
    photos = photos_of([note.entry for note in shown], place=animal.code) if shows_photos else {}
    for health in shown:
        seen = "seen by the veterinarian" if health.vet_seen else ""
        said = "; ".join(filter(None, (health.system, seen)))
        found.append((health.occurred_on, health.text, said, health.entered_by, photos.get(str(health.entry), ())))
    for egg_of in animal.merged_from.all():
        found.append((egg_of.hatched_from or date.min, f"The same animal as {egg_of.code}", egg_of.note, "", ()))
    found.sort(key=lambda row: row[0], reverse=True)
    return [
        EventLine(
            when=day_words(day) if day != date.min else "",
            iso=day.isoformat(),
            text=text,
            note=note,
            by=by,
            photos=photos_shown,
        )
        for day, text, note, by, photos_shown in found
    ]
