"""datapackage.json: every column described, from the same columns the rows are written from.

Tabular Data Package (specs.frictionlessdata.io, version 1, which version 2 still reads): profile, schema with primary and
foreign keys, units and Darwin Core terms, bytes and hash of each file.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models

from enclosures.exports import cells
from enclosures.exports.cells import instant_text
from enclosures.exports.record_tables import TABLES
from enclosures.exports.references import references_of
from enclosures.exports.scope import Scope
from enclosures.exports.table import Column, Table
from enclosures.models import Facility


@dataclass(frozen=True)
class FileWritten:
    """One CSV of the package as it was written."""

    n_rows: int
    n_bytes: int
    sha256: str


def described(
    files: Mapping[str, FileWritten], *, facility: Facility, made_at: datetime, made_by: str, scope: Scope
) -> dict[str, Any]:
    """The description of a package holding these tables, ready for JSON."""
    name = re.sub(r"[^a-z0-9._-]", "-", facility.code.lower()) or "facility"
    return {
        "profile": "tabular-data-package",
        "name": f"husbandry-records-{name}",
        "title": f"Husbandry records of {facility.name}",
        "description": scope.says(),
        "isPartial": not scope.is_whole,
        "created": instant_text(made_at.replace(microsecond=0)),
        "contributors": [{"title": made_by, "role": "author"}],
        "resources": [_resource(table, files[table.name]) for table in TABLES if table.name in files],
    }


def as_json(description: Mapping[str, Any]) -> bytes:
    return (json.dumps(description, ensure_ascii=False, indent=1) + "\n").encode()


def _resource(table: Table, file: FileWritten) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": table.name,
        "title": table.title,
        "path": f"{table.name}.csv",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": ",", "lineTerminator": "\n", "quoteChar": '"', "doubleQuote": True, "header": True},
        "bytes": file.n_bytes,
        "hash": f"sha256:{file.sha256}",
        "schema": schema_of(table),
    }


def schema_of(table: Table) -> dict[str, Any]:
    """The Table Schema of a record table."""
    schema: dict[str, Any] = {
        "fields": [_field(table, column) for column in table.columns],
        "missingValues": [""],
        "primaryKey": list(table.key),
    }
    keys = [
        {
            "fields": [column.name for column in reference.columns],
            "reference": {
                "resource": "" if reference.target is table else reference.target.name,
                "fields": list(reference.target.identity[: len(reference.columns)]),
            },
        }
        for reference in references_of(table.name)
    ]
    if keys:
        schema["foreignKeys"] = keys
    return schema


def _field(table: Table, column: Column) -> dict[str, Any]:
    meaning = column.meaning
    described: dict[str, Any] = {"name": column.name, **column.kind.schema}
    limits = table.range_of(column)
    if limits is not None and limits.is_above:
        meaning += f" More than {limits.low:g}."
    if column.term:
        meaning += f" Darwin Core: {column.term.rpartition('/')[2]}."
    described["description"] = meaning
    if column.unit:
        described["unit"] = column.unit
    if column.term:
        described["rdfType"] = column.term
    if constraints := _constraints(table, column):
        described["constraints"] = constraints
    return described


def _constraints(table: Table, column: Column) -> dict[str, Any]:
    constraints: dict[str, Any] = dict(column.kind.constraints)
    if column.name in table.key or (column.is_required and not table.is_of_part(column)):
        constraints["required"] = True
    limits = table.range_of(column)
    if limits is not None and column.kind in (cells.NUMBER, cells.WHOLE):
        constraints |= {k: v for k, v in (("minimum", limits.low), ("maximum", limits.high)) if v is not None}
    if words := table.words_of(column):
        constraints["enum"] = list(words)
    found = table.field_of(column)
    if (
        isinstance(found, models.CharField)
        and found.max_length
        and column.kind in (cells.CODE, cells.TEXT)
        and not words
    ):
        constraints["maxLength"] = found.max_length
    return constraints
