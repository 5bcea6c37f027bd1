"""Power cuts and the like, health notes, deaths, transfers, seasons."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db import transaction

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.plain import save_described
from enclosures.actions.stale import mark_stale
from enclosures.actions.stays import arrive, end_stay
from enclosures.models import Animal, Death, Enclosure, HealthNote, Moment, Outage, Season, Stay, Transfer


def log_outage(
    *,
    moment: Moment,
    kind: str,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    ended_at: datetime | None = None,
    enclosures: Iterable[Enclosure] = (),
    done: str = "",
) -> Logged:
    """Record an outage beginning at `moment`; no enclosures: all of them. Raises Refused and EntryConflict."""
    codes = " ".join(sorted(place.code for place in enclosures))
    values = {"kind": kind, "ended_at": ended_at, "enclosures": codes, "done": done}
    return record_entry(Outage, entry=entry, moment=moment, values=values, stamp=stamp)


def log_health_note(
    *,
    moment: Moment,
    text: str,
    stamp: Stamp,
    animal: Animal | None = None,
    enclosure: Enclosure | None = None,
    entry: uuid.UUID | str | None = None,
    system: str = "",
    severity: int | None = None,
    vet_seen: bool = False,
    restricted: bool = False,
) -> Logged:
    """Record a note about an animal or all in an enclosure. Raises Refused (about nothing, nothing said) and EntryConflict."""
    if animal is None and enclosure is None:
        raise Refused({"animal": "Say which animal or which enclosure."})
    if not text.strip():
        raise Refused({"text": "Say what was seen."})
    values = {
        "animal": animal,
        "enclosure": enclosure,
        "system": system,
        "severity": severity,
        "text": text,
        "vet_seen": vet_seen,
        "restricted": restricted,
    }
    return record_entry(HealthNote, entry=entry, moment=moment, values=values, stamp=stamp)


def log_death(
    *, animal: Animal, moment: Moment, stamp: Stamp, entry: uuid.UUID | str | None = None, **found: Any
) -> Logged:
    """Record a death as found at `moment`, and end the animal's stay then. `found`: other fields of models.Death.

    Raises Refused (already recorded, future) and EntryConflict.
    """
    with transaction.atomic():
        earlier = Death.objects.filter(animal=animal)
        if entry is not None:
            earlier = earlier.exclude(entry=entry)
        if earlier.exists():
            raise Refused({"animal": f"The death of {animal} is on record already."})
        values = {"animal": animal, **found}
        logged = record_entry(Death, entry=entry, moment=moment, values=values, stamp=stamp)
        if logged.is_new and _has_place(animal):
            end_stay(animal=animal, moment=moment, stamp=stamp, reason="died")
    return logged


def log_transfer(
    *,
    animal: Animal,
    direction: str,
    kind: str,
    moment: Moment,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    to: Enclosure | None = None,
    counterpart: str = "",
    permit: str = "",
    due_back_on: date | None = None,
    terms: str = "",
    stay_reason: str = "",
) -> Logged:
    """Record an animal coming (`to`: the place it gets) or going (its stay ends). Raises Refused and EntryConflict."""
    values = {
        "animal": animal,
        "direction": direction,
        "kind": kind,
        "counterpart": counterpart,
        "permit": permit,
        "due_back_on": due_back_on,
        "terms": terms,
    }
    with transaction.atomic():
        logged = record_entry(Transfer, entry=entry, moment=moment, values=values, stamp=stamp)
        if not logged.is_new:
            return logged
        if direction == "out" and _has_place(animal):
            end_stay(animal=animal, moment=moment, stamp=stamp, reason=f"left: {logged.record.get_kind_display()}")
        elif direction == "in" and to is not None:
            arrive(animal=animal, to=to, moment=moment, stamp=stamp, reason=stay_reason)
    return logged


def begin_season(*, enclosure: Enclosure, kind: str, from_on: date, stamp: Stamp, to_on: date | None = None) -> Season:
    """A spell begins (winter rest, drained, resting). The same start twice is one season; another of its kind still open is refused."""
    with transaction.atomic():
        same = enclosure.seasons.filter(kind=kind, from_on=from_on).first()
        if same is not None and same.to_on == to_on:
            return same
        _refuse_overlap(enclosure, kind=kind, from_on=from_on, to_on=to_on)
        season = Season(
            enclosure=enclosure,
            kind=kind,
            from_on=from_on,
            to_on=to_on,
            entered_at=stamp.entered_at,
            entered_by=stamp.entered_by,
            note=stamp.note,
        )
        save_described(season)
        mark_stale(enclosures=[enclosure])
    return season


def end_season(season: Season, *, to_on: date) -> Season:
    """The spell's last day. Raises Refused when it is before its first."""
    with transaction.atomic():
        save_described(season, changes={"to_on": to_on})
        mark_stale(enclosures=[season.enclosure_id])
    return season


def _refuse_overlap(enclosure: Enclosure, *, kind: str, from_on: date, to_on: date | None) -> None:
    for other in enclosure.seasons.filter(kind=kind):
        begins_in_time = to_on is None or other.from_on <= to_on
        if begins_in_time and (other.to_on is None or other.to_on >= from_on):
            until = f"to {other.to_on}" if other.to_on else "and has not ended"
            raise Refused({"from_on": f"It is {other.get_kind_display()} there from {other.from_on} {until} already."})


def _has_place(animal: Animal) -> bool:
    return Stay.objects.filter(animal=animal, to_at__isnull=True).exists()
