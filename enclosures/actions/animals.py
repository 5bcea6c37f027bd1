"""Animals as they are described: entering, editing, marking, and merging one that was entered twice."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.measurements import places_of
from enclosures.actions.plain import described, save_described
from enclosures.actions.stale import mark_stale
from enclosures.models import Animal, Mark, Stay, Taxon


def add_animal(*, code: str, taxon: Taxon, **values: Any) -> Animal:
    """Enter an animal; codes are never used again. Raises Refused."""
    return described(Animal, code=code, taxon=taxon, **values)


def edit_animal(animal: Animal, **changes: Any) -> Animal:
    """Change what is said of an animal (not its code). Raises Refused."""
    if changes.get("code", animal.code) != animal.code:
        raise Refused({"code": "A code stays with its animal for ever; add a mark instead."})
    with transaction.atomic():
        save_described(animal, changes=changes)
        mark_stale(enclosures=places_of(animal))
    return animal


def add_mark(*, animal: Animal, kind: str, value: str, **values: Any) -> Mark:
    """One more way to know an animal. The same mark twice is one. Raises Refused (a live animal has it already)."""
    with transaction.atomic():
        same = animal.marks.filter(kind=kind, value=value).first()
        if same is not None:
            return same
        scheme = values.get("scheme", "")
        twin = Mark.objects.filter(kind=kind, value=value, scheme=scheme, removed_on__isnull=True).exclude(
            animal=animal
        )
        if kind != "paint" and twin.exists():
            raise Refused({"value": f"{twin.first().animal} has this {kind} already."})  # type: ignore[union-attr]
        return described(Mark, animal=animal, kind=kind, value=value, **values)


def merge_animals(*, alias: Animal, into: Animal, stamp: Stamp, reason: str) -> Animal:
    """`alias` was the same animal all along: both codes stay, its entries are read under `into`, its own stays count for nothing.

    Raises Refused (itself, already merged, no reason).
    """
    if alias.pk == into.pk:
        raise Refused({"into": "An animal cannot be merged into itself."})
    if alias.merged_into_id or into.merged_into_id:
        raise Refused({"into": f"{alias if alias.merged_into_id else into} is merged already."})
    if not reason.strip():
        raise Refused({"reason": "Say how you know."})
    said = f"Merged into {into} by {stamp.entered_by} on {stamp.entered_at:%Y-%m-%d}: {reason}"
    with transaction.atomic():
        mark_stale(enclosures=places_of(alias))
        for stay in alias.stays.filter(to_at__isnull=True):
            _made_empty(stay, stamp=stamp)
        save_described(alias, changes={"merged_into": into, "note": f"{alias.note}\n{said}".strip()})
    return alias


def unmerge(alias: Animal, *, stamp: Stamp, reason: str) -> Animal:
    """Takes a merge back; its stay is opened again by a move. Raises Refused."""
    if alias.merged_into_id is None:
        raise Refused({"__all__": f"{alias} is not merged."})
    said = f"Parted again by {stamp.entered_by} on {stamp.entered_at:%Y-%m-%d}: {reason}"
    save_described(alias, changes={"merged_into": None, "note": f"{alias.note}\n{said}".strip()})
    return alias


def _made_empty(stay: Stay, *, stamp: Stamp) -> None:
    """A stay of no length: what was known before the merge still reads as it did then."""
    stay.to_at, stay.to_on = stay.from_at, stay.from_on
    stay.to_offset_min, stay.to_precision = stay.from_offset_min, stay.from_precision
    stay.ended_entered_at = stamp.entered_at
    save_described(stay)
