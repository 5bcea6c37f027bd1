"""manage.py import_records, as a person at the keyboard meets it."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from enclosures.models import Enclosure, Facility, Feeding
from tests.imports.station import Tables, contract, whole

ROOT = Path(__file__).resolve().parents[2]


def handed_in(folder: Path, tables: Tables) -> Path:
    folder.mkdir()
    for name, rows in tables.items():
        header = list(dict.fromkeys(column for row in rows for column in row))
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as stream:
            out = csv.DictWriter(stream, header, restval="")
            out.writeheader()
            out.writerows(rows)
    return folder


@pytest.mark.django_db
def test_it_says_what_came_in_and_progress_goes_to_the_error_stream(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("import_records", str(handed_in(tmp_path / "in", whole())))
    out, err = capsys.readouterr()
    assert out.startswith("Imported: ")
    assert "  soundings: 2 new\n" in out
    assert "feedings: 4 saved" in err
    assert Feeding.all_rows.count() == 4


@pytest.mark.django_db
def test_a_dry_run_saves_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_records", str(handed_in(tmp_path / "in", whole())), dry_run=True)
    assert capsys.readouterr().out.startswith("Tried only, nothing was saved")
    assert not Facility.objects.exists()


@pytest.mark.django_db
def test_a_refusal_names_each_fault_and_leaves_nothing_half_done(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tables = contract()
    tables["soundings"][0]["depth_mm"] = "750"
    with pytest.raises(CommandError, match=r"^Nothing was saved: 1 thing is wrong\.$"):
        call_command("import_records", str(handed_in(tmp_path / "in", tables)))
    out, err = capsys.readouterr()
    assert out == ""
    assert "soundings.csv line 2, depth_mm: 750 mm is deeper than the void of that day" in err
    assert "Did you mean 75 mm?" in err
    assert not Enclosure.objects.exists()


@pytest.mark.django_db
def test_a_path_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(CommandError):
        call_command("import_records", str(tmp_path / "nowhere"))


@pytest.mark.django_db
def test_six_tables_are_enough_for_a_forecast(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_records", str(handed_in(tmp_path / "in", contract())))
    capsys.readouterr()
    call_command("forecast_voids", as_of="2024-05-29", format="json")
    (answer,) = json.loads(capsys.readouterr().out)
    assert answer["filter"] == "P1-F"
    # The rod said 75 of 150 mm the day before; the forecast must not stray far from what was just read.
    assert answer["fill"]["p10"] < 0.5 < answer["fill"]["p90"]
    assert answer["fill"]["p50"] == pytest.approx(0.5, abs=0.1)
    assert "1 sounding" in answer["basis"]


def test_a_refusal_ends_with_a_status_that_scripts_can_see(tmp_path: Path) -> None:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "enclosures.csv").write_text("enclosure;kind\nP1;pond\n")
    environment = {"DATABASE_URL": f"sqlite:///{tmp_path / 'db.sqlite3'}", "DEBUG": "1", "PATH": "/usr/bin:/bin"}
    words = [sys.executable, "manage.py"]
    subprocess.run([*words, "migrate", "-v0"], cwd=ROOT, env=environment, check=True, capture_output=True)
    done = subprocess.run(
        [*words, "import_records", str(folder)], cwd=ROOT, env=environment, check=False, capture_output=True, text=True
    )
    assert done.returncode != 0
    assert done.stdout == ""
    assert "Columns are parted by commas here" in done.stderr
    assert "Traceback" not in done.stderr
