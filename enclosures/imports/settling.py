"""What is already there: a record that says the same is counted, one that says otherwise is refused."""

from __future__ import annotations

from enclosures.exports.table import Table
from enclosures.imports.records import Record, name_of
from enclosures.imports.work import Work

StoredRow = dict[str, str]
LEFT_OUT_OF_A_PART = {"supersedes", "reason"}  # a package of a part names no entry that is not in it


def settle(table: Table, records: list[Record], work: Work) -> list[Record]:
    """The new ones."""
    keys = work.stored.keys(table, (record.identity for record in records))
    there = [record for record in records if record.identity in keys]
    count = work.report.count(table.name)
    count.new += len(records) - len(there)
    count.already += len(there)
    if there:
        rows = work.stored.rows(table, (record.identity for record in there))
        for record in there:
            identity = tuple(record.maker.own.text(name, record.cells) for name in table.identity)
            if identity in rows:  # else the key was written otherwise (another offset), and is the same all the same
                _compare(table, record, rows[identity])
    return [record for record in records if record.identity not in keys]


def _compare(table: Table, record: Record, stored: list[StoredRow]) -> None:
    """Of a log entry every column given must agree. Of the rest an empty cell says nothing: much is filled in later."""
    filler = record.maker.own
    for name, column in filler.columns.items():
        strictly = table.is_log and name not in LEFT_OUT_OF_A_PART
        if not column.is_said or name not in (record.given if strictly else record.cells):
            continue
        said, here = filler.text(name, record.cells), stored[0][name]
        if said != here:
            record.refuse(_differs(record, here, said), column=name)
            return
    if table.part:
        _compare_parts(table, record, stored)


def _compare_parts(table: Table, record: Record, stored: list[StoredRow]) -> None:
    here = [row for row in stored if row[table.number] != "0"]
    if len(here) != len(record.parts):
        reason = f"{name_of(record)} is already here with {len(here)} rows; the file has {len(record.parts)}."
        record.refuse(reason, column="entry")
        return
    filler = record.maker.of_part
    for part, row in zip(record.parts, here, strict=True):
        for name, column in filler.columns.items():
            said = filler.text(name, part.cells)
            if column.is_said and name in part.given and said != row[name]:
                record.refuse(_differs(record, row[name], said), column=name, line=part.line)
                return


def _differs(record: Record, here: str, said: str) -> str:
    return f"{name_of(record)} is already here with “{here}”; the file says “{said}”."
