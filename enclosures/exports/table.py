"""A record table: described columns, used to write the package, to describe it, and to read it back.

A column knows where its value lives (`fields`, paths from the table's model); what the model already says of that field
(hard range, list of words, longest text, default) is read from the model and never repeated here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import connections, models
from django.db.models import F, Q
from django.db.models.functions import Collate

from enclosures.exports import cells
from enclosures.exports.cells import Kind
from enclosures.exports.ranges import Range, range_of, words_of
from enclosures.models import LoggedRecord

NOT_GIVEN: Any = object()


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column, in both directions.

    fields       where the value lives, as paths from the table's model; a moment has four
    is_required  must be filled in; in a table of parts, unless the row stands for an entry without parts
    is_said      part of what the entry says: a second entry with the same id must repeat it
    may_be_later a date that may lie ahead
    """

    name: str
    kind: Kind
    meaning: str
    fields: tuple[str, ...]
    unit: str = ""
    term: str = ""
    is_required: bool = False
    is_said: bool = True
    may_be_later: bool = False
    default: Any = NOT_GIVEN

    @property
    def path(self) -> str:
        return self.fields[0]


@dataclass(frozen=True)
class Table:
    """One CSV. `key` names the columns that identify a row; `part` the child rows (lines, readings) that are its rows."""

    name: str
    title: str
    model: type[models.Model]
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    part: str = ""
    number: str = ""
    by_name: dict[str, Column] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {column.name: column for column in self.columns})
        for name in self.key:
            self.by_name[name]

    @property
    def is_log(self) -> bool:
        return issubclass(self.model, LoggedRecord)

    @property
    def identity(self) -> tuple[str, ...]:
        """The key of the record a row belongs to: the key without the number of the part."""
        return tuple(name for name in self.key if name != self.number)

    @property
    def header(self) -> list[str]:
        return [column.name for column in self.columns]

    @property
    def part_model(self) -> type[models.Model] | None:
        return self.model._meta.get_field(self.part).related_model if self.part else None  # type: ignore[return-value]

    def is_of_part(self, column: Column) -> bool:
        return bool(self.part) and column.path.startswith(f"{self.part}__")

    def field_of(self, column: Column) -> models.Field[Any, Any]:
        """The model field that holds the column's (first) value; for a reference, the field referred to."""
        model: Any = self.model
        found: Any = None
        for step in column.path.split("__"):
            found = model._meta.get_field(step)
            model = found.related_model
        return found

    def range_of(self, column: Column) -> Range | None:
        found = self.field_of(column)
        return range_of(found.model, found.name)

    def words_of(self, column: Column) -> tuple[str, ...]:
        return words_of(self.field_of(column)) if column.kind is cells.CODE else ()

    def rows(self, *, where: Q | None = None, chunk_size: int = 2000) -> Iterator[list[str]]:
        """The table's rows as text, sorted by key, read in chunks: memory does not grow with the table."""
        writers = self._writers()
        for values in self.values(where=where, chunk_size=chunk_size):
            yield [write(values) for write in writers]

    def n_rows(self, *, only_corrections: bool = False) -> int:
        """How many rows the whole table has in a package; or those of them that put right or withdraw an entry."""
        if only_corrections and not self.is_log:
            return 0
        rows = self._everything()
        if only_corrections:
            rows = rows.filter(supersedes__isnull=False)
        return int(rows.values(f"{self.part}__pk" if self.part else "pk").count())

    def _everything(self) -> models.QuerySet[Any]:
        return (self.model.all_rows if self.is_log else self.model._base_manager).all()  # type: ignore[attr-defined]

    def values(self, *, where: Q | None = None, chunk_size: int = 2000) -> Iterator[tuple[Any, ...]]:
        rows = self._everything() if where is None else self._everything().filter(where)
        paths = [path for column in self.columns for path in column.fields]
        return rows.order_by(*self._order(rows.db)).values_list(*paths).iterator(chunk_size=chunk_size)

    def _order(self, alias: str) -> list[Any]:
        """By key, texts by their code points on every database, so that the same records give the same bytes."""
        plain = "C" if connections[alias].vendor == "postgresql" else "BINARY"
        order: list[Any] = []
        for name in self.key:
            column = self.by_name[name]
            is_text = isinstance(self.field_of(column), models.CharField)
            path = F(column.path)
            order.append(Collate(path, plain).asc() if is_text else path.asc(nulls_first=True))
        return order

    def _writers(self) -> list[Callable[[Sequence[Any]], str]]:
        writers, at = [], 0
        for column in self.columns:
            writers.append(_writer(column.kind.write, at, len(column.fields), missing=self._missing(column)))
            at += len(column.fields)
        return writers

    def _missing(self, column: Column) -> str:
        return "0" if column.name == self.number else ""


def _writer(write: Callable[..., str], at: int, n: int, *, missing: str) -> Callable[[Sequence[Any]], str]:
    if n > 1:
        return lambda values: missing if values[at] is None else write(*values[at : at + n])
    return lambda values: missing if values[at] is None else write(values[at])
