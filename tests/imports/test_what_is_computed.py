"""What an import works out beside the rows: grams of dry food, what a reading is worth, when a row counts as entered."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from enclosures.imports.importing import import_tables
from enclosures.models import Cleanout, Enclosure, Facility, Feeding, FilterBuild, Reading, Stay, WaterTest
from tests.imports.passing import NOW
from tests.imports.station import FED, TESTED, contract, whole

pytestmark = pytest.mark.django_db


def test_only_the_contract_tables_make_a_facility_by_default() -> None:
    report = import_tables(contract(), now=NOW)
    assert report.is_saved
    facility = Facility.objects.get()
    assert (facility.code, facility.time_zone, facility.default_due_fill) == ("F", "UTC", 0.7)
    assert any(line.startswith("No facility was given; one was made") for line in report.lines())
    build = FilterBuild.objects.get()
    assert (build.usable_fraction, build.due_fill) == (0.8, None)
    assert Enclosure.objects.get(code="P1").litter_level == "none"


def test_dry_grams_come_from_the_recipe_of_the_day() -> None:
    """Dry = as fed x (1 - water), the definition of moisture on a feed label; 26 g of a pellet with 8 % water and 40 % protein."""
    import_tables(whole(), now=NOW)
    line = Feeding.all_rows.get(entry=FED).lines.get(position=1)
    assert (line.dry_g, line.protein_g) == (pytest.approx(23.92), pytest.approx(26 * 0.36))


def test_a_food_without_recipe_is_kept_and_flagged() -> None:
    tables = contract()
    tables["food_items"] = [{**tables["food_items"][0], "moisture_percent": "", "protein_percent": "", "recipe": "0"}]
    assert import_tables(tables, now=NOW).is_saved
    feeding = Feeding.objects.first()
    assert feeding is not None
    assert feeding.flags == ["CMP"]
    assert feeding.lines.get().dry_g is None


def test_a_reading_is_worth_what_its_kit_says_it_is_expressed_as() -> None:
    """0.5 mg/L NH3 = 0.411 mg/L N and 5 mg/L NO2 = 1.52 mg/L N by atomic masses (IUPAC 2021: N 14.007, H 1.008, O 15.999)."""
    import_tables(whole(), now=NOW)
    readings = {r.analyte: r for r in Reading.objects.filter(test__entry=TESTED)}
    assert readings["tan"].canonical == pytest.approx(0.5 * 14.007 / (14.007 + 3 * 1.008))
    assert readings["nitrite"].canonical == pytest.approx(5 * 14.007 / (14.007 + 2 * 15.999))
    assert (readings["temperature"].value, readings["temperature"].canonical) == (64.4, pytest.approx(18.0))
    assert WaterTest.objects.get(entry=TESTED).flags == []


@pytest.mark.parametrize("analyte", ["tan", "nitrite", "nitrate", "kh"])
def test_a_reading_of_unknown_basis_is_kept_raw_and_flagged(analyte: str) -> None:
    tables = contract() | {
        "water_tests": [
            {
                "enclosure": "P1",
                "occurred_at": "2024-05-01",
                "analyte": analyte,
                "value": "0.5",
                "unit": "mg/L",
                "kit": "?",
            }
        ]
    }
    assert import_tables(tables, now=NOW).is_saved
    reading = Reading.objects.get()
    assert (reading.value, reading.canonical, reading.test.flags) == (0.5, None, ["BASE"])


def test_a_row_without_entered_at_counts_as_entered_when_it_happened() -> None:
    import_tables(whole(), now=NOW)
    cleanout = Cleanout.objects.get()
    assert cleanout.entered_at == cleanout.occurred_at == datetime(2024, 8, 24, 10, tzinfo=UTC)
    assert (cleanout.how, cleanout.precision, cleanout.flags) == ("import", "day", [])


def test_a_row_typed_days_later_is_marked_late_as_on_a_form() -> None:
    tables = whole()
    tables["cleanouts"][0].update(entered_at="2024-08-27T08:00:00Z", entered_by="SUP")
    import_tables(tables, now=NOW)
    assert Cleanout.objects.get().flags == ["LATE"]


def test_a_feeding_before_the_first_build_is_kept() -> None:
    tables = contract()
    tables["feedings"][0]["occurred_at"] = "2020-01-01"
    assert import_tables(tables, now=NOW).is_saved


def test_a_meal_on_purpose_not_given_has_no_lines() -> None:
    tables = contract()
    tables["feedings"].append(
        {
            "enclosure": "P1",
            "occurred_at": "2024-06-01",
            "food_item": "",
            "offered_g": "",
            "not_fed_reason": "winter rest",
        }
    )
    assert import_tables(tables, now=NOW).is_saved
    assert Feeding.objects.get(not_fed_reason="winter rest").lines.count() == 0


def test_a_time_without_offset_is_the_facilitys_own_clock() -> None:
    tables = whole()
    tables["stays"][2].update(from_at="2024-08-13T09:00")
    import_tables(tables, now=NOW)
    stay = Stay.objects.get(animal__code="TS-2")
    assert (stay.from_at, stay.from_offset_min) == (datetime(2024, 8, 13, 7, tzinfo=UTC), 120)


def test_what_was_entered_first_has_the_lower_key() -> None:
    """Of two meals of one moment the lists show the later-entered one as newest, after an import too."""
    tables = whole()
    tables["feedings"].reverse()
    import_tables(tables, now=NOW)
    entered = list(Feeding.all_rows.filter(supersedes=None).order_by("pk").values_list("entered_at", flat=True))
    assert entered == sorted(entered)
