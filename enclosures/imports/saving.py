"""Saves what was found good: tables in their order, corrections after what they correct, in batches."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

from django.db import models

from enclosures.exports.record_tables import TABLES
from enclosures.exports.table import Table
from enclosures.imports.records import Record
from enclosures.imports.work import Work

BATCH = 2000


def save(work: Work) -> None:
    for table in TABLES:
        records = work.new(table.name)
        for wave in waves(records):
            if table.is_log:  # what was entered first gets the lower key: lists of one moment keep their order
                wave.sort(key=_entered)
            _insert(wave)
        if table.part and table.number != "recipe":  # recipes are records of their own, see foods.py
            _insert_parts(table, records)
        if records:
            work.told(f"{table.name}: {len(records)} {'tried' if work.report.is_dry_run else 'saved'}")


def waves(records: list[Record]) -> list[list[Record]]:
    """The records, parted so that each comes after those among them it refers to."""
    own = set(map(id, records))
    depth: dict[int, int] = {}
    for record in records:
        chain: list[Record] = []
        here: Record | None = record
        while here is not None and id(here) not in depth:
            chain.append(here)
            here = next((ref for ref in here.refs.values() if isinstance(ref, Record) and id(ref) in own), None)
        n = -1 if here is None else depth[id(here)]
        for link in reversed(chain):
            n += 1
            depth[id(link)] = n
    parted: dict[int, list[Record]] = {}
    for record in records:
        parted.setdefault(depth[id(record)], []).append(record)
    return [parted[n] for n in sorted(parted)]


def _entered(record: Record) -> tuple[Any, ...]:
    entered_at = record.cells.get("entered_at") or record.computed["entered_at"]
    return (entered_at, record.moment.at, record.identity[0].hex)


def _insert(records: list[Record]) -> None:
    by_model: dict[type[models.Model], list[Record]] = {}
    for record in records:
        by_model.setdefault(record.model, []).append(record)
    for model, some in by_model.items():
        for batch in _batches(iter(some)):
            made = [_built(model, record.values(), record.refs) for record in batch]
            model._base_manager.bulk_create(made)
            for record, saved in zip(batch, made, strict=True):
                record.pk = saved.pk


def _insert_parts(table: Table, records: list[Record]) -> None:
    model = table.part_model
    assert model is not None
    owner = table.model._meta.get_field(table.part).field.name  # type: ignore[union-attr]
    parts = (
        _built(model, {**record.part_values(part), "position": part.number}, {**part.refs, owner: record})
        for record in records
        for part in record.parts
    )
    for batch in _batches(parts):
        model._base_manager.bulk_create(batch)


def _built(model: type[models.Model], values: dict[str, Any], refs: dict[str, Record | int]) -> models.Model:
    fields = {name: value for name, value in values.items() if name not in refs}
    for name, target in refs.items():
        fields[f"{name}_id"] = target.pk if isinstance(target, Record) else target
    return model(**fields)


def _batches(things: Iterator[Any]) -> Iterator[list[Any]]:
    while batch := list(islice(things, BATCH)):
        yield batch
