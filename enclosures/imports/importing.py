"""The front door: record tables in, all or nothing, and a report of what was refused and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from django.db import DatabaseError, transaction

from enclosures.imports.job import ImportJob
from enclosures.imports.reading import mapping_sheets, open_sheets
from enclosures.imports.report import Report
from enclosures.imports.rows import Sheet
from enclosures.models import FilterOutlook

Told = Callable[[str], None]


def import_records(
    source: str | Path | BinaryIO, *, now: datetime, dry_run: bool = False, told: Told = lambda line: None
) -> Report:
    """Import a package (a folder, a zip, or one CSV): everything in it, or nothing.

    `now` decides what is still to come. Entries already there with the same content are counted, not doubled. Problems are
    in the report, never raised; `told` gets lines of progress.
    """
    report = Report(is_dry_run=dry_run)
    sheets = open_sheets(source, report=report)
    return _imported(sheets, report=report, now=now, told=told)


def import_tables(
    tables: Mapping[str, Iterable[Mapping[str, str]]],
    *,
    now: datetime,
    dry_run: bool = False,
    told: Told = lambda line: None,
) -> Report:
    """The same for rows of text in memory, by table and column name, exactly as in the CSV files.

    A column that a row lacks was not given; an empty one was left empty.
    """
    report = Report(is_dry_run=dry_run)
    return _imported(mapping_sheets(tables, report=report), report=report, now=now, told=told)


def _imported(sheets: list[Sheet], *, report: Report, now: datetime, told: Told) -> Report:
    if not sheets and not report.is_good:
        return report
    try:
        with transaction.atomic():
            job = ImportJob(sheets, report=report, now=now, told=told)
            job.read()
            if report.is_good:
                job.save()
            if report.is_good and report.n_new:
                FilterOutlook.objects.update(is_stale=True)
            if report.is_dry_run or not report.is_good:
                transaction.set_rollback(True)
    except DatabaseError as wrong:
        report.refuse(f"The database refused it ({wrong}); nothing was saved.")
    report.is_saved = report.is_good and not report.is_dry_run
    return report
