"""The front door: record tables in, all or nothing, and a report of what was refused and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from django.db import DatabaseError, transaction
from django.db.models import QuerySet

from enclosures.exports.places import FACILITY
from enclosures.exports.record_tables import TABLES
from enclosures.exports.table import Table
from enclosures.imports.facility import take_facility
from enclosures.imports.foods import take_foods
from enclosures.imports.links import link
from enclosures.imports.pictures import keep_pictures
from enclosures.imports.reading import PhotoFiles, mapping_sheets, open_sheets
from enclosures.imports.records import RecordMaker, merged, number_parts, single
from enclosures.imports.report import Report
from enclosures.imports.rows import Row, RowReader, Sheet, entry_from_content
from enclosures.imports.rules import apply_rules, stamp
from enclosures.imports.saving import save
from enclosures.imports.settling import settle
from enclosures.imports.work import Work
from enclosures.models import FilterOutlook, ForecastTrial

Told = Callable[[str], None]
UNNAMED_TOLD = 20


def import_records(
    source: str | Path | BinaryIO, *, now: datetime, dry_run: bool = False, told: Told = lambda line: None
) -> Report:
    """Import a package (a folder, a zip, or one CSV): everything in it, or nothing.

    `now` decides what is still to come. Entries already there with the same content are counted, not doubled. Problems are
    in the report, never raised; `told` gets lines of progress.
    """
    report = Report(is_dry_run=dry_run)
    sheets, pictures = open_sheets(source, report=report)
    return _imported(sheets, report=report, now=now, told=told, pictures=pictures)


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


def _imported(
    sheets: list[Sheet], *, report: Report, now: datetime, told: Told, pictures: PhotoFiles | None = None
) -> Report:
    if not sheets:
        return report
    work = Work({sheet.table.name: sheet for sheet in sheets}, report, now, told, pictures=pictures or {})
    try:
        with transaction.atomic():
            _take(work)
            if report.is_good:
                save(work)
                if not report.is_dry_run:
                    keep_pictures(work)
                if report.n_new:
                    FilterOutlook.objects.update(is_stale=True)
                    _past_forecasts_of_before(work).delete()
            if report.is_dry_run or not report.is_good:
                transaction.set_rollback(True)
    except DatabaseError as wrong:
        report.refuse(f"The database refused it ({wrong}).")
    except OSError as wrong:
        report.refuse(f"A photo could not be kept on this server: {wrong.strerror or wrong}.")
    report.is_saved = report.is_good and not report.is_dry_run
    return report


def _past_forecasts_of_before(work: Work) -> QuerySet[ForecastTrial]:
    """Those that what came in now may bear on: an imported row counts as known when it happened. They are made again at night."""
    days = []
    for table in TABLES:
        new = work.new(table.name)
        if new and not table.is_log:
            return ForecastTrial.objects.all()
        days += [record.moment.on for record in new]
    return ForecastTrial.objects.filter(made_on__gte=min(days)) if days else ForecastTrial.objects.none()


def _take(work: Work) -> None:
    """Read and check every table, in the order in which they refer to each other; nothing is saved yet."""
    take_facility(work)
    for table in TABLES:
        sheet = work.sheets.get(table.name)
        if sheet is None or table is FACILITY:
            continue
        rows = RowReader(sheet, zone=work.zone, now=work.now, report=work.report).rows()
        if table.name == "food_items":
            take_foods(list(rows), work)
        else:
            _take_table(table, rows, work)

    unnamed = sorted(set(work.pictures) - set(work.pictures_to_keep.values()))
    if work.report.is_good:
        work.report.unknown_tables += unnamed[:UNNAMED_TOLD]
    if len(unnamed) > UNNAMED_TOLD:
        work.report.remarks.append(f"{len(unnamed)} pictures are named by no row of photos and were left out.")


def _take_table(table: Table, rows: Iterator[Row], work: Work) -> None:
    maker = RecordMaker(table, file=work.sheets[table.name].file, report=work.report)
    if table.is_log:
        rows = _with_entries(rows, table)
    records = list((merged if table.part else single)(rows, maker))
    if records:
        work.told(f"{table.name}: {len(records)} read")
    work.named[table.name] = {record.identity: record for record in records}
    records = [record for record in records if record.is_good]
    link(table, records, work)
    for record in records:
        number_parts(record)
        if table.is_log:
            stamp(record)
        if record.is_good:
            maker.check(record)
    records = [record for record in records if record.is_good]
    apply_rules(table.name, records, work)
    new = settle(table, [record for record in records if record.is_good], work)
    work.records.setdefault(table.name, []).extend(new)


def _with_entries(rows: Iterator[Row], table: Table) -> Iterator[Row]:
    seen: dict[str, int] = {}
    for row in rows:
        if "entry" not in row.values:
            row.values["entry"] = entry_from_content(table, row, seen)
        yield row
