"""Records on their way in: what the cells said, what was computed beside it, what they refer to.

Only what was said is held for each record (a file may have hundreds of thousands); all values with their defaults are put
together when they are checked, and again when they are saved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import models

from enclosures.exports import cells
from enclosures.exports.cells import number_text
from enclosures.exports.table import NOT_GIVEN, Column, Table
from enclosures.imports.checks import Rule, broken_rules
from enclosures.imports.report import Report
from enclosures.imports.rows import Row, cell_text
from enclosures.models import Moment

Identity = tuple[Any, ...]


@dataclass(slots=True, eq=False)
class Part:
    """A line or a reading. `number` None: the next free one. `cells` by column, empty ones left out; `computed` by field."""

    line: int
    number: int | None
    given: frozenset[str]
    cells: dict[str, Any]
    computed: dict[str, Any] = field(default_factory=dict)
    refs: dict[str, Record | int] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class Record:
    """One record. `given` are the columns its file has; `refs` by field, to a record of this import or a primary key.

    `child_model` is set where one table feeds another model too (recipes and units of a food): all its values are `computed`.
    """

    maker: RecordMaker
    line: int
    identity: Identity
    given: frozenset[str]
    cells: dict[str, Any]
    computed: dict[str, Any] = field(default_factory=dict)
    refs: dict[str, Record | int] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    is_good: bool = True
    pk: int | None = None
    child_model: type[models.Model] | None = None

    @property
    def model(self) -> type[models.Model]:
        return self.child_model or self.maker.table.model

    @property
    def moment(self) -> Moment:
        return self.cells["occurred_at"]

    def values(self) -> dict[str, Any]:
        """By model field, with defaults where nothing was said."""
        if self.child_model is not None:
            return self.computed
        return {**self.maker.own.filled(self.cells), **self.computed}

    def part_values(self, part: Part) -> dict[str, Any]:
        return {**self.maker.of_part.filled(part.cells), **part.computed}

    def refuse(self, reason: str, *, column: str, line: int | None = None) -> None:
        self.is_good = False
        self.maker.report.refuse(reason, file=self.maker.file, line=line or self.line, column=column)


class Filler:
    """Turns cells by column into values by model field, with a default for every column."""

    def __init__(self, table: Table, columns: Iterable[Column]) -> None:
        self.columns = {column.name: column for column in columns}
        self.defaults: dict[str, Any] = {}
        self.default_of: dict[str, Any] = {}
        self.fields: dict[str, tuple[str, ...]] = {}
        for column in self.columns.values():
            paths = tuple(path.removeprefix(f"{table.part}__").partition("__")[0] for path in column.fields)
            self.fields[column.name] = paths
            self.default_of[column.name] = default = _default(table, column)
            if column.kind is cells.UNITS:  # rows of another table
                self.fields[column.name] = ()
            elif column.kind is cells.MOMENT:
                self.defaults.update(dict.fromkeys(paths[:3]), **{paths[3]: ""})
            else:
                self.defaults[paths[0]] = default

    def filled(self, said: Mapping[str, Any]) -> dict[str, Any]:
        values = dict(self.defaults)
        for name, value in said.items():
            paths = self.fields[name]
            if len(paths) == 1:
                values[paths[0]] = value
            elif paths:
                at, on, offset_min, precision = paths
                values[at], values[on] = value.at, value.on
                values[offset_min], values[precision] = value.offset_min, value.precision
        return values

    def text(self, name: str, said: Mapping[str, Any]) -> str:
        """The cell as the package would write it: what was said, else its default."""
        value = said.get(name)
        return cell_text(self.columns[name], self.default_of[name] if value is None else value)


class RecordMaker:
    """Makes records of one table from its rows."""

    def __init__(self, table: Table, *, file: str, report: Report) -> None:
        self.table, self.file, self.report = table, file, report
        self.own = Filler(table, [c for c in table.columns if not table.is_of_part(c)])
        parts = [c for c in table.columns if table.is_of_part(c) and c.name != table.number]
        self.of_part = Filler(table, parts)
        self.needed = [c.name for c in parts if c.is_required]

    def identity(self, row: Row) -> Identity:
        return tuple(_plain(row.values.get(name)) for name in self.table.identity)

    def record(self, row: Row) -> Record:
        said = {name: value for name, value in row.values.items() if name in self.own.columns}
        return Record(self, row.line, self.identity(row), row.given, said, is_good=row.is_good)

    def part(self, row: Row) -> Part | None:
        """The row's line or reading; None when the row stands for an entry that has none, or is at fault."""
        said = {name: value for name, value in row.values.items() if name in self.of_part.columns}
        number = row.values.get(self.table.number)
        if not said and _may_have_none(row, number):
            return None
        missing = [name for name in self.needed if name not in said]
        for name in missing:
            self._refuse_row(row, "This must be filled in.", name)
        if number == 0 and not missing:
            self._refuse_row(row, "0 is for an entry without any; number from 1.", self.table.number)
        return Part(row.line, number, row.given, said) if row.is_good else None

    def check(self, record: Record) -> None:
        """The constraints of the models, each broken one named by its column."""
        self._check(record, self.table.model, record.values(), record.line)
        if self.table.part_model is not None:
            for part in record.parts:
                self._check(record, self.table.part_model, record.part_values(part), part.line)

    def _check(self, record: Record, model: type[models.Model], values: Mapping[str, Any], line: int) -> None:
        for rule in broken_rules(model, values):
            named = [name for name in (self._column_of(field_) for field_ in rule.fields) if name]
            column = named[0] if named else ""
            record.refuse(self._range_said(column, rule, values) or rule.sentence, column=column, line=line)

    def _range_said(self, column: str, rule: Rule, values: Mapping[str, Any]) -> str:
        """For a value outside its range the sentence says the value too."""
        limits = self.table.range_of(self.table.by_name[column]) if column and len(rule.fields) == 1 else None
        if limits is None:
            return ""
        return f"{number_text(values[rule.fields[0]])} cannot be; it is {limits.said()}."

    def _column_of(self, name: str) -> str:
        for filler in (self.of_part, self.own):
            for column, fields in filler.fields.items():
                if name in fields:
                    return column
        return ""

    def _refuse_row(self, row: Row, reason: str, column: str) -> None:
        row.is_good = False
        self.report.refuse(reason, file=self.file, line=row.line, column=column)


def single(rows: Iterable[Row], maker: RecordMaker) -> Iterator[Record]:
    """One row a record; the same row twice counts once, another row under the same key is refused."""
    by_identity: dict[Identity, Record] = {}
    for row in rows:
        record = maker.record(row)
        first = by_identity.setdefault(record.identity, record)
        if first is record or not record.is_good:
            continue
        if first.cells == record.cells:
            maker.report.count(maker.table.name).already += 1
            continue
        said = f"{name_of(record)} was already given in line {first.line}, with other values."
        record.refuse(said, column=maker.table.identity[0])
    yield from by_identity.values()


def merged(rows: Iterable[Row], maker: RecordMaker) -> Iterator[Record]:
    """Rows that share an identity are one record; what they say of it must agree, an empty cell says nothing."""
    by_identity: dict[Identity, Record] = {}
    for row in rows:
        record = by_identity.get(maker.identity(row))
        if record is None:
            record = by_identity[maker.identity(row)] = maker.record(row)
        else:
            _agree(record, row)
        if row.is_good and (part := maker.part(row)) is not None:
            _add_part(record, part)
        record.is_good = record.is_good and row.is_good
    yield from by_identity.values()


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


def name_of(record: Record) -> str:
    """What the record is known by, for a sentence: `P1-F, 2024-05-01`."""
    maker = record.maker
    said = [maker.own.text(name, record.cells) for name in maker.table.identity]
    return ", ".join(text or "(empty)" for text in said)


def _agree(record: Record, row: Row) -> None:
    columns = record.maker.own.columns
    for name, value in row.values.items():
        if name not in columns:
            continue
        known = record.cells.setdefault(name, value)
        if known != value:
            row.is_good = False
            said, this = cell_text(columns[name], known), cell_text(columns[name], value)
            reason = f"The rows of one {_kind(record)} disagree: line {record.line} says “{said}”, this one “{this}”."
            record.refuse(reason, column=name, line=row.line)
    if row.given != record.given:
        record.given |= row.given


def _add_part(record: Record, part: Part) -> None:
    for other in record.parts:
        if part.number is not None and part.number == other.number:
            if part.cells != other.cells:
                number = record.maker.table.number
                reason = (
                    f"{number} {part.number} of this entry was already given in line {other.line}, with other values."
                )
                record.refuse(reason, column=number, line=part.line)
            return
    record.parts.append(part)


def _may_have_none(row: Row, number: int | None) -> bool:
    """A meal that was not fed, an entry taken back, or one that says itself that it has no lines."""
    values = row.values
    was_not_fed = bool(values.get("not_fed_reason")) or values.get("outcome") == "not_fed"
    return number == 0 or bool(values.get("withdrawn")) or was_not_fed


def _kind(record: Record) -> str:
    return "entry" if record.maker.table.is_log else record.maker.table.identity[0].replace("_", " ")


def _default(table: Table, column: Column) -> Any:
    """What an empty cell stands for: the column's default, else the model's, else nothing recorded."""
    if column.default is not NOT_GIVEN:
        return column.default
    if column.kind in (cells.MOMENT, cells.UNITS) or "__" in column.path.removeprefix(f"{table.part}__"):
        return None
    found = table.field_of(column)
    if found.has_default() and not found.primary_key:
        return found.get_default()
    return "" if isinstance(found, models.CharField | models.TextField) and not found.null else None


def _plain(value: Any) -> Any:
    return value.at if isinstance(value, Moment) else value
