"""Taking records out: whole or not at all, and always noted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from enclosures.actions import packages
from enclosures.actions.corrections import move_to_enclosure, supersede, withdraw
from enclosures.actions.entries import Refused
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.flags import raise_flag, settle_flag
from enclosures.actions.packages import build_package
from enclosures.actions.sludge import DepthGiven, finish_cleanout, log_cleanout, log_sounding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.imports.importing import import_records
from enclosures.models import SavedPackage
from tests.actions.station import at, make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY
from tests.imports.passing import all_csv, in_passing


def take_out(facility: Any, out: Path, **more: Any) -> SavedPackage:
    return build_package(facility=facility, out=out, made_at=NOW, made_by="SUP", **more)


def test_a_package_is_noted_with_who_took_what(facility: Any, tmp_path: Path) -> None:
    make_enclosure(facility)
    package = take_out(facility, tmp_path / "p.zip")
    assert (package.made_by, package.made_at, package.row_counts["enclosures"]) == ("SUP", NOW, 1)
    assert SavedPackage.objects.get() == package
    assert [path.name for path in tmp_path.iterdir()] == ["p.zip"]


def test_an_older_zip_is_replaced_and_a_folder_in_use_is_not(facility: Any, tmp_path: Path) -> None:
    (tmp_path / "p.zip").write_bytes(b"older")
    take_out(facility, tmp_path / "p.zip")
    assert (tmp_path / "p.zip").read_bytes().startswith(b"PK")
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "diary.txt").write_text("do not touch")
    with pytest.raises(Refused, match="is there already and not empty"):
        take_out(facility, tmp_path / "mine")
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["diary.txt"]


def test_a_folder_where_a_file_should_be_is_refused(facility: Any, tmp_path: Path) -> None:
    (tmp_path / "p.zip").mkdir()
    with pytest.raises(Refused, match="is a folder; name a file"):
        take_out(facility, tmp_path / "p.zip")
    assert not SavedPackage.objects.exists()


def test_a_disk_that_fills_up_leaves_nothing_half_done(
    facility: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: Any, **more: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(packages, "write_package", full)
    with pytest.raises(Refused, match="cannot be written: No space left on device"):
        take_out(facility, tmp_path / "p.zip")
    assert list(tmp_path.iterdir()) == []
    assert not SavedPackage.objects.exists()


def test_what_staff_logged_corrected_and_withdrew_comes_back_byte_for_byte(facility: Any, tmp_path: Path) -> None:
    """Entries made through the actions, not through the importer: the round trip stands on its own."""

    def first() -> dict[str, str]:
        _a_days_work(facility)
        take_out(facility, tmp_path / "p.zip")
        return all_csv()

    before = in_passing(first)
    assert before["feedings"].count("\n") > 4
    facility.delete()
    report = import_records(tmp_path / "p.zip", now=NOW)
    assert report.is_saved, report.lines()
    assert all_csv() == before


def _a_days_work(facility: Any) -> None:
    pond, tub = make_enclosure(facility), make_enclosure(facility, "T1", kind="tub", indoor=True, water_volume_l=80)
    filter, pellet = make_filter(pond), make_pellet()
    scoops = [
        LineGiven(food_item=pellet, amount=1.5, unit="scoop", eaten="most"),
        LineGiven(food_item=pellet, offered_g=0.1),
    ]
    fed = log_feeding(enclosure=pond, moment=at(TODAY, 7, 58, facility), lines=scoops, stamp=stamp(), slot="am").record
    moved = move_to_enclosure(fed, to=tub, stamp=stamp(by="SUP"), reason="wrong label").record
    raise_flag(moved, code="DUP", stamp=stamp(), text="K2 fed it too")
    settle_flag(moved, code="DUP", stamp=stamp(by="SUP"), resolution="both were given")
    withdraw(moved, stamp=stamp(by="SUP"), reason="dropped on the floor")
    log_feeding(enclosure=pond, moment=on(TODAY, facility), lines=[], not_fed_reason="too cold", stamp=stamp())
    sounded = log_sounding(
        filter=filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=83), DepthGiven(depth_mm=150, qualifier=">=")],
        stamp=stamp(), method="rod", point="inlet",
    ).record  # fmt: skip
    supersede(sounded, parts={"readings": [DepthGiven(depth_mm=84.5)]}, stamp=stamp(), reason="read again")
    half = log_cleanout(
        filter=filter, moment=at(TODAY, 9, 0, facility), outcome="full", stage="before", stamp=stamp(), depth_before_mm=84.5
    ).record  # fmt: skip
    finish_cleanout(half, stamp=stamp(), depth_after_mm=10, slurry_l=66.5)
    log_water_test(
        enclosure=pond, moment=at(TODAY, 9, 30, facility), stamp=stamp(note='said "milky", \n and was'),
        readings=[ReadingGiven(analyte="tan", value=0.5, unit="mg/L"), ReadingGiven(analyte="ph", value=7.4, unit="pH")],
    )  # fmt: skip
