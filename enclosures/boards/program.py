"""What a package would hold, and who took one before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.estimates.units import recorded_quantity
from enclosures.models import Facility, Photo, SavedPackage, photo_path
from enclosures.models.record import LoggedRecord
from enclosures.verdicts.words import kept_together


@dataclass(frozen=True, kw_only=True)
class TableCount:
    title: str
    count: int
    corrections: int


@dataclass(frozen=True, kw_only=True)
class ProgramBoard:
    counts: list[TableCount]
    total: int
    first_on: date | None
    last_on: date | None
    taken: list[SavedPackage]
    photos_words: str  # how many files there are and how large; empty without any


# What a person would call each record table, and its model's name.
TABLES = (
    ("Enclosures", "Enclosure"), ("Filters", "Filter"), ("Filters as built", "FilterBuild"), ("Pumps", "Pump"),
    ("Taxa", "Taxon"), ("Animals", "Animal"), ("Marks", "Mark"), ("Places they stayed", "Stay"),
    ("Weights and lengths", "Measurement"), ("Food items", "FoodItem"), ("Feedings", "Feeding"),
    ("Water tests", "WaterTest"), ("Water changes", "WaterChange"), ("Soundings", "Sounding"),
    ("Flow checks", "FlowCheck"), ("Cleanouts", "Cleanout"), ("Upkeep", "Upkeep"), ("Health notes", "HealthNote"),
    ("Seasons", "Season"), ("Outages", "Outage"), ("Clutches", "Clutch"), ("Eggs", "Egg"),
    ("Comings and goings", "Transfer"), ("Deaths", "Death"), ("Permits", "Permit"), ("Photos", "Photo"),
)  # fmt: skip


def build_program(*, facility: Facility) -> ProgramBoard:
    from enclosures import models

    counts: list[TableCount] = []
    days: list[date] = []
    for title, name in TABLES:
        model = getattr(models, name)
        if issubclass(model, LoggedRecord):
            rows = model.all_rows
            corrections = rows.filter(supersedes__isnull=False).count()
            for newest in (False, True):
                row = (rows.newest_first() if newest else rows.oldest_first()).values_list("occurred_on", flat=True)[:1]
                days += list(row)
        else:
            rows, corrections = model.objects, 0
        counts.append(TableCount(title=title, count=rows.count(), corrections=corrections))
    return ProgramBoard(
        counts=counts,
        total=sum(row.count for row in counts),
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
