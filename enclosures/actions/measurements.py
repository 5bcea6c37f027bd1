"""Weighing and measuring animals."""

from __future__ import annotations

import uuid

from django.db import transaction

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.stale import mark_stale
from enclosures.models import Animal, Enclosure, Measurement, Moment


def log_measurement(
    *,
    animal: Animal,
    moment: Moment,
    stamp: Stamp,
    mass_g: float | None = None,
    scl_mm: float | None = None,
    plastron_mm: float | None = None,
    fed_state: str = "",
    method: str = "",
    entry: uuid.UUID | str | None = None,
) -> Logged:
    """Record a weighing. A growing animal changes the feed to come, so its present filters' outlooks are marked stale.

    Raises Refused (nothing measured, out of range, future) and EntryConflict.
    """
    if mass_g is None and scl_mm is None and plastron_mm is None:
        raise Refused({"mass_g": "Enter a mass or a length."})
    with transaction.atomic():
        logged = record_entry(
            Measurement,
            entry=entry,
            moment=moment,
            values={
                "animal": animal,
                "mass_g": mass_g,
                "scl_mm": scl_mm,
                "plastron_mm": plastron_mm,
                "fed_state": fed_state,
                "method": method,
            },
            stamp=stamp,
        )
        if logged.is_new:
            mark_stale(enclosures=places_of(animal))
    return logged


def places_of(animal: Animal) -> list[int]:
    """Ids of the enclosures it is in now."""
    return list(Enclosure.objects.filter(stays__animal=animal, stays__to_at__isnull=True).values_list("pk", flat=True))
