"""What the database already holds, asked in few queries: keys to refer to, and rows to compare with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db import models
from django.db.models import Q

from enclosures.exports.table import Table

CHUNK = 500
Identity = tuple[Any, ...]


class Stored:
    """Answers from the database, each table asked once."""

    def __init__(self) -> None:
        self._keys: dict[str, dict[Identity, int]] = {}

    def keys(self, table: Table, identities: Iterable[Identity]) -> dict[Identity, int]:
        """Identity -> primary key: of these entries for a log, of all rows for another table."""
        if not table.is_log:
            return self._all_keys(table)
        found: dict[Identity, int] = {}
        for some in _chunks(entry for (entry,) in identities):
            rows = table.model._base_manager.filter(entry__in=some).values_list("pk", "entry")
            found.update({(entry,): pk for pk, entry in rows})
        return found

    def taken(self, model: type[models.Model], field: str, keys: Iterable[int]) -> set[int]:
        """Those of these keys that a row of the model already refers to by this field."""
        found: set[int] = set()
        for some in _chunks(keys):
            found.update(model._base_manager.filter(**{f"{field}__in": some}).values_list(field, flat=True))
        return found

    def rows(self, table: Table, identities: Iterable[Identity]) -> dict[Identity, list[dict[str, str]]]:
        """The rows of these records as the package would write them, by their identity in text."""
        wheres: Iterable[Q | None] = [None]
        if "entry" in table.identity:
            place = table.identity.index("entry")
            wheres = (Q(entry__in=some) for some in _chunks(identity[place] for identity in identities))
        found: dict[Identity, list[dict[str, str]]] = {}
        for where in wheres:
            for cells in table.rows(where=where):
                row = dict(zip(table.header, cells, strict=True))
                found.setdefault(tuple(row[name] for name in table.identity), []).append(row)
        return found

    def _all_keys(self, table: Table) -> dict[Identity, int]:
        if table.name not in self._keys:
            paths = [table.by_name[name].path for name in table.identity]
            rows = table.model._base_manager.values_list("pk", *paths)
            self._keys[table.name] = {tuple(identity): pk for pk, *identity in rows}
        return self._keys[table.name]


def _chunks(things: Iterable[Any]) -> Iterator[list[Any]]:
    source = iter(things)
    while some := list(islice(source, CHUNK)):
        yield some
