"""Photos on their way in: each row's entry must be known, each file be the one its row names; what is not in the package is said."""

from __future__ import annotations

import hashlib

from enclosures.actions.entries import Refused
from enclosures.actions.photo_images import thumbnail_of, what_is_wrong_with
from enclosures.exports.record_tables import TABLES
from enclosures.exports.table import Table
from enclosures.imports.records import Record
from enclosures.imports.work import Work
from enclosures.models import PHOTO_TABLES, has_photo_file, photo_path, store_file, thumbnail_path

OWNERS: dict[str, Table] = {
    str(table.model._meta.model_name): table for table in TABLES if table.model._meta.model_name in PHOTO_TABLES
}


def check_photos(records: list[Record], work: Work) -> None:
    """The rule of the photos table. A file named and not there, or another than the row says, refuses its row."""
    n_without = 0
    checked: set[str] = set()
    for record in records:
        _find_owner(record, work)
        name, digest = record.cells.pop("file", ""), record.cells["sha256"]
        if not name:
            n_without += not has_photo_file(digest)
        elif digest not in checked and (fault := _fault(record, name, digest, work)):
            record.refuse(fault, column="file")
        else:
            checked.add(digest)
            work.pictures_to_keep[digest] = name
    if n_without:
        n = "1 photo is" if n_without == 1 else f"{n_without} photos are"
        work.report.remarks.append(f"{n} described without a file: file not included in this package.")


def keep_pictures(work: Work) -> None:
    """Write the files that were found right, byte for byte; one that cannot be shown refuses the import after all.

    Raises OSError when the place cannot be written.
    """
    for digest, name in work.pictures_to_keep.items():
        if has_photo_file(digest):
            continue
        data = work.pictures[name]()
        if data is None or hashlib.sha256(data).hexdigest() != digest:
            work.report.refuse("It changed while it was read; take the package again.", file=name)
            return
        try:
            small = thumbnail_of(data)
        except Refused as refused:
            work.report.refuse(str(refused), file=name)
            return
        store_file(thumbnail_path(digest), small)
        store_file(photo_path(digest), data)


def _find_owner(record: Record, work: Work) -> None:
    owner = OWNERS.get(record.cells["table"])
    if owner is None:
        return  # the model's own rule has said so
    identity = (record.cells["of_entry"],)
    if identity in work.named.get(owner.name, {}) or work.is_broken(owner):
        return
    if not work.stored.keys(owner, [identity]):
        reason = f"No entry “{identity[0]}” is known; its row belongs in {owner.name}."
        record.refuse(reason, column="of_entry")


def _fault(record: Record, name: str, digest: str, work: Work) -> str:
    if name not in work.pictures:
        return f"{name} is not in the package; leave the cell empty if the file is not included."
    data = work.pictures[name]()
    if data is None:
        return f"{name} is damaged or larger than a photo is; take the package again."
    if hashlib.sha256(data).hexdigest() != digest:
        return f"{name} is not the file that was packed: its SHA-256 is another. It was changed or damaged."
    said = what_is_wrong_with(data, width_px=record.cells["width_px"], height_px=record.cells["height_px"])
    return f"{name}: {said}" if said else ""
