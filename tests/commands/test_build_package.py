"""manage.py build_package, as a person at the keyboard meets it."""

from __future__ import annotations

import hashlib
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from enclosures.imports.importing import import_tables
from enclosures.models import SavedPackage
from tests.imports.passing import NOW
from tests.imports.station import whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def _station() -> None:
    assert import_tables(whole(), now=NOW).is_saved


@pytest.mark.usefixtures("_station")
def test_a_zip_is_written_noted_and_named_with_its_checksum(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "records.zip"
    call_command("build_package", out=str(out))
    package = SavedPackage.objects.get()
    assert package.sha256 == hashlib.sha256(out.read_bytes()).hexdigest()
    assert package.row_counts["feedings"] == 5
    said, progress = capsys.readouterr()
    assert package.sha256 in said
    assert "feedings: 5" in progress


@pytest.mark.usefixtures("_station")
def test_what_it_writes_import_records_reads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("build_package", out=str(tmp_path / "records"))
    call_command("import_records", str(tmp_path / "records"))
    assert "Nothing new: all of it was already there." in capsys.readouterr().out


@pytest.mark.usefixtures("_station")
def test_a_part_is_limited_by_program_and_days(tmp_path: Path) -> None:
    out = tmp_path / "part.zip"
    call_command("build_package", out=str(out), program="EO-1", from_on="2024-09-01", to_on="2025-09-30", by="SUP")
    package = SavedPackage.objects.get()
    assert (package.program, str(package.from_on), str(package.to_on), package.made_by) == (
        "EO-1", "2024-09-01", "2025-09-30", "SUP",
    )  # fmt: skip
    with zipfile.ZipFile(out) as archive:
        assert archive.read("README.txt").decode().startswith("PART of the husbandry records")


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"program": "EO-9"}, "No animal is in a program “EO-9”; known are EO-1."),
        ({"from_on": "1 May"}, "--from: “1 May” is not a date; write it like 2025-10-04."),
        ({"from_on": "2025-05-02", "to_on": "2025-05-01"}, "The period ends (2025-05-01) before it begins (2025-05-02)."),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("_station")
def test_bad_input_is_one_sentence_and_leaves_nothing_behind(
    tmp_path: Path, options: dict[str, str], sentence: str
) -> None:
    with pytest.raises(CommandError) as refused:
        call_command("build_package", out=str(tmp_path / "records"), **options)
    assert str(refused.value) == sentence
    assert list(tmp_path.iterdir()) == []
    assert not SavedPackage.objects.exists()


def test_an_empty_database_has_nothing_to_pack(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="There is no facility in this database yet"):
        call_command("build_package", out=str(tmp_path / "records"))
