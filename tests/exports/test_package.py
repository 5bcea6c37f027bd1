"""The package as a stranger gets it: whole, described, the same bytes each time, and valid by the published standard."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import tracemalloc
import zipfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from enclosures.exports.archive import PackageWritten, csv_blocks, write_package
from enclosures.exports.record_tables import BY_NAME, TABLES
from enclosures.exports.scope import Scope
from enclosures.imports.importing import import_records, import_tables
from enclosures.models import Animal, Facility
from tests.imports.passing import NOW, in_passing
from tests.imports.station import FED, FED_RIGHT, contract, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def station() -> Facility:
    report = import_tables(whole(), now=NOW)
    assert report.is_saved, report.lines()
    return Facility.objects.get()


def written(target: Path, facility: Facility, **more: Any) -> PackageWritten:
    return write_package(target, **{"facility": facility, "made_at": NOW, "made_by": "SUP", **more})


def test_a_folder_and_a_zip_hold_the_same_files(station: Facility, tmp_path: Path) -> None:
    written(tmp_path / "p", station)
    written(tmp_path / "p.zip", station)
    folder = {path.name: path.read_bytes() for path in (tmp_path / "p").iterdir()}
    with zipfile.ZipFile(tmp_path / "p.zip") as archive:
        assert archive.testzip() is None
        assert {name: archive.read(name) for name in archive.namelist()} == folder
    assert set(folder) == {f"{t.name}.csv" for t in TABLES} | {"datapackage.json", "README.txt", "checksums.txt"}


def test_the_same_records_give_the_same_bytes_and_only_readme_and_description_say_when(
    station: Facility, tmp_path: Path
) -> None:
    once, again = written(tmp_path / "a.zip", station), written(tmp_path / "b.zip", station)
    assert once == again
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    written(tmp_path / "later.zip", station, made_at=NOW + timedelta(days=9), made_by="ADM")
    with zipfile.ZipFile(tmp_path / "a.zip") as before, zipfile.ZipFile(tmp_path / "later.zip") as after:
        differing = {name for name in before.namelist() if before.read(name) != after.read(name)}
    assert differing == {"README.txt", "datapackage.json", "checksums.txt"}


def test_files_are_utf_8_with_plain_line_ends_and_no_mark_at_the_start(station: Facility, tmp_path: Path) -> None:
    written(tmp_path / "p", station)
    for path in (tmp_path / "p").glob("*.csv"):
        data = path.read_bytes()
        data.decode("utf-8")
        assert not data.startswith(b"\xef\xbb\xbf")
        assert data.endswith(b"\n")
        if path.name != "enclosures.csv":  # whose note holds a carriage return, quoted
            assert b"\r" not in data


def test_checksums_and_description_agree_with_the_files(station: Facility, tmp_path: Path) -> None:
    package = written(tmp_path / "p", station)
    folder = tmp_path / "p"
    for line in (folder / "checksums.txt").read_text().splitlines():
        digest, name = line.split("  ")
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    description = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    for resource in description["resources"]:
        data = (folder / resource["path"]).read_bytes()
        assert (resource["bytes"], resource["hash"]) == (len(data), f"sha256:{hashlib.sha256(data).hexdigest()}")
        header = data.split(b"\n", 1)[0].decode().split(",")
        assert header == [field["name"] for field in resource["schema"]["fields"]]
    assert package.sha256 == hashlib.sha256((folder / "checksums.txt").read_bytes()).hexdigest()


def test_the_package_is_valid_by_the_published_standard(station: Facility, tmp_path: Path) -> None:
    """Data Package and Table Schema (specs.frictionlessdata.io, version 1), checked by the standard's own tool, off line.

    Types, constraints, primary keys, foreign keys, bytes and hashes of all thirty tables.
    """
    frictionless = pytest.importorskip("frictionless", reason="frictionless is in tests/requirements.txt")
    written(tmp_path / "p", station)
    report = frictionless.validate(str(tmp_path / "p" / "datapackage.json"))
    errors = [(task.name, error.type, error.message) for task in report.tasks for error in task.errors]
    assert report.valid, errors or report.errors
    assert len(report.tasks) == len(TABLES)


def test_the_standards_tool_would_have_seen_a_fault(station: Facility, tmp_path: Path) -> None:
    frictionless = pytest.importorskip("frictionless", reason="frictionless is in tests/requirements.txt")
    written(tmp_path / "p", station)
    path = tmp_path / "p" / "filters.csv"
    path.write_text(path.read_text().replace("P1-F,P1", "P1-F,P7"))
    assert not frictionless.validate(str(tmp_path / "p" / "datapackage.json")).valid


def test_every_column_is_described_with_type_unit_range_and_term(station: Facility, tmp_path: Path) -> None:
    written(tmp_path / "p", station)
    resources = json.loads((tmp_path / "p" / "datapackage.json").read_text(encoding="utf-8"))["resources"]
    schemas = {resource["name"]: resource["schema"] for resource in resources}
    fields = {(name, f["name"]): f for name, schema in schemas.items() for f in schema["fields"]}
    void = fields["filter_builds", "void_height_mm"]
    assert (void["type"], void["unit"], void["constraints"]) == (
        "number",
        "mm",
        {"required": True, "minimum": 10, "maximum": 2000},
    )
    assert fields["enclosures", "kind"]["constraints"]["enum"] == [
        "tub",
        "tank",
        "pond",
        "quarantine",
        "nursery",
        "hospital",
    ]
    # Darwin Core quick reference (dwc.tdwg.org/terms): scientificName, organismID, eventDate
    assert fields["animals", "taxon"]["rdfType"] == "http://rs.tdwg.org/dwc/terms/scientificName"
    assert fields["measurements", "animal"]["rdfType"] == "http://rs.tdwg.org/dwc/terms/organismID"
    assert "Darwin Core: eventDate." in fields["feedings", "occurred_at"]["description"]
    assert all(f["description"] for f in fields.values())
    assert schemas["feedings"]["primaryKey"] == ["entry", "line"]
    assert {"fields": ["filter", "valid_from"], "reference": {"resource": "filter_builds", "fields": ["filter", "valid_from"]}} in (
        schemas["media_layers"]["foreignKeys"]
    )  # fmt: skip


def test_readme_says_what_it_is_who_made_it_and_how_it_is_written(station: Facility, tmp_path: Path) -> None:
    written(tmp_path / "p", station)
    text = (tmp_path / "p" / "README.txt").read_text(encoding="utf-8")
    assert text.startswith("Husbandry records of Test station, “north” (TS)\n")
    assert "Made 2025-10-04T08:30:00Z by SUP." in text
    assert "An empty cell means: not recorded." in text
    assert re.search(r"feedings\.csv +5  Feedings, one row a line\n", text)


def test_every_row_travels_superseded_and_withdrawn_ones_too(station: Facility) -> None:
    rows = list(BY_NAME["feedings"].rows())
    assert [row[0] for row in rows] == sorted(row[0] for row in rows)
    assert {FED, FED_RIGHT} <= {row[0] for row in rows}


def test_memory_does_not_grow_with_the_table(station: Facility) -> None:
    """Streaming, as far as it can be seen here: five times the rows, about the same peak."""

    def feed(n: int) -> None:
        row = {"enclosure": "P1", "occurred_at": "2025-01-05", "food_item": "worm"}
        assert import_tables({"feedings": [{**row, "offered_g": str(k)} for k in range(n)]}, now=NOW).is_saved

    def peak() -> int:
        tracemalloc.start()
        for _ in csv_blocks(BY_NAME["feedings"]):
            pass
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    feed(1200)
    before = peak()
    feed(6000)
    assert peak() < 1.5 * before


Limited = Callable[[Scope], dict[str, list[list[str]]]]


@pytest.fixture
def limited(station: Facility, tmp_path: Path) -> Limited:
    """Writes a limited package to tmp_path/limited and gives its rows by table."""

    def rows_of(path: Path) -> list[list[str]]:
        return list(csv.reader(io.StringIO(path.read_bytes().decode(), newline="")))[1:]

    def read(scope: Scope) -> dict[str, list[list[str]]]:
        written(tmp_path / "limited", station, scope=scope)
        return {path.stem: rows_of(path) for path in (tmp_path / "limited").glob("*.csv")}

    return read


def column(tables: dict[str, list[list[str]]], table: str, name: str) -> list[str]:
    return [row[BY_NAME[table].header.index(name)] for row in tables[table]]


def test_a_programs_package_holds_its_animals_and_where_they_lived(limited: Limited) -> None:
    tables = limited(Scope(program="EO-1"))
    assert column(tables, "animals", "animal") == ["TS-2"]
    assert column(tables, "enclosures", "enclosure") == ["T1"]
    assert column(tables, "stays", "animal") == ["TS-2"]
    assert set(column(tables, "feedings", "enclosure")) <= {"T1"}
    assert tables["soundings"] == tables["measurements"] == tables["permits"] == []
    assert column(tables, "planned_moves", "planned_on") == ["2026-06-01"], (
        "the other one has an animal that is not the program's"
    )
    assert column(tables, "facility", "address") == [""]


def test_a_period_limits_events_and_keeps_what_they_refer_to(limited: Limited) -> None:
    tables = limited(Scope(from_on=date(2025, 5, 1), to_on=date(2025, 5, 2)))
    assert set(column(tables, "water_tests", "occurred_at")) == {"2025-05-01T09:00+02:00"}
    assert tables["soundings"] == tables["cleanouts"] == []
    assert column(tables, "enclosures", "enclosure") == ["P1", "T1"]


def test_a_limited_package_holds_what_is_true_now_and_says_that_it_is_a_part(limited: Limited, tmp_path: Path) -> None:
    tables = limited(Scope(to_on=date(2025, 10, 1)))
    assert FED not in column(tables, "feedings", "entry"), "it was put right"
    assert column(tables, "feedings", "supersedes") == [""]
    folder = tmp_path / "limited"
    assert (folder / "README.txt").read_text(encoding="utf-8").startswith("PART of the husbandry records")
    description = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    assert description["isPartial"] is True
    assert "Only what is true now" in description["description"]


@pytest.mark.parametrize(
    "scope", [Scope(program="EO-1"), Scope(program="EO-1", from_on=NOW.date() - timedelta(days=200))]
)
def test_a_limited_package_stands_on_its_own_feet(limited: Limited, scope: Scope, tmp_path: Path) -> None:
    """No row refers to one that was left out: the standard's tool finds every key, and it can be imported elsewhere."""
    limited(scope)
    folder = tmp_path / "limited"
    frictionless = pytest.importorskip("frictionless", reason="frictionless is in tests/requirements.txt")
    assert frictionless.validate(str(folder / "datapackage.json")).valid
    report = import_records(folder, now=NOW)  # into the station it came from: it says nothing else, and nothing new
    assert report.is_saved, report.lines()
    assert report.n_new == 0


def test_a_limited_package_can_be_imported_elsewhere(tmp_path: Path) -> None:
    def packed() -> Path:
        import_tables(whole(), now=NOW)
        written(tmp_path / "part", Facility.objects.get(), scope=Scope(program="EO-1"))
        return tmp_path / "part"

    folder = in_passing(packed)
    report = import_records(folder, now=NOW)
    assert report.is_saved, report.lines()
    assert Animal.objects.get().code == "TS-2"


def test_the_contract_alone_makes_a_valid_package(tmp_path: Path) -> None:
    frictionless = pytest.importorskip("frictionless", reason="frictionless is in tests/requirements.txt")
    import_tables(contract(), now=NOW)
    written(tmp_path / "p", Facility.objects.get())
    assert frictionless.validate(str(tmp_path / "p" / "datapackage.json")).valid
