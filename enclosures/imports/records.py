"""Records as they will be saved: values by field, references to other records, parts, and what was said in text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import models

from enclosures.exports import cells
from enclosures.exports.table import Column, Table
from enclosures.imports.checks import broken_rules
from enclosures.imports.report import Report
from enclosures.imports.rows import Row, cell_text, value_or_default
from enclosures.models import Moment

Identity = tuple[Any, ...]


@dataclass(slots=True)
class Part:
    """A line or a reading: its number (None: the next free one), values by field of the part's model, the cells as said."""

    line: int
    number: int | None
    values: dict[str, Any]
    refs: dict[str, Record | int]
    cells: dict[str, Any]


@dataclass(slots=True, eq=False)
class Record:
    """One record to save. `cells` are the values by column, as given; `refs` its references, resolved to a record or a key."""

    model: type[models.Model]
    file: str
    line: int
    identity: Identity
    values: dict[str, Any]
    cells: dict[str, Any]
    refs: dict[str, Record | int] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    is_good: bool = True
    saved: models.Model | None = None

    @property
    def moment(self) -> Moment:
        return self.cells["occurred_at"]


class RecordMaker:
    """Makes records of one table from its rows."""

    def __init__(self, table: Table, *, file: str, report: Report) -> None:
        self.table, self.file, self.report = table, file, report
        self.own = [c for c in table.columns if not table.is_of_part(c)]
        self.of_part = [c for c in table.columns if table.is_of_part(c) and c.name != table.number]
        self.part_model = table.part_model

    def identity(self, row: Row) -> Identity:
        return tuple(_plain(row.values.get(name)) for name in self.table.identity)

    def record(self, row: Row) -> Record:
        record = Record(
            model=self.table.model,
            file=self.file,
            line=row.line,
            identity=self.identity(row),
            values={},
            cells={c.name: row.values[c.name] for c in self.own if c.name in row.values},
            is_good=row.is_good,
        )
        return record

    def fill(self, record: Record) -> None:
        """Set the values by field, defaults where nothing was said."""
        for column in self.own:
            value = value_or_default(self.table, column, record.cells.get(column.name))
            put(record.values, column, column.fields, value)

    def part(self, row: Row) -> Part | None:
        """The row's line or reading; None when the row stands for an entry that has none, or is at fault."""
        said = {c.name: row.values.get(c.name) for c in self.of_part}
        given = {c.name: row.values[c.name] for c in self.of_part if c.name in row.values}
        number = row.values.get(self.table.number)
        if all(value is None for value in said.values()) and self._may_have_none(row, number):
            return None
        missing = [c.name for c in self.of_part if c.is_required and said[c.name] is None]
        for name in missing:
            self.report.refuse("This must be filled in.", file=self.file, line=row.line, column=name)
        if number == 0:
            self.report.refuse(
                "0 is for an entry without any; number from 1.", file=self.file, line=row.line, column=self.table.number
            )
        if missing or number == 0:
            row.is_good = False
            return None
        part = Part(row.line, number, {}, {}, given)
        for column in self.of_part:
            path = column.path.removeprefix(f"{self.table.part}__")
            put(part.values, column, (path,), value_or_default(self.table, column, said[column.name]))
        return part

    def _may_have_none(self, row: Row, number: int | None) -> bool:
        """A meal that was not fed, an entry taken back, or one that says itself that it has no lines."""
        values = row.values
        was_not_fed = bool(values.get("not_fed_reason")) or values.get("outcome") == "not_fed"
        return number == 0 or bool(values.get("withdrawn")) or was_not_fed

    def check(self, record: Record) -> None:
        """The constraints of the models, each broken one named by its column."""
        self._check(record, self.table.model, record.values, record.line)
        if self.part_model is not None:
            for part in record.parts:
                self._check(record, self.part_model, part.values, part.line)

    def _check(self, record: Record, model: type[models.Model], values: Mapping[str, Any], line: int) -> None:
        for rule in broken_rules(model, values):
            record.is_good = False
            named = [name for name in (self._column_named(field_) for field_ in rule.fields) if name]
            self.report.refuse(rule.sentence, file=self.file, line=line, column=named[0] if named else "")

    def _column_named(self, name: str) -> str:
        for column in self.table.columns:
            if column.path.removeprefix(f"{self.table.part}__").partition("__")[0] == name:
                return column.name
        return ""


def put(values: dict[str, Any], column: Column, paths: Sequence[str], value: Any) -> None:
    """A column's value into its model fields; a reference under the field that refers."""
    if column.kind is cells.MOMENT:
        if value is None:
            at_, on_, offset_, precision_ = paths
            values.update({at_: None, on_: None, offset_: None, precision_: ""})
        else:
            values.update(zip(paths, (value.at, value.on, value.offset_min, value.precision), strict=True))
    else:
        values[paths[0].partition("__")[0]] = value


def merged(records: Iterable[Row], maker: RecordMaker) -> Iterator[Record]:
    """Rows that share an identity are one record; what they say of it must agree, an empty cell says nothing."""
    by_identity: dict[Identity, Record] = {}
    for row in records:
        record = by_identity.get(maker.identity(row))
        if record is None:
            record = by_identity[maker.identity(row)] = maker.record(row)
        else:
            _agree(record, row, maker)
        if row.is_good and (part := maker.part(row)) is not None:
            _add_part(record, part, maker)
        record.is_good = record.is_good and row.is_good
    yield from by_identity.values()


def _agree(record: Record, row: Row, maker: RecordMaker) -> None:
    for column in maker.own:
        value = row.values.get(column.name)
        if value is None:
            continue
        known = record.cells.get(column.name)
        if known is None:
            record.cells[column.name] = value
        elif known != value:
            row.is_good = False
            maker.report.refuse(
                f"The rows of one entry disagree: line {record.line} says “{cell_text(column, known)}”, "
                f"this one “{cell_text(column, value)}”.",
                file=maker.file,
                line=row.line,
                column=column.name,
            )


def _add_part(record: Record, part: Part, maker: RecordMaker) -> None:
    for other in record.parts:
        if part.number is not None and part.number == other.number:
            if part.cells != other.cells:
                record.is_good = False
                maker.report.refuse(
                    f"{maker.table.number} {part.number} of this entry was already given in line {other.line}, otherwise.",
                    file=maker.file,
                    line=part.line,
                    column=maker.table.number,
                )
            return
    record.parts.append(part)


def number_parts(record: Record) -> None:
    """Give the parts their places: as given, else the next free one in the order of the file."""
    taken = {part.number for part in record.parts if part.number is not None}
    free = 1
    for part in record.parts:
        if part.number is None:
            while free in taken:
                free += 1
            part.number = free
            taken.add(free)
    record.parts.sort(key=lambda part: part.number or 0)


def _plain(value: Any) -> Any:
    return value.at if isinstance(value, Moment) else value
