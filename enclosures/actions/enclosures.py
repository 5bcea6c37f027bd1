"""Enclosures as they are described."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction

from enclosures.actions.entries import Refused
from enclosures.actions.plain import described, save_described
from enclosures.actions.stale import mark_stale
from enclosures.models import Enclosure, Facility


def create_enclosure(
    *, facility: Facility, code: str, kind: str, indoor: bool, water_volume_l: float, **values: Any
) -> Enclosure:
    """Raises Refused (code taken, out of range)."""
    return described(
        Enclosure, facility=facility, code=code, kind=kind, indoor=indoor, water_volume_l=water_volume_l, **values
    )


def edit_enclosure(enclosure: Enclosure, **changes: Any) -> Enclosure:
    """Raises Refused."""
    with transaction.atomic():
        save_described(enclosure, changes=changes)
        mark_stale(enclosures=[enclosure])
    return enclosure


def close_enclosure(enclosure: Enclosure, *, on: date) -> Enclosure:
    """Out of use from that day; what happened there stays. Raises Refused while animals live in it."""
    animals = list(enclosure.stays.open_now().select_related("animal"))
    if animals:
        codes = ", ".join(sorted(stay.animal.code for stay in animals))
        raise Refused({"closed_on": f"Move its animals first: {codes}."})
    return edit_enclosure(enclosure, closed_on=on)
