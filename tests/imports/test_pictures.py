"""Photos in a package: out and back byte for byte, and a file that is missing or altered named and refused."""

from __future__ import annotations

import csv
import hashlib
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest

from enclosures.actions.corrections import supersede
from enclosures.actions.packages import build_package
from enclosures.actions.photo_images import picture_from
from enclosures.actions.photos import attach_photo
from enclosures.exports.archive import write_package
from enclosures.exports.scope import Scope
from enclosures.imports.importing import import_records, import_tables
from enclosures.imports.report import Report
from enclosures.models import Facility, HealthNote, Photo, RoundCheck, has_photo_file, photo_path
from tests.actions.station import stamp
from tests.imports.passing import NOW, in_passing
from tests.imports.station import LOOKED, whole
from tests.pictures import half_and_half, jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def made(folder: Path, **scope: Any) -> Path:
    """A station with two photos of a look, one of them carried over by a correction, and one of a sick animal, written to `folder`."""
    assert import_tables({**whole(), "photos": []}, now=NOW).is_saved
    look, sick = RoundCheck.objects.get(entry=LOOKED), HealthNote.objects.get()
    attach_photo(look, data=jpeg(with_place=True), moment=look.moment, stamp=stamp(NOW), caption="Foam, “brown”")
    look = supersede(look, changes={"odd": "Foam"}, stamp=stamp(NOW, by="SUP"), reason="no smell").record
    attach_photo(look, data=jpeg(half_and_half(300, 400)), moment=look.moment, stamp=stamp(NOW))
    attach_photo(sick, data=jpeg(half_and_half(100, 100)), moment=sick.moment, stamp=stamp(NOW))
    write_package(folder, facility=Facility.objects.get(), made_at=NOW, made_by="SUP", scope=Scope(**scope))
    return folder


def all_bytes(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def rows_of(folder: Path) -> list[dict[str, str]]:
    with (folder / "photos.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def forget(media: Path) -> None:
    shutil.rmtree(media, ignore_errors=True)


@pytest.fixture
def package(media: Path, tmp_path: Path) -> Path:
    folder = in_passing(lambda: made(tmp_path / "out"))
    forget(media)
    return folder


def test_photos_go_out_and_come_back_byte_for_byte(package: Path, media: Path, tmp_path: Path) -> None:
    before = all_bytes(package)
    pictures = {name for name in before if name.startswith("photos/")}
    assert len(pictures) == 3
    for name in pictures:
        assert hashlib.sha256(before[name]).hexdigest() == Path(name).stem
    report = import_records(package, now=NOW)
    assert report.is_saved, report.lines()
    for name in pictures:
        assert photo_path(Path(name).stem).read_bytes() == before[name]
    again = tmp_path / "again"
    write_package(again, facility=Facility.objects.get(), made_at=NOW, made_by="SUP")
    assert all_bytes(again) == before
    assert Photo.objects.count() == 3
    assert Photo.all_rows.count() == 4, "with the one that was carried over"


def test_a_zip_is_the_same_and_a_second_import_doubles_nothing(package: Path, tmp_path: Path) -> None:
    target = shutil.make_archive(str(tmp_path / "packed"), "zip", package)
    assert import_records(target, now=NOW).is_saved
    second = import_records(package, now=NOW)
    assert second.is_saved, second.lines()
    assert second.n_new == 0
    zipped = tmp_path / "own.zip"
    write_package(zipped, facility=Facility.objects.get(), made_at=NOW, made_by="SUP")
    with zipfile.ZipFile(zipped) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == all_bytes(package)


def refused(package: Path) -> Report:
    report = import_records(package, now=NOW)
    assert not report.is_saved
    assert not Photo.all_rows.exists()
    return report


def test_a_missing_file_is_named_and_nothing_is_saved(package: Path, media: Path) -> None:
    (gone, *_) = sorted((package / "photos").iterdir())
    gone.unlink()
    (problem, *_) = refused(package).problems
    assert f"photos/{gone.name} is not in the package" in problem.reason
    assert (problem.file, problem.column) == ("photos.csv", "file")
    assert not media.exists(), "nothing half-done"


def test_an_altered_file_is_named_and_nothing_is_saved(package: Path, media: Path) -> None:
    (changed, *_) = sorted((package / "photos").iterdir())
    changed.write_bytes(changed.read_bytes()[:-1] + b"\x00")
    (problem, *_) = refused(package).problems
    assert f"photos/{changed.name} is not the file that was packed" in problem.reason
    assert not media.exists()


def write_rows(package: Path, rows: list[dict[str, str]]) -> None:
    with (package / "photos.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows(rows)


def only_row(package: Path, **changes: str) -> None:
    row = {**rows_of(package)[0], "supersedes": "", "reason": "", "of_entry": LOOKED, "table": "roundcheck"}
    write_rows(package, [row | changes])


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"file": "../secret.jpg"}, "leads out of the package"),
        ({"file": "/etc/passwd"}, "leads out of the package"),
        ({"sha256": "abc"}, "not a SHA-256"),
        ({"width_px": "9"}, "the row says 9"),
        ({"of_entry": "00000009-0000-4000-8000-000000000009"}, "its row belongs in round_checks"),
        ({"table": "feeding"}, "not one of"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_a_row_that_cannot_be_is_refused(package: Path, changes: dict[str, str], words: str) -> None:
    only_row(package, **changes)
    assert words in "\n".join(refused(package).lines())


def put(package: Path, data: bytes) -> None:
    digest = hashlib.sha256(data).hexdigest()
    (package / "photos" / f"{digest}.jpg").write_bytes(data)
    only_row(package, file=f"photos/{digest}.jpg", sha256=digest, width_px="640", height_px="480")


def test_a_picture_that_still_says_where_it_was_taken_is_refused_and_so_is_what_is_none(package: Path) -> None:
    put(package, jpeg(with_place=True))
    assert "may name a place" in "\n".join(refused(package).lines())
    put(package, b"<script>alert(1)</script>")
    assert "not a photo" in "\n".join(refused(package).lines())
    put(package, picture_from(jpeg()).data[:-3000])
    assert "damaged" in "\n".join(refused(package).lines())


def test_a_package_without_files_imports_and_says_so(media: Path, tmp_path: Path) -> None:
    package = in_passing(lambda: made(tmp_path / "small", with_photo_files=False))
    forget(media)
    assert not (package / "photos").exists()
    rows = rows_of(package)
    assert {row["file"] for row in rows} == {""}
    assert all(len(row["sha256"]) == 64 for row in rows)
    assert "files are not included" in (package / "README.txt").read_text()
    report = import_records(package, now=NOW)
    assert report.is_saved, report.lines()
    assert "4 photos are described without a file: file not included in this package." in report.lines()
    assert not any(has_photo_file(photo.digest) for photo in Photo.all_rows.all())
    again = tmp_path / "again"
    write_package(
        again, facility=Facility.objects.get(), made_at=NOW, made_by="SUP", scope=Scope(with_photo_files=False)
    )
    assert all_bytes(again) == all_bytes(package)
    # the files may follow in a second, whole package
    assert "photos" in import_records(package, now=NOW).counts


def test_files_come_later_with_the_whole_package(package: Path, media: Path) -> None:
    shutil.move(package / "photos", package / "aside")
    rows = rows_of(package)
    write_rows(package, [row | {"file": ""} for row in rows])
    assert import_records(package, now=NOW).is_saved
    shutil.move(package / "aside", package / "photos")
    write_rows(package, rows)
    report = import_records(package, now=NOW)
    assert report.is_saved, report.lines()
    assert all(has_photo_file(row["sha256"]) for row in rows)


def test_a_trial_keeps_no_file(package: Path, media: Path) -> None:
    assert import_records(package, now=NOW, dry_run=True).is_good
    assert not media.exists()


def test_a_part_of_the_record_has_the_photos_of_its_entries_only(media: Path, tmp_path: Path) -> None:
    made(tmp_path / "whole")
    facility = Facility.objects.get()
    build_package(
        facility=facility, out=tmp_path / "may", made_at=NOW, made_by="SUP", to_on=RoundCheck.objects.get().occurred_on
    )
    assert len(rows_of(tmp_path / "may")) == 2, "of the look, not of the note in July"
    assert len(list((tmp_path / "may" / "photos").iterdir())) == 2
    build_package(facility=facility, out=tmp_path / "none.zip", made_at=NOW, made_by="SUP", with_photo_files=False)
    with zipfile.ZipFile(tmp_path / "none.zip") as archive:
        assert not [name for name in archive.namelist() if name.endswith(".jpg")]
