"""What goes out comes back: package, empty database, import, package again, byte for byte."""

from __future__ import annotations

import csv
import io
import shutil

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from enclosures.exports.record_tables import BY_NAME, TABLES
from enclosures.imports.importing import import_records, import_tables
from tests.imports.passing import NOW, all_csv, in_passing, package_files, written_package
from tests.imports.station import Tables, whole
from tests.imports.strategies import facilities

pytestmark = pytest.mark.django_db


def out_and_back(tables: Tables) -> tuple[dict[str, bytes], dict[str, bytes]]:
    def first() -> object:
        report = import_tables(tables, now=NOW)
        assert report.is_saved, report.lines()
        return written_package()

    def second() -> dict[str, bytes]:
        report = import_records(package, now=NOW)
        assert report.is_saved, report.lines()
        again = written_package()
        files = package_files(again)
        shutil.rmtree(again.parent)
        return files

    package = in_passing(first)
    before = package_files(package)
    after = in_passing(second)
    shutil.rmtree(package.parent)
    return before, after


def test_a_station_with_corrections_withdrawals_parts_and_flags_comes_back_byte_for_byte() -> None:
    before, after = out_and_back(whole())
    assert set(before) == {f"{table.name}.csv" for table in TABLES}
    assert all(data.count(b"\n") > 1 for data in before.values()), "every table has a row, so every table is tried"
    assert before == after


@settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    phases=[
        Phase.explicit,
        Phase.generate,
    ],  # a whole facility shrinks for minutes, and the fault names its cell anyway
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(tables=facilities())
def test_any_facility_comes_back_byte_for_byte_and_with_every_cell_it_was_given(tables: Tables) -> None:
    def first() -> dict[str, str]:
        report = import_tables(tables, now=NOW)
        assert report.is_saved, report.lines()
        return all_csv()

    written = in_passing(first)
    for name, rows in tables.items():
        table = BY_NAME[name]
        there = {
            tuple(row[key] for key in table.key): row for row in csv.DictReader(io.StringIO(written[name], newline=""))
        }
        assert len(there) == len(rows)
        for row in rows:
            found = there[tuple(row[key] for key in table.key)]
            assert {k: found[k] for k, text in row.items() if text} == {k: text for k, text in row.items() if text}
    before, after = out_and_back(tables)
    assert before == after
