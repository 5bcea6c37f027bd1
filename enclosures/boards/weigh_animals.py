"""What the weighing form offers: who lives here, and what each weighed last."""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.boards.log_feeding import animals_of
from enclosures.models import Animal, Enclosure, Measurement


@dataclass(frozen=True, kw_only=True, slots=True)
class WeighingBoard:
    """`lasts` maps an animal's pk to its last weighing."""

    animals: tuple[Animal, ...]
    lasts: dict[int, Measurement]


def build_weigh_animals(*, enclosure: Enclosure) -> WeighingBoard:
    """Two queries."""
    animals = animals_of(enclosure)
    return WeighingBoard(animals=animals, lasts=last_weighings(animals))


def last_weighings(animals: tuple[Animal, ...], *, before: Measurement | None = None) -> dict[int, Measurement]:
    """The newest weighing of each; with `before`, the newest earlier than the one being corrected."""
    rows = Measurement.objects.filter(animal__in=animals, mass_g__isnull=False).oldest_first()
    if before is not None:
        rows = rows.filter(occurred_at__lte=before.occurred_at).exclude(pk=before.pk)
    return {row.animal_id: row for row in rows}
