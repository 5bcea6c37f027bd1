"""What people hand in: whole, nested, half, damaged, in another encoding. Each fault is a sentence, and nothing is saved."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from enclosures.imports import reading
from enclosures.imports.importing import import_records
from enclosures.imports.report import Report
from enclosures.models import Enclosure, Facility, Feeding
from tests.imports.passing import NOW
from tests.imports.station import contract

pytestmark = pytest.mark.django_db

ENCLOSURES = "enclosure,kind,indoor,water_volume_l\nP1,pond,false,7800\n"


def as_csv(rows: list[dict[str, str]]) -> str:
    header = list(rows[0])
    return "".join(",".join(line) + "\n" for line in [header, *([row[name] for name in header] for row in rows)])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "handed in"
    place.mkdir()
    for name, rows in contract().items():
        (place / f"{name}.csv").write_text(as_csv(rows), encoding="utf-8", newline="")
    return place


def zipped(folder: Path, *, inside: str = "") -> Path:
    target = folder.parent / "package.zip"
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.iterdir()):
            archive.write(path, f"{inside}{path.name}")
    return target


def refused(source: Path | io.BytesIO) -> str:
    report = import_records(source, now=NOW)
    assert not report.is_saved
    assert not Enclosure.objects.exists()
    assert not Facility.objects.exists()
    return "\n".join(report.lines())


def test_a_folder_of_plain_tables_is_imported_without_a_description(folder: Path) -> None:
    report = import_records(folder, now=NOW)
    assert report.is_saved, report.lines()
    assert Feeding.objects.count() == 28
    assert report.unknown_tables == []


@pytest.mark.parametrize("inside", ["", "station 2025/"])
def test_a_zip_is_imported_also_when_everything_lies_in_one_folder_of_it(folder: Path, inside: str) -> None:
    assert import_records(zipped(folder, inside=inside), now=NOW).is_saved
    assert Feeding.objects.count() == 28


def test_an_open_zip_stream_is_imported(folder: Path) -> None:
    assert import_records(io.BytesIO(zipped(folder).read_bytes()), now=NOW).is_saved


def test_a_folder_holding_one_folder_is_looked_into(folder: Path) -> None:
    (folder.parent / ".hidden").write_text("")
    assert import_records(folder.parent, now=NOW).is_saved


def test_one_csv_alone_is_a_table(folder: Path) -> None:
    assert import_records(folder / "enclosures.csv", now=NOW).is_saved
    assert Enclosure.objects.count() == 2


def test_a_byte_order_mark_and_windows_line_ends_are_understood(tmp_path: Path) -> None:
    (tmp_path / "Enclosures.CSV").write_bytes(b"\xef\xbb\xbf" + ENCLOSURES.replace("\n", "\r\n").encode())
    assert import_records(tmp_path, now=NOW).is_saved
    assert Enclosure.objects.get().code == "P1"


def test_a_description_names_the_tables_of_files_called_otherwise(folder: Path) -> None:
    (folder / "data").mkdir()
    (folder / "feedings.csv").rename(folder / "data" / "meals.csv")
    resources = [{"name": "feedings", "path": "data/meals.csv"}]
    (folder / "datapackage.json").write_text(json.dumps({"resources": resources}), encoding="utf-8")
    assert import_records(folder, now=NOW).is_saved
    assert Feeding.objects.count() == 28


def test_a_broken_description_is_passed_over_and_said(folder: Path) -> None:
    (folder / "datapackage.json").write_text("{ not json", encoding="utf-8")
    report = import_records(folder, now=NOW)
    assert report.is_saved
    assert any("datapackage.json could not be read" in line for line in report.lines())


def test_what_is_not_understood_is_named_and_left_out(folder: Path) -> None:
    (folder / "costs.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    (folder / "photo.jpg").write_bytes(b"x")
    path = folder / "enclosures.csv"
    header, *lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("".join(f"{line}\n" for line in [f"{header},mood", *(f"{line},calm" for line in lines)]))
    report = import_records(folder, now=NOW)
    assert report.is_saved
    text = "\n".join(report.lines())
    assert "enclosures.csv: not understood and left out: “mood”." in text
    assert "No record table, left out: costs.csv, photo.jpg." in text


def test_a_file_with_nearly_a_tables_name_is_asked_about(folder: Path) -> None:
    (folder / "feedings.csv").rename(folder / "feeding.csv")
    text = "\n".join(import_records(folder, now=NOW).lines())
    assert "No record table, left out: feeding.csv (is it feedings.csv?)." in text


def _bytes(data: bytes) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        (folder / "enclosures.csv").write_bytes(data)
        return folder

    return write


def _text(text: str) -> Callable[[Path], Path]:
    return _bytes(text.encode())


def _damaged(folder: Path) -> Path:
    path = zipped(folder)
    data = bytearray(path.read_bytes())
    data[60:90] = bytes(30)
    path.write_bytes(data)
    return path


def _cut(folder: Path) -> Path:
    path = zipped(folder)
    path.write_bytes(path.read_bytes()[:400])
    return path


def _no_zip(folder: Path) -> Path:
    path = folder.parent / "package.zip"
    path.write_text("this is a letter")
    return path


def _empty_zip(folder: Path) -> Path:
    path = folder.parent / "package.zip"
    path.write_bytes(b"")
    return path


def _doubled(folder: Path) -> Path:
    (folder / "more").mkdir()
    (folder / "more" / "enclosures.csv").write_text(ENCLOSURES)
    return folder


def _nothing(folder: Path) -> Path:
    for path in folder.iterdir():
        path.unlink()
    (folder / "README.txt").write_text("nothing here")
    return folder


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_bytes("enclosure,kind\nÉ1,pond\n".encode("latin-1")), "enclosures.csv: The file is not in UTF-8 (line 2)"),
        (_bytes(ENCLOSURES.encode("utf-16")), "The file is in UTF-16; save it as CSV in UTF-8."),
        (_bytes(b""), "enclosures.csv: The file is empty; a table has at least its header."),
        (_text("\n\n"), "The file is empty"),
        (_text(",,\nP1,pond,false\n"), "The first line is empty; it must name the columns."),
        (_text("enclosure,,kind\n"), "Column 2 has no name."),
        (_text("enclosure,kind,kind,indoor,water_volume_l\n"), "The column “kind” is there twice."),
        (_text(ENCLOSURES.replace(",", ";")), "Columns are parted by commas here"),
        (_text("enclosure,kind,indoor\nP1,pond,false\n"), "The column “water_volume_l” is missing; every row of enclosures needs it."),
        (_text(ENCLOSURES + "T1,tub,true\n"), "enclosures.csv line 3: The row has 3 cells, the header 4."),
        (_text(ENCLOSURES + "T1,tub,true,80,more\n"), "enclosures.csv line 3: The row has 5 cells, the header 4."),
        (_text(ENCLOSURES.replace("water_volume_l", "Water volume L")), "“Water volume L” is written water_volume_l here."),
        (_text(ENCLOSURES + 'T1,"tub"x,true,80\n'), "line 3: The file cannot be read on from here: a quotation mark stands in the middle"),
        (_text(ENCLOSURES + 'T1,"tub,true,80\n'), "line 3: The file cannot be read on from here: a quotation mark is opened in this row"),
        (_damaged, "It is damaged and cannot be unpacked; take or download it again."),
        (_cut, "package.zip is neither a folder nor a whole zip file"),
        (_no_zip, "package.zip is neither a folder nor a whole zip file"),
        (_empty_zip, "package.zip is empty."),
        (_doubled, "enclosures.csv and more/enclosures.csv are both the table enclosures."),
        (_nothing, "No record table was found"),
        (lambda folder: folder / "elsewhere", "elsewhere is not there."),
    ],
)  # fmt: skip
def test_a_fault_of_the_files_is_told_in_a_sentence(folder: Path, spoil: Callable[[Path], Path], said: str) -> None:
    assert said in refused(spoil(folder))


def test_a_file_that_cannot_be_read_draws_no_complaints_about_what_it_may_have_named(folder: Path) -> None:
    (folder / "enclosures.csv").write_bytes(b"")
    assert "1 thing is wrong" in refused(folder)


def test_what_is_too_large_is_refused_before_it_is_unpacked(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MAX_ALL_BYTES", 100)
    assert "import it in smaller parts" in refused(folder)


def test_a_file_larger_than_it_says_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MAX_FILE_BYTES", 200)
    assert "feedings.csv: It is larger than" in refused(zipped(folder))


def test_a_table_with_too_many_rows_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MAX_ROWS", 5)
    assert "feedings.csv line 7: The table has more than 5 rows" in refused(folder)


def test_too_many_files_are_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MAX_FILES", 3)
    assert "a package has at most 3" in refused(zipped(folder))


def test_a_locked_zip_is_refused(folder: Path) -> None:
    path = zipped(folder)
    data = bytearray(path.read_bytes())
    for signature, at in (
        (b"PK\x03\x04", 6),
        (b"PK\x01\x02", 8),
    ):  # APPNOTE 4.4.4: bit 0 of the general purpose flag, encrypted
        place = data.find(signature)
        while place >= 0:
            data[place + at] |= 1
            place = data.find(signature, place + 4)
    path.write_bytes(data)
    assert "locked with a password" in refused(path)


def test_lines_are_counted_as_an_editor_counts_them(tmp_path: Path) -> None:
    (tmp_path / "enclosures.csv").write_text(
        'enclosure,kind,indoor,water_volume_l,note\nP1,pond,false,7800,"two\nlines"\n\nT1,tub,true,wet,\n'
    )
    assert "enclosures.csv line 5, water_volume_l: “wet” is not a number" in refused(tmp_path)


def test_a_report_shows_two_hundred_problems_and_counts_the_rest() -> None:
    report = Report()
    for n in range(250):
        report.refuse("No.", file="x.csv", line=n)
    assert len(report.lines()) == 202
    assert report.lines()[0] == "Nothing was saved: 250 things are wrong."
    assert report.lines()[-1] == "  … and 50 more."


def test_a_facility_made_up_for_the_records_is_said_only_when_it_is_there(folder: Path) -> None:
    (folder / "facility.csv").unlink(missing_ok=True)
    tried = import_records(folder, now=NOW, dry_run=True)
    assert "one would be made (code F, time zone UTC)" in "\n".join(tried.lines())
    (folder / "soundings.csv").write_text("filter,occurred_at,depth_mm\nP9-F,2024-06-01,40\n", encoding="utf-8")
    assert "No facility was given" not in refused(folder)
    (folder / "soundings.csv").unlink()
    assert "No facility was given; one was made" in "\n".join(import_records(folder, now=NOW).lines())


def test_faults_stand_in_the_order_of_the_file_and_each_once(folder: Path) -> None:
    bad = "worm,Worms,worms,80,12\nsoup,Soup,gel,80 %,10\ncake,Cake,cakes,20,10\n"
    header = "food_item,name,food_class,moisture_percent,protein_percent\n"
    (folder / "food_items.csv").write_text(header + bad, encoding="utf-8")
    told = [line.strip() for line in refused(folder).splitlines() if line.startswith("  food_items.csv")]
    assert [line.split(":")[0] for line in told] == [
        "food_items.csv line 2, food_class",
        "food_items.csv line 3, moisture_percent",
        "food_items.csv line 4, food_class",
    ]
