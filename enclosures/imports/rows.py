"""From a sheet's text to values: every cell read by its column's kind, every fault named with its line and column."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import connection, models

from enclosures.actions.entries import CLOCKS_MAY_DIFFER
from enclosures.exports import cells
from enclosures.exports.cells import CellError
from enclosures.exports.table import Column, Table
from enclosures.imports.report import Report
from enclosures.models import Moment

NAMESPACE = uuid.UUID("c2b1c7a4-3c0f-5d0e-9c55-1d5a3f7e6b90")


@dataclass
class Sheet:
    """One table as it was given. `columns` is its header; None where rows are mappings that need not agree.

    `is_broken`: the file could not be read, so nothing can be said of what it names.
    """

    table: Table
    file: str
    columns: list[str] | None
    rows: Iterable[tuple[int, Mapping[str, str]]]
    is_broken: bool = False


@dataclass(slots=True)
class Row:
    """A row that was read: values by column name, without the empty cells; `given` are the columns there were."""

    line: int
    values: dict[str, Any]
    given: frozenset[str]
    is_good: bool = True


class RowReader:
    """Reads the rows of one table. `zone` gives times without offset their meaning; `now` says what is still to come."""

    def __init__(self, sheet: Sheet, *, zone: ZoneInfo, now: datetime, report: Report) -> None:
        self.table, self.file, self.report = sheet.table, sheet.file, report
        self.sheet, self.zone = sheet, zone
        self.latest = now + CLOCKS_MAY_DIFFER
        self.today = now.astimezone(zone).date()
        self.readers = {column.name: self._reader(column) for column in self.table.columns}
        self.given: dict[tuple[str, ...], frozenset[str]] = {}
        self.required = [c for c in self.table.columns if c.is_required and not self.table.is_of_part(c)]

    def rows(self) -> Iterator[Row]:
        if self.sheet.columns is not None:
            for name in self.sheet.columns:
                if name not in self.readers:
                    self.report.noticed(self.file, name)
            missing = [c.name for c in self.table.columns if c.is_required and c.name not in self.sheet.columns]
            for name in missing:
                like = next((given for given in self.sheet.columns if _plain_name(given) == name), None)
                hint = f" “{like}” is written {name} here." if like else ""
                self.report.refuse(
                    f"The column “{name}” is missing; every row of {self.table.name} needs it.{hint}", file=self.file
                )
            if missing:
                self.sheet.is_broken = True
                return
        for line, row in self.sheet.rows:
            yield self._row(line, row)

    def _row(self, line: int, row: Mapping[str, str]) -> Row:
        read_row = Row(line, {}, self._given(tuple(row)))
        for name, text in row.items():
            read = self.readers.get(name)
            if not text or read is None:
                continue
            try:
                value = read(text)
            except CellError as wrong:
                self._refuse(read_row, str(wrong), name)
                continue
            if value is not None:
                read_row.values[name] = value
        if read_row.is_good:
            for column in self.required:
                if not _is_filled(read_row.values.get(column.name)):
                    self._refuse(read_row, "This must be filled in.", column.name)
        return read_row

    def _given(self, names: tuple[str, ...]) -> frozenset[str]:
        """The columns of a row that are understood; the others are named in the report."""
        if names not in self.given:
            for name in names:
                if name not in self.readers:
                    self.report.noticed(self.file, name)
            self.given[names] = frozenset(name for name in names if name in self.readers)
        return self.given[names]

    def _refuse(self, row: Row, reason: str, column: str) -> None:
        row.is_good = False
        self.report.refuse(reason, file=self.file, line=row.line, column=column)

    def _reader(self, column: Column) -> Callable[[str], Any]:
        kind, zone = column.kind, self.zone
        tests = [test for test in (self._later(column), *_field_tests(self.table, column)) if test]
        words = {word.lower(): word for word in self.table.words_of(column)}

        def read(text: str) -> Any:
            if kind.strips:
                text = text.strip()
                if not text:
                    return None
            value = kind.read(text, zone)
            if words:
                value = _known_word(value, words)
            for test in tests:
                test(value)
            return value

        return read

    def _later(self, column: Column) -> Callable[[Any], None] | None:
        if column.may_be_later:
            return None
        latest, today = self.latest, self.today

        def refuse_later(value: date | datetime | Moment) -> None:
            if isinstance(value, Moment):
                ahead = value.on > today if value.precision == "day" else value.at > latest
                text = value.text()
            elif isinstance(value, datetime):
                # An end given as a day stands at its noon, which may be hours ahead of this morning.
                ahead, text = value > latest + timedelta(hours=12), cells.instant_text(value)
            else:
                ahead, text = value > today, value.isoformat()
            if ahead:
                raise CellError(f"{text} is still to come; it can be recorded when it has happened.")

        return refuse_later if column.kind in (cells.MOMENT, cells.INSTANT, cells.DAY) else None


def cell_text(column: Column, value: Any) -> str:
    """The value as the package writes it."""
    if value is None:
        return ""
    if isinstance(value, Moment):
        return value.text().replace("+00:00", "Z")
    return column.kind.write(value)


def entry_from_content(table: Table, row: Row, seen: dict[str, int]) -> uuid.UUID:
    """An id made from the row itself (UUIDv5), the same each time the row is read; a second like row gets a second id."""
    said = [f"{name}={cell_text(table.by_name[name], value)}" for name, value in sorted(row.values.items())]
    content = "\x1f".join([table.name, *said])
    seen[content] = n = seen.get(content, 0) + 1
    return uuid.uuid5(NAMESPACE, content if n == 1 else f"{content}\x1f#{n}")


def _plain_name(header: str) -> str:
    """A column's name as a spreadsheet may dress it up: “Water volume L” for water_volume_l."""
    return header.strip().lower().replace(" ", "_").replace("-", "_")


def _is_filled(value: Any) -> bool:
    return value is not None and (not isinstance(value, str) or bool(value.strip()))


def _field_tests(table: Table, column: Column) -> Iterator[Callable[[Any], None]]:
    found = table.field_of(column)
    if found.primary_key:
        return
    if isinstance(found, models.CharField) and found.max_length and column.kind in (cells.CODE, cells.TEXT):
        longest = found.max_length
        yield lambda value: _refuse_long(value, longest)
    if isinstance(found, models.IntegerField):
        low, high = connection.ops.integer_field_range(found.get_internal_type())
        yield lambda value: _refuse_outside(value, low, high)
    for validator in found._validators:
        yield lambda value, validator=validator: _validate(value, validator)


def _known_word(value: str, words: Mapping[str, str]) -> str:
    if value.lower() not in words:
        raise CellError(f"“{value}” is not one of {', '.join(words.values())}.")
    return words[value.lower()]


def _refuse_long(value: str, longest: int) -> None:
    if len(value) > longest:
        raise CellError(f"The text has {len(value)} characters; {longest} fit.")


def _refuse_outside(value: int, low: int | None, high: int | None) -> None:
    if (low is not None and value < low) or (high is not None and value > high):
        raise CellError(f"{value} is not between {low} and {high}.")


def _validate(value: Any, validator: Callable[[Any], None]) -> None:
    try:
        validator(value)
    except ValidationError as wrong:
        raise CellError(" ".join(wrong.messages)) from wrong
