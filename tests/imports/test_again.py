"""The same file twice doubles nothing; a file with more adds only what is more."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.imports.importing import import_tables
from enclosures.models import Feeding, FilterOutlook, FoodComposition, FoodUnit, Sounding, SoundingReading, Taxon
from tests.imports.passing import NOW, all_csv
from tests.imports.station import contract, whole

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("tables", [contract, whole], ids=["contract", "whole"])
def test_a_second_import_of_the_same_adds_nothing(tables: Any) -> None:
    first = import_tables(tables(), now=NOW)
    before = all_csv()
    second = import_tables(tables(), now=NOW)
    assert first.is_saved
    assert second.is_saved
    assert second.n_new == 0
    n_already = sum(count.already for count in second.counts.values())
    assert n_already == first.n_new - ("facility" not in tables())  # a facility made by default is not in the file
    assert all_csv() == before


def test_an_entry_without_an_id_gets_one_from_what_it_says() -> None:
    import_tables(contract(), now=NOW)
    entry = Sounding.objects.get().entry
    assert entry.version == 5
    reordered = contract()
    reordered["soundings"] = [{"depth_mm": "75.0", "occurred_at": "2024-05-28", "filter": " P1-F ", "qualifier": ""}]
    assert import_tables(reordered, now=NOW).n_new == 0, "the same said with other columns, in another order"
    assert Sounding.objects.get().entry == entry


def test_two_equal_meals_are_two_and_stay_two() -> None:
    tables = contract()
    tables["feedings"] = [tables["feedings"][0]] * 2
    import_tables(tables, now=NOW)
    assert Feeding.objects.count() == 2
    import_tables(tables, now=NOW)
    assert Feeding.objects.count() == 2
    tables["feedings"] = tables["feedings"] * 2
    assert import_tables(tables, now=NOW).counts["feedings"].new == 2


def test_the_same_row_with_an_id_twice_in_a_file_is_one() -> None:
    tables = whole()
    tables["cleanouts"] *= 2
    report = import_tables(tables, now=NOW)
    assert (report.counts["cleanouts"].new, report.counts["cleanouts"].already) == (1, 1)


def test_rows_that_share_an_entry_are_readings_of_one_sounding() -> None:
    tables = contract()
    entry = str(uuid.UUID(int=7))
    tables["soundings"] = [
        {"entry": entry, "filter": "P1-F", "occurred_at": "2024-05-28", "depth_mm": depth}
        for depth in ("75", "77", "75")
    ]
    assert import_tables(tables, now=NOW).is_saved
    assert list(SoundingReading.objects.values_list("position", "depth_mm")) == [(1, 75.0), (2, 77.0), (3, 75.0)]
    assert import_tables(tables, now=NOW).n_new == 0


def test_a_longer_file_adds_only_what_is_more() -> None:
    tables = contract()
    import_tables(tables, now=NOW)
    tables["feedings"] = [*tables["feedings"], {**tables["feedings"][0], "occurred_at": "2024-06-01"}]
    tables["food_items"] = [
        *tables["food_items"],
        {"food_item": "pellet", "food_class": "pellet", "valid_from": "2024-06-01", "moisture_percent": "9",
         "protein_percent": "36", "units": "scoop=26"},
    ]  # fmt: skip
    report = import_tables(tables, now=NOW)
    assert report.is_saved, report.lines()
    assert (report.counts["feedings"].new, report.counts["food_items"].new) == (1, 1)
    assert FoodComposition.objects.count() == 2
    assert FoodUnit.objects.get().grams == 26
    assert Feeding.objects.get(occurred_on="2024-06-01").lines.get().protein_g == pytest.approx(37 * 0.36)


def test_an_empty_cell_says_nothing_against_what_was_filled_in_since() -> None:
    from enclosures.models import Enclosure

    tables = contract()
    import_tables(tables, now=NOW)
    Enclosure.objects.filter(code="P1").update(surface_m2=14)
    tables["enclosures"] = [{**row, "surface_m2": ""} for row in tables["enclosures"]]
    assert import_tables(tables, now=NOW).is_saved
    assert Enclosure.objects.get(code="P1").surface_m2 == 14


def test_trying_only_says_the_same_and_saves_nothing() -> None:
    report = import_tables(whole(), now=NOW, dry_run=True)
    assert report.is_good
    assert not report.is_saved
    assert report.lines()[0] == "Tried only, nothing was saved: all of it can be imported."
    assert not Feeding.all_rows.exists()


def test_a_taxon_not_yet_known_is_made_from_its_name_and_listed() -> None:
    tables = {"animals": [{"animal": f"X-{n}", "taxon": "Sternotherus minor"} for n in (1, 2)]}
    report = import_tables(tables, now=NOW)
    assert Taxon.objects.get().scientific_name == "Sternotherus minor"
    assert "Taxa made from their names: Sternotherus minor." in report.lines()


def test_what_comes_in_makes_the_stored_outlooks_stale() -> None:
    import_tables(contract(), now=NOW)
    from enclosures.models import Filter

    outlook = FilterOutlook.objects.create(filter=Filter.objects.get(), as_of=NOW.date(), computed_at=NOW, band="fine")
    import_tables(contract(), now=NOW)
    outlook.refresh_from_db()
    assert not outlook.is_stale, "nothing new came in"
    more = {"soundings": [{"filter": "P1-F", "occurred_at": "2024-06-28", "depth_mm": "80"}]}
    import_tables(more, now=NOW, dry_run=True)
    outlook.refresh_from_db()
    assert not outlook.is_stale, "it was only tried"
    import_tables(more, now=NOW)
    outlook.refresh_from_db()
    assert outlook.is_stale
