"""References: every code, entry or name that a row gives is found in this import or in the database, or refused."""

from __future__ import annotations

from typing import Any

from enclosures.exports.record_tables import BY_NAME
from enclosures.exports.references import Reference, references_of
from enclosures.exports.table import Table
from enclosures.imports.records import Identity, Part, Record, RecordMaker
from enclosures.imports.rows import Row, cell_text
from enclosures.imports.work import Work


def link(table: Table, records: list[Record], work: Work) -> None:
    """Resolve what the records refer to; a record that names what is not there is refused."""
    for record in records:
        if any(field.name == "facility" for field in table.model._meta.fields):
            record.refs["facility"] = work.facility
    for reference in references_of(table.name):
        if reference.target is table:
            _link_to_own(reference, records, work)
        else:
            for record in records:
                for holder in record.parts if reference.is_of_part else [record]:
                    _link_one(reference, record, holder, work)
        if not reference.is_of_part and table.model._meta.get_field(reference.field).one_to_one:
            _refuse_sharing(table, reference, records, work)


def _link_one(reference: Reference, record: Record, holder: Record | Part, work: Work) -> None:
    identity = tuple(holder.cells.get(column.name) for column in reference.columns)
    if None in identity:
        return
    found = _find(reference.target, identity, asked_by=record, work=work)
    if isinstance(found, _Missing):
        said = " from ".join(cell_text(c, v) for c, v in zip(reference.columns, identity, strict=True))
        thing = reference.target.identity[0].replace("_", " ")
        record.refuse(
            f"No {thing} “{said}” is known; its row belongs in {reference.target.name}.",
            column=reference.columns[0].name,
            line=holder.line,
        )
    elif found is not None:
        holder.refs[reference.field] = found


class _Missing:
    """Nowhere to be found."""


def _find(target: Table, identity: Identity, *, asked_by: Record, work: Work) -> Record | int | _Missing | None:
    """The record or key referred to; None when it is in the file but at fault, which is said there."""
    key = work.stored.keys(target, [identity]).get(identity)
    if key is not None:
        return key
    named = work.named.get(target.name, {}).get(identity)
    if named is not None:
        return named if named.is_good else None
    if work.is_broken(target):
        return None
    return _new_taxon(identity[0], asked_by, work) if target.name == "taxa" else _Missing()


def _new_taxon(name: str, asked_by: Record, work: Work) -> Record:
    """A taxon not yet known is made from its name, and listed."""
    maker = RecordMaker(BY_NAME["taxa"], file=asked_by.maker.file, report=work.report)
    taxon = maker.record(Row(asked_by.line, {"taxon": name}, frozenset({"taxon"})))
    work.named.setdefault("taxa", {})[taxon.identity] = taxon
    work.records.setdefault("taxa", []).append(taxon)
    work.report.count("taxa").new += 1
    work.report.new_taxa.append(name)
    return taxon


def _link_to_own(reference: Reference, records: list[Record], work: Work) -> None:
    """A correction names the entry it replaces, a merged animal the one that stays: in this import or already stored."""
    table, column = reference.target, reference.columns[0].name
    said = {(record.cells[column],) for record in records if column in record.cells}
    stored, named = work.stored.keys(table, said), work.named[table.name]
    for record in records:
        if column not in record.cells:
            continue
        identity = (record.cells[column],)
        found: Record | int | None = stored.get(identity) or named.get(identity)
        if found is None:
            record.refuse(
                f"“{identity[0]}” is neither in {table.name} of this package nor already stored.", column=column
            )
        elif isinstance(found, int) or found.is_good:
            record.refs[reference.field] = found
        else:
            record.is_good = False  # what it names is at fault, which is said there
    for record in records:
        if _leads_to_itself(record, reference.field):
            record.refuse("The rows name each other in a circle.", column=column)


def _leads_to_itself(record: Record, field: str) -> bool:
    seen: set[int] = set()
    here: Any = record
    while isinstance(here, Record):
        if id(here) in seen:
            return True
        seen.add(id(here))
        here = here.refs.get(field)
    return False


def _refuse_sharing(table: Table, reference: Reference, records: list[Record], work: Work) -> None:
    """What only one row may refer to: an entry is put right once, an animal hatches from one egg."""
    here = work.stored.keys(table, (record.identity for record in records))
    first: dict[Record | int, Record] = {}
    for record in records:
        target = record.refs.get(reference.field)
        if target is None or record.identity in here:
            continue
        other = first.setdefault(target, record)
        if other is not record:
            _refuse_second(record, reference, by=f"line {other.line}")
    stored = [target for target in first if isinstance(target, int)]
    for key in work.stored.taken(table.model, reference.field, stored):
        _refuse_second(first[key], reference, by="a row already stored")


def _refuse_second(record: Record, reference: Reference, *, by: str) -> None:
    column = reference.columns[0].name
    if reference.field == "supersedes":
        reason = f"The entry it supersedes was already put right by {by}; name the newest version."
    else:
        reason = f"“{record.cells[column]}” was already named by {by}."
    record.refuse(reason, column=column)
