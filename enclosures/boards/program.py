"""What a package would hold, and who took one before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from enclosures.estimates.units import recorded_quantity
from enclosures.models import Facility, Photo, SavedPackage, photo_path
from enclosures.verdicts.words import kept_together


class Packed(Protocol):
    """One table as the package writes it: the page counts the very tables the file has."""

    name: str
    title: str
    model: Any

    @property
    def is_log(self) -> bool: ...

    def n_rows(self, *, only_corrections: bool = False) -> int: ...


@dataclass(frozen=True, kw_only=True)
class TableCount:
    title: str
    file: str
    count: int
    corrections: int


@dataclass(frozen=True, kw_only=True)
class ProgramBoard:
    """`counts` of the tables that hold something, in the package's order; `empty` the titles of the others."""

    counts: list[TableCount]
    empty: list[str]
    total: int
    first_on: date | None
    last_on: date | None
    taken: list[SavedPackage]
    photos_words: str  # how many files there are and how large; empty without any


def build_program(*, facility: Facility, tables: Iterable[Packed]) -> ProgramBoard:
    counts: list[TableCount] = []
    days: list[date] = []
    for table in tables:
        n_rows = table.n_rows()
        corrections = table.n_rows(only_corrections=True) if n_rows else 0
        if table.is_log and n_rows:
            for ordered in (table.model.all_rows.oldest_first(), table.model.all_rows.newest_first()):
                days += ordered.values_list("occurred_on", flat=True)[:1]
        counts.append(TableCount(title=table.title, file=f"{table.name}.csv", count=n_rows, corrections=corrections))
    return ProgramBoard(
        counts=[row for row in counts if row.count],
        empty=[row.title for row in counts if not row.count],
        total=sum(row.count for row in counts if row.file != "facility.csv"),
        first_on=min(days, default=None),
        last_on=max(days, default=None),
        photos_words=_photos_words(),
        taken=list(SavedPackage.objects.filter(facility=facility)[:10]),
    )


def _photos_words() -> str:
    digests = set(Photo.all_rows.values_list("digest", flat=True))
    sizes = [path.stat().st_size for path in map(photo_path, digests) if path.is_file()]
    if not sizes:
        return ""
    files = "1 file" if len(sizes) == 1 else f"{len(sizes)} files"
    return kept_together(f"{files}, {recorded_quantity(max(0.1, round(sum(sizes) / 1e6, 1)), 'MB')}")
