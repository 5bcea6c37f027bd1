"""How record tables refer to each other, read from the columns' own paths: used to describe the package and to read it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from enclosures.exports.record_tables import TABLES
from enclosures.exports.table import Column, Table


@dataclass(frozen=True)
class Reference:
    """Columns of a table that together name a record of another (`target`); `field` is the foreign key behind them."""

    field: str
    target: Table
    columns: tuple[Column, ...]
    is_of_part: bool


@cache
def references_of(table_name: str) -> tuple[Reference, ...]:
    """What lies behind a foreign key is the key of the table it points to, so the paths say all."""
    table = next(table for table in TABLES if table.name == table_name)
    groups: dict[tuple[bool, str], list[Column]] = {}
    for column in table.columns:
        field, _, rest = column.path.removeprefix(f"{table.part}__").partition("__")
        if rest:
            groups.setdefault((table.is_of_part(column), field), []).append(column)
    found = []
    for (is_of_part, field), columns in groups.items():
        model = table.part_model if is_of_part else table.model
        assert model is not None
        related = model._meta.get_field(field).related_model
        target = next(other for other in TABLES if other.model is related)
        found.append(Reference(field, target, tuple(columns), is_of_part))
    return tuple(found)
