"""Who is where: arrivals, moves, ends. An animal is in one place at a time, to the minute."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Q

from enclosures.actions.entries import Refused, Stamp, refuse_future
from enclosures.actions.plain import save_described
from enclosures.actions.stale import mark_stale
from enclosures.models import Animal, Enclosure, Moment, Stay


def arrive(*, animal: Animal, to: Enclosure, moment: Moment, stamp: Stamp, reason: str = "") -> Stay:
    """An animal without a place gets one. Sent twice it is one stay.

    Raises Refused (it already has a place, overlap, future).
    """
    with transaction.atomic():
        _locked([animal])
        if same := _same_start(animal, to=to, moment=moment):
            return same
        return _opened(animal, to=to, moment=moment, stamp=stamp, reason=reason)


def move_animals(
    *, animals: Iterable[Animal], to: Enclosure, moment: Moment, stamp: Stamp, reason: str = ""
) -> list[Stay]:
    """Each leaves where it is and is in `to` from then on; all of them or none. Sent twice it is one move.

    Raises Refused (already there, before its present stay began, overlap, future).
    """
    chosen = list(animals)
    if not chosen:
        raise Refused({"animals": "Choose at least one animal."})
    stays, left = [], set()
    with transaction.atomic():
        _locked(chosen)
        for animal in chosen:
            if same := _same_start(animal, to=to, moment=moment):
                stays.append(same)
                continue
            present = animal.stays.filter(to_at__isnull=True).select_related("enclosure").first()
            if present is not None:
                if present.enclosure_id == to.pk:
                    raise Refused({"to": f"{animal} is in {to.code} already, since {present.from_on}."})
                _ended(present, moment=moment, stamp=stamp)
                left.add(present.enclosure_id)
            stays.append(_opened(animal, to=to, moment=moment, stamp=stamp, reason=reason))
        mark_stale(enclosures=[*left, to])
    return stays


def end_stay(*, animal: Animal, moment: Moment, stamp: Stamp, reason: str = "") -> Stay:
    """It has no place here from then on (left, died, missing). `reason` is added to the stay's note.

    Raises Refused (it has no place, before its stay began, future).
    """
    with transaction.atomic():
        _locked([animal])
        last = animal.stays.order_by("-from_at").first()
        if last is not None and last.to_at == moment.at:
            return last
        if last is None or last.to_at is not None:
            raise Refused({"animal": f"{animal} has no place to leave."})
        _ended(last, moment=moment, stamp=stamp, reason=reason)
        mark_stale(enclosures=[last.enclosure_id])
    return last


def add_stay(
    *, animal: Animal, enclosure: Enclosure, start: Moment, end: Moment | None, stamp: Stamp, reason: str = ""
) -> Stay:
    """A stay of the past, with its end when it has one (from paper or from a file). Sent twice it is one stay.

    Raises Refused (overlap, end before start, future).
    """
    with transaction.atomic():
        _locked([animal])
        there = animal.stays.filter(from_at=start.at, enclosure=enclosure).first()
        if there is not None and there.to_at == (end.at if end else None):
            return there
        if there is not None and there.to_at is None and end is not None:
            _ended(there, moment=end, stamp=stamp)
            mark_stale(enclosures=[enclosure])
            return there
        stay = _opened(animal, to=enclosure, moment=start, end=end, stamp=stamp, reason=reason)
    return stay


def _locked(animals: list[Animal]) -> None:
    """Holds the animals' rows so that two moves of one animal come one after the other."""
    list(Animal.objects.select_for_update().filter(pk__in=[animal.pk for animal in animals]).order_by("pk"))


def _same_start(animal: Animal, *, to: Enclosure, moment: Moment) -> Stay | None:
    return animal.stays.filter(enclosure=to, from_at=moment.at).first()


def _opened(
    animal: Animal, *, to: Enclosure, moment: Moment, stamp: Stamp, reason: str, end: Moment | None = None
) -> Stay:
    refuse_future(moment=moment, entered_at=stamp.entered_at)
    if end is not None:
        refuse_future(moment=end, entered_at=stamp.entered_at, field="to_at")
    _refuse_overlap(animal, from_at=moment.at, to_at=end.at if end else None)
    stay = Stay(
        animal=animal,
        enclosure=to,
        from_at=moment.at,
        from_on=moment.on,
        from_offset_min=moment.offset_min,
        from_precision=moment.precision,
        reason=reason,
        entered_at=stamp.entered_at,
        entered_by=stamp.entered_by,
        note=stamp.note,
    )
    if end is not None:
        _set_end(stay, moment=end, stamp=stamp)
    save_described(stay)
    mark_stale(enclosures=[to])
    return stay


def _ended(stay: Stay, *, moment: Moment, stamp: Stamp, reason: str = "") -> None:
    refuse_future(moment=moment, entered_at=stamp.entered_at)
    if moment.at < stay.from_at:
        raise Refused({"occurred_at": f"{stay.animal} came to {stay.enclosure.code} only on {stay.from_on}."})
    _set_end(stay, moment=moment, stamp=stamp)
    if reason:
        stay.note = f"{stay.note}\n{reason}".strip()
    save_described(stay)


def _set_end(stay: Stay, *, moment: Moment, stamp: Stamp) -> None:
    stay.to_at, stay.to_on = moment.at, moment.on
    stay.to_offset_min, stay.to_precision = moment.offset_min, moment.precision
    stay.ended_entered_at = stamp.entered_at


def _refuse_overlap(animal: Animal, *, from_at: datetime, to_at: datetime | None) -> None:
    others = animal.stays.filter(Q(to_at__isnull=True) | Q(to_at__gt=from_at))
    if to_at is not None:
        others = others.filter(from_at__lt=to_at)
    other = others.select_related("enclosure").first()
    if other is None and animal.stays.filter(from_at=from_at).exists():
        raise Refused({"occurred_at": f"{animal} has another move at the same time; give the times of both."})
    if other is not None:
        until = f"until {other.to_on}" if other.to_on else "and still is"
        raise Refused(
            {"animal": f"{animal} was in {other.enclosure.code} from {other.from_on} {until}; end that stay first."}
        )
