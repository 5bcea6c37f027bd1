"""What the database already holds, asked in few queries: keys to refer to, and rows to compare with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db.models import Q

from enclosures.exports.table import Table
from enclosures.imports.records import Identity

CHUNK = 500


class Stored:
    """Answers from the database, each table asked once."""

    def __init__(self) -> None:
        self._keys: dict[str, dict[Identity, int]] = {}

    def keys(self, table: Table) -> dict[Identity, int]:
        """Identity -> primary key of all rows of a table that is not a log."""
        if table.name not in self._keys:
            paths = [table.by_name[name].path for name in table.identity]
            rows = table.model._base_manager.values_list("pk", *paths)
            self._keys[table.name] = {tuple(identity): pk for pk, *identity in rows}
        return self._keys[table.name]

    def entries(self, table: Table, entries: Iterable[Any]) -> dict[Identity, int]:
        """Entry -> primary key of those of these entries that are there."""
        found: dict[Identity, int] = {}
        for some in _chunks(entries):
            for pk, entry in table.model._base_manager.filter(entry__in=some).values_list("pk", "entry"):
                found[(entry,)] = pk
        return found

    def superseded(self, table: Table, keys: Iterable[int]) -> set[int]:
        """Those of these rows that already have a successor."""
        found: set[int] = set()
        for some in _chunks(keys):
            found.update(table.model._base_manager.filter(supersedes__in=some).values_list("supersedes", flat=True))
        return found

    def rows(self, table: Table, identities: Iterable[Identity]) -> dict[Identity, list[dict[str, str]]]:
        """The rows of these records as the package would write them, by their identity in text."""
        wheres: list[Q | None] = [None]
        if table.is_log or table.name == "record_flags":
            wheres = [Q(entry__in=some) for some in _chunks(entry for *_, entry in _entries(table, identities))]
        found: dict[Identity, list[dict[str, str]]] = {}
        for where in wheres:
            for cells in table.rows(where=where):
                row = dict(zip(table.header, cells, strict=True))
                found.setdefault(tuple(row[name] for name in table.identity), []).append(row)
        return found


def _entries(table: Table, identities: Iterable[Identity]) -> Iterator[tuple[Any, ...]]:
    place = table.identity.index("entry")
    return ((identity[place],) for identity in identities)


def _chunks(things: Iterable[Any]) -> Iterator[list[Any]]:
    source = iter(things)
    while some := list(islice(source, CHUNK)):
        yield some
