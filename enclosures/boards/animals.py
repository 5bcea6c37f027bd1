"""Who is here: every animal this person may see, by taxon, with place, age as a range, and last mass."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date

from django.db.models import OuterRef, Subquery

from enclosures.boards.entry_words import mass_words
from enclosures.models import Animal, Death, Measurement, Membership, Role, Sex, Stay
from enclosures.verdicts.words import ago_words

MISSING = "missing"


@dataclass(frozen=True, kw_only=True)
class AnimalRow:
    code: str
    sex: str
    age: str
    place_code: str
    place_name: str
    mass: str
    mass_when: str
    program: str
    program_number: str
    state: str


@dataclass(kw_only=True)
class TaxonGroup:
    scientific_name: str
    common_name: str
    count: str = ""
    rows: list[AnimalRow] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class AnimalsBoard:
    groups: list[TaxonGroup]
    total: int
    count: str
    gone: list[AnimalRow]


def animals_visible_to(membership: Membership | None) -> object:
    """An outside coordinator sees the animals of their own program; people inside see all."""
    animals = Animal.objects.filter(merged_into__isnull=True)
    if membership is not None and membership.role == Role.COORDINATOR:
        return animals.of_program(membership.program) if membership.program else animals.none()
    return animals


def males_females_unknown(sexes: list[str]) -> str:
    """2.3.1 = two males, three females, one not known."""
    return f"{sexes.count(Sex.MALE)}.{sexes.count(Sex.FEMALE)}.{sexes.count(Sex.UNKNOWN)}"


def age_words(*, hatched_from: date | None, hatched_to: date | None, today: date) -> str:
    """An age as the range it is: '14 months', '22 to 26 years', 'over 35 years', 'age not known'."""
    if hatched_from is None and hatched_to is None:
        return "age not known"
    if hatched_from is None or hatched_to is None:
        known = hatched_to or hatched_from
        assert known is not None
        bound = "over" if hatched_from is None else "under"
        return f"{bound} {_span((today - known).days)}"
    oldest, youngest = _span((today - hatched_from).days), _span((today - hatched_to).days)
    if oldest == youngest:
        return oldest
    first, unit = youngest.split(" ", 1)
    return f"{first} to {oldest}" if oldest.endswith(unit) else f"{youngest} to {oldest}"


def _span(days: int) -> str:
    days = max(days, 0)
    if days < 21:
        return f"{days} day{'' if days == 1 else 's'}"
    if days < 70:
        return f"{days // 7} weeks"
    if days < 730:
        return f"{round(days / 30.44)} months"
    return f"{int(days / 365.25)} years"


def build_animals(*, membership: Membership | None, today: date) -> AnimalsBoard:
    last = Measurement.objects.filter(animal=OuterRef("pk"), mass_g__isnull=False).newest_first()
    animals = list(
        animals_visible_to(membership)  # type: ignore[attr-defined]
        .with_taxon()
        .annotate(
            last_mass_g=Subquery(last.values("mass_g")[:1]), last_mass_on=Subquery(last.values("occurred_on")[:1])
        )
        .order_by("taxon__common_name", "taxon__scientific_name", "code")
    )
    places = {
        stay.animal_id: stay
        for stay in Stay.objects.open_now().filter(animal__in=animals).select_related("enclosure").order_by("from_at")
    }
    dead = set(Death.objects.filter(animal__in=animals).values_list("animal_id", flat=True))
    groups: dict[int, TaxonGroup] = {}
    sexes: dict[int, list[str]] = defaultdict(list)
    gone: list[AnimalRow] = []
    for animal in animals:
        stay = places.get(animal.pk)
        state = "died" if animal.pk in dead else ("here" if stay else "not here")
        if stay and stay.reason == MISSING:
            state = MISSING
        row = AnimalRow(
            code=animal.code,
            sex=animal.get_sex_display(),
            age=age_words(hatched_from=animal.hatched_from, hatched_to=animal.hatched_to, today=today),
            place_code=stay.enclosure.code if stay else "",
            place_name=stay.enclosure.name if stay else "",
            mass=mass_words(animal.last_mass_g) if animal.last_mass_g else "",
            mass_when=ago_words(animal.last_mass_on, today) if animal.last_mass_on else "",
            program=animal.program,
            program_number=animal.program_number,
            state=state,
        )
        if state in {"died", "not here"}:
            gone.append(row)
            continue
        group = groups.setdefault(
            animal.taxon_id,
            TaxonGroup(scientific_name=animal.taxon.scientific_name, common_name=animal.taxon.common_name),
        )
        group.rows.append(row)
        sexes[animal.taxon_id].append(animal.sex)
    for taxon_id, group in groups.items():
        group.count = males_females_unknown(sexes[taxon_id])
    everyone = [sex for some in sexes.values() for sex in some]
    return AnimalsBoard(
        groups=list(groups.values()), total=len(everyone), count=males_females_unknown(everyone), gone=gone
    )
