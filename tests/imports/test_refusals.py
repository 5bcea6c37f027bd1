"""What cannot be recorded is refused with its line, its column and a sentence; then nothing at all is saved."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from enclosures.imports.importing import import_tables
from enclosures.models import Enclosure, Facility, Sounding
from tests.imports.passing import NOW
from tests.imports.station import CLEANED, FED, SOUNDED, WEIGHED, Tables, whole

pytestmark = pytest.mark.django_db

CHANGES: list[tuple[str, int, dict[str, str], str]] = [
    # what is no value of its column
    ("enclosures", 0, {"water_volume_l": "7,800"}, "enclosures line 1, water_volume_l: “7,800” has a comma"),
    ("enclosures", 0, {"water_volume_l": "nan"}, "“nan” is not a number that can be measured"),
    ("enclosures", 0, {"water_volume_l": "inf"}, "“inf” is not a number that can be measured"),
    ("enclosures", 0, {"water_volume_l": "about 80"}, "“about 80” is not a number; write figures only"),
    ("enclosures", 0, {"indoor": "maybe"}, "enclosures line 1, indoor: “maybe” is neither true nor false."),
    ("enclosures", 0, {"kind": "lake"}, "“lake” is not one of tub, tank, pond, quarantine, nursery, hospital."),
    ("enclosures", 0, {"enclosure": "P" * 21}, "The text has 21 characters; 20 fit."),
    ("enclosures", 0, {"enclosure": " "}, "enclosures line 1, enclosure: This must be filled in."),
    ("enclosures", 0, {"note": "a\x00b"}, "a character (NUL) that cannot be stored"),
    ("enclosures", 0, {"round_order": "1.5"}, "“1.5” is not a whole number."),
    ("enclosures", 0, {"round_order": "-1"}, "-1 is not between 0 and"),
    ("feedings", 0, {"entry": "42"}, "“42” is not an entry id (a UUID)"),
    ("feedings", 4, {"occurred_at": "5 January"}, "“5 January” is not a date"),
    ("facility", 0, {"time_zone": "Mars/Olympus"}, "“Mars/Olympus” is not a time zone; write one like Europe/Paris."),
    ("food_items", 0, {"units": "piece"}, "“piece” is not a unit; write name=grams"),
    # outside what can be true: the records' own hard ranges
    ("enclosures", 0, {"water_volume_l": "0"}, "enclosures line 1, water_volume_l: 0 cannot be; it is at least 1 and at most 2000000."),
    ("filter_builds", 0, {"void_height_mm": "3"}, "filter_builds line 1, void_height_mm: 3 cannot be; it is at least 10"),
    ("filter_builds", 0, {"usable_fraction": "1.2"}, "1.2 cannot be; it is at least 0.2 and at most 1."),
    ("food_items", 2, {"moisture_percent": "95", "protein_percent": "40"}, "Water and protein together are more than 100 per cent."),
    ("water_tests", 0, {"value": "12", "analyte": "ph", "unit": "pH"}, "pH: at least 3 and at most 11."),
    ("water_tests", 1, {"value": "640"}, "cannot be"),
    ("water_tests", 1, {"value": "20", "unit": "K"}, "“K” is not a unit of temperature here; write degC or degF."),
    ("cleanouts", 0, {"depth_before_mm": "40", "depth_after_mm": "90"}, "The depth after is more than the depth before."),
    ("measurements", 0, {"mass_g": "0.1"}, "0.1 cannot be; it is at least 0.3"),
    ("health_notes", 0, {"animal": ""}, "Say which animal or which enclosure."),
    ("animals", 1, {"hatched_to": "2024-08-01"}, "hatched to is before hatched from."),
    ("outages", 0, {"ended_at": "2025-07-07T00:00:00Z"}, "ended at is before occurred at."),
    # what is still to come, and what is too long ago
    ("soundings", 0, {"occurred_at": "2025-10-05"}, "2025-10-05 is still to come"),
    ("animals", 1, {"hatched_from": "2026-01-01", "hatched_to": "2026-01-01"}, "2026-01-01 is still to come"),
    ("feedings", 4, {"occurred_at": "1025-01-05"}, "“1025-01-05” is before 1900; check the year."),
    # what is named and not there
    ("filters", 0, {"enclosure": "P9"}, "filters line 1, enclosure: No enclosure “P9” is known; its row belongs in enclosures."),
    ("feedings", 0, {"food_item": "cake"}, "feedings line 1, food_item: No food item “cake” is known"),
    ("media_layers", 0, {"valid_from": "2019-01-01"}, "No filter “P1-F from 2019-01-01” is known; its row belongs in filter_builds."),
    ("stays", 0, {"animal": "TS-9"}, "No animal “TS-9” is known"),
    ("soundings", 3, {"supersedes": FED}, f"“{FED}” is neither in soundings of this package nor already stored."),
    ("animals", 2, {"merged_into": "TS-3"}, "animals line 3, merged_into: The rows name each other in a circle."),
    ("animals", 2, {"merged_into": "TS-9"}, "“TS-9” is neither in animals of this package nor already stored."),
    # what two rows cannot both be
    ("enclosures", 1, {"enclosure": "P1"}, "enclosures line 2, enclosure: P1 was already given in line 1, with other values."),
    ("feedings", 1, {"enclosure": "T1"}, "The rows of one entry disagree: line 1 says “P1”, this one “T1”."),
    ("feedings", 3, {"supersedes": FED}, "The entry it supersedes was already put right by line 3; name the newest version."),
    ("feedings", 2, {"reason": ""}, "A correction or withdrawal says why."),
    ("feedings", 2, {"supersedes": "", "withdrawn": "true"}, "A withdrawal names the entry it withdraws."),
    ("food_items", 1, {"valid_from": ""}, "The recipe of this food from this day was already given in line 1"),
    ("eggs", 1, {"animal": "TS-2"}, "“TS-2” was already named by line 1."),
    ("stays", 1, {"from_at": "2025-08-02T13:00+02:00"}, "TS-1 is already somewhere from 2018-05-01 to 2025-08-02; end that stay first."),
    ("stays", 0, {"to_at": ""}, "TS-1 is already somewhere from 2018-05-01 to now"),
    # what the job forbids
    ("feedings", 4, {"not_fed_reason": "", "outcome": ""}, "feedings line 5, food_item: This must be filled in."),
    ("feedings", 0, {"line": "0"}, "0 is for an entry without any; number from 1."),
    ("soundings", 0, {"occurred_at": "2017-01-01", "entry": ""}, "P1-F was first built on 2018-05-01; a sounding before that has no void"),
    ("soundings", 0, {"filter": "T1-S", "entry": ""}, "T1-S has no row in filter_builds, so there is no void to sound."),
    ("soundings", 0, {"depth_mm": "830", "entry": ""}, "830 mm is deeper than the void of that day, which is 240 mm high. Did you mean 83 mm?"),
    ("cleanouts", 0, {"depth_before_mm": "200"}, "200 mm is deeper than the void of that day, which is 150 mm high."),
]  # fmt: skip


@pytest.mark.parametrize(("table", "row", "change", "said"), CHANGES, ids=lambda value: str(value)[:40])
def test_a_fault_in_one_cell_is_told_and_stops_everything(
    table: str, row: int, change: dict[str, str], said: str
) -> None:
    tables = whole()
    tables[table][row].update(change)
    report = import_tables(tables, now=NOW)
    assert said in "\n".join(report.lines())
    assert not report.is_saved
    assert not Facility.objects.exists()


def test_the_same_station_without_a_fault_is_imported() -> None:
    assert import_tables(whole(), now=NOW).is_saved


def test_every_fault_is_told_at_once() -> None:
    tables = whole()
    tables["enclosures"][0]["kind"] = "lake"
    tables["soundings"][0]["depth_mm"] = "deep"
    tables["measurements"][0]["mass_g"] = "-1"
    told = [(problem.file, problem.column) for problem in import_tables(tables, now=NOW).problems]
    assert told == [("enclosures", "kind"), ("measurements", "mass_g"), ("soundings", "depth_mm")]


def test_a_bad_enclosure_is_complained_of_once_and_not_by_all_that_name_it() -> None:
    tables = whole()
    tables["enclosures"][0]["kind"] = "lake"
    assert import_tables(tables, now=NOW).n_problems == 1


def test_a_circle_of_corrections_is_refused() -> None:
    a, b = ("0000000a-0000-4000-8000-00000000000a", "0000000b-0000-4000-8000-00000000000b")
    base = {"enclosure": "P1", "occurred_at": "2025-05-01", "volume_l": "16", "reason": "so"}
    changes = [{**base, "entry": a, "supersedes": b}, {**base, "entry": b, "supersedes": a}]
    report = import_tables({"enclosures": whole()["enclosures"], "water_changes": changes}, now=NOW)
    assert "The rows name each other in a circle." in "\n".join(report.lines())


@pytest.mark.parametrize(("minutes", "is_saved"), [(5, True), (30, False)])
def test_clocks_may_differ_by_minutes_and_no_more(minutes: int, is_saved: bool) -> None:
    tables = {"enclosures": whole()["enclosures"], "water_changes": [
        {"enclosure": "T1", "occurred_at": (NOW + timedelta(minutes=minutes)).isoformat(), "volume_l": "16"}
    ]}  # fmt: skip
    assert import_tables(tables, now=NOW).is_saved is is_saved


def test_today_is_the_facilitys_day() -> None:
    tables: Tables = {
        "facility": [{"code": "NZ", "time_zone": "Pacific/Auckland"}],
        "enclosures": whole()["enclosures"],
        "water_changes": [{"enclosure": "T1", "occurred_at": "2025-10-05", "volume_l": "16"}],
    }
    noon_there = NOW.replace(hour=23)  # 4 October in Greenwich, 5 October in Auckland
    assert import_tables(tables, now=noon_there).is_saved


def test_a_reading_at_the_grid_and_one_within_a_rods_error_are_kept() -> None:
    tables = whole()
    tables["soundings"] = [
        {"filter": "P1-F", "occurred_at": "2025-01-03", "depth_mm": "150", "qualifier": ">="},
        {"filter": "P1-F", "occurred_at": "2025-01-04", "depth_mm": "155"},
    ]
    assert import_tables(tables, now=NOW).is_saved
    assert Sounding.objects.count() == 2


def test_a_depth_that_was_put_right_since_is_part_of_the_record() -> None:
    tables = whole()
    for row in tables["soundings"][:3]:
        row["depth_mm"] = "830"
    assert import_tables(tables, now=NOW).is_saved


def test_another_facility_is_refused(facility: Any) -> None:
    report = import_tables(whole(), now=NOW)
    assert "This database holds the facility BL, the file is of TS; one database holds one facility." in str(
        report.problems[0]
    )
    assert not Enclosure.objects.exists()


def test_two_facilities_in_one_file_are_refused() -> None:
    tables = whole()
    tables["facility"].append({"code": "T2"})
    assert "a package is of one facility" in "\n".join(import_tables(tables, now=NOW).lines())


@pytest.mark.parametrize(
    ("table", "change", "said"),
    [
        ("enclosures", {"water_volume_l": "9000"}, "P1 is already here with “7800”; the file says “9000”."),
        ("facility", {"default_due_fill": "0.9"}, "The facility TS is already here with “0.65”; the file says “0.9”."),
        ("food_items", {"protein_percent": "41"}, "pellet is already here with “40”; the file says “41”."),
        ("food_items", {"units": "piece=0.5"}, "A piece of pellet is 0.4 g here and 0.5 g in the file."),
        ("feedings", {"offered_g": "27"}, f"{FED} is already here with “26”; the file says “27”."),
        ("feedings", {"eaten": "all"}, "is already here with “”; the file says “all”."),
        ("cleanouts", {"slurry_l": ""}, f"{CLEANED} is already here with “128”; the file says “”."),
        ("soundings", {"depth_mm": "84"}, f"{SOUNDED} is already here with “83”; the file says “84”."),
        ("measurements", {"note": "weighed twice"}, f"{WEIGHED} is already here with “”"),
    ],
)  # fmt: skip
def test_what_is_there_already_must_say_the_same(table: str, change: dict[str, str], said: str) -> None:
    assert import_tables(whole(), now=NOW).is_saved
    tables = whole()
    tables[table][0].update({"note": "", "eaten": "", **change} if table == "measurements" else change)
    if table == "feedings":
        for row in tables["feedings"]:
            row.setdefault("eaten", "")
    report = import_tables(tables, now=NOW)
    assert said in "\n".join(report.lines())
    assert not report.is_saved


def test_an_entry_with_a_reading_more_is_another_entry() -> None:
    assert import_tables(whole(), now=NOW).is_saved
    tables = whole()
    tables["soundings"].insert(0, {**tables["soundings"][0], "depth_mm": "80"})
    assert "is already here with 3 rows; the file has 4." in "\n".join(import_tables(tables, now=NOW).lines())


def test_a_stored_entry_is_put_right_only_once() -> None:
    assert import_tables(whole(), now=NOW).is_saved
    second = {
        "entry": "", "enclosure": "P1", "occurred_at": "2025-05-01", "food_item": "worm", "offered_g": "1",
        "supersedes": FED, "reason": "again",
    }  # fmt: skip
    report = import_tables({"feedings": [second]}, now=NOW)
    assert "was already put right by a row already stored" in "\n".join(report.lines())
