"""What one import holds in its hands: sheets in, records by table, what they may refer to, and the report."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from enclosures.exports.table import Table
from enclosures.imports.records import Identity, Record
from enclosures.imports.report import Report
from enclosures.imports.rows import Sheet
from enclosures.imports.stored import Stored


@dataclass
class Work:
    """`records` are those to be saved, by table; `named` all those of this import, by table and identity."""

    sheets: dict[str, Sheet]
    report: Report
    now: datetime
    told: Callable[[str], None]
    stored: Stored = field(default_factory=Stored)
    records: dict[str, list[Record]] = field(default_factory=dict)
    named: dict[str, dict[Identity, Record]] = field(default_factory=dict)
    pictures: Mapping[str, Callable[[], bytes | None]] = field(default_factory=dict)  # files of photos, by name
    pictures_to_keep: dict[str, str] = field(default_factory=dict)  # digest -> name
    facility: Record | int = 0
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))

    def is_broken(self, table: Table) -> bool:
        """Its file was there and could not be read, so nothing can be said of what it names."""
        return table.name in self.sheets and self.sheets[table.name].is_broken

    def new(self, table_name: str) -> list[Record]:
        return self.records.get(table_name, [])
