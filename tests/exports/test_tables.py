"""The record tables: complete, in order, and by the names other people's files use."""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.exports import cells
from enclosures.exports.record_tables import BY_NAME, TABLES
from enclosures.exports.references import references_of
from enclosures.exports.table import NOT_GIVEN, Table
from enclosures.models import PHOTO_TABLES

# The columns other people's files have: these names never change.
CONTRACT = {
    "enclosures": "enclosure name kind indoor water_volume_l surface_m2 litter_level litter_g_m2_year",
    "facility": "name code time_zone default_due_fill",
    "filters": "filter enclosure kind commissioned_on",
    "filter_builds": "filter valid_from chamber_area_m2 void_height_mm usable_fraction due_fill baseline_flow_l_per_h "
    "baseline_head_mm",
    "food_items": "food_item name food_class valid_from moisture_percent protein_percent",
    "feedings": "entry enclosure occurred_at food_item offered_g eaten entered_at entered_by note",
    "soundings": "entry filter occurred_at depth_mm qualifier entered_at entered_by note",
    "cleanouts": "entry filter occurred_at outcome depth_before_mm depth_after_mm slurry_l depth_before_qualifier",
    "water_tests": "entry enclosure occurred_at place analyte value qualifier unit expressed_as kit",
    "flow_checks": "entry filter occurred_at flow_l_per_h head_difference_mm level_over_media_mm odour",
    "animals": "animal taxon sex hatched_from hatched_to origin",
    "seasons": "enclosure kind from_on to_on",
    "stays": "animal enclosure from_at to_at reason",
    "measurements": "entry animal occurred_at mass_g scl_mm",
}
REQUIRED = {
    "enclosures": "enclosure kind indoor water_volume_l",
    "facility": "",
    "filters": "filter enclosure kind",
    "filter_builds": "filter valid_from chamber_area_m2 void_height_mm",
    "food_items": "food_item food_class moisture_percent protein_percent",
    "feedings": "enclosure occurred_at food_item offered_g",
    "soundings": "filter occurred_at depth_mm",
    "cleanouts": "filter occurred_at outcome",
    "water_tests": "enclosure occurred_at analyte value unit",
    "flow_checks": "filter occurred_at",
    "animals": "animal taxon",
    "seasons": "enclosure kind from_on",
    "stays": "animal enclosure from_at",
    "measurements": "animal occurred_at",
}
ELSEWHERE = {"id", "facility", "position"}


@pytest.mark.parametrize("name", CONTRACT)
def test_the_agreed_columns_are_there_and_only_the_agreed_ones_are_required(name: str) -> None:
    table = BY_NAME[name]
    assert [c for c in CONTRACT[name].split() if c not in table.header] == []
    assert {c.name for c in table.columns if c.is_required} == set(REQUIRED[name].split())


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_field_of_the_record_has_its_column(table: Table) -> None:
    """A field added to a model and not to its table would be lost on the way out."""
    paths = {path for column in table.columns for path in column.fields}

    def is_told(prefix: str, field: Any) -> bool:
        path = prefix + field.name
        return any(told == path or told.startswith(path + "__") for told in paths)

    lost = [f.name for f in table.model._meta.concrete_fields if f.name not in ELSEWHERE and not is_told("", f)]
    if table.part_model is not None:
        owner = table.model._meta.get_field(table.part).field.name  # type: ignore[union-attr]
        lost += [
            f.name
            for f in table.part_model._meta.concrete_fields
            if f.name not in {*ELSEWHERE, owner} and not is_told(f"{table.part}__", f)
        ]
    assert lost == []


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_what_the_record_cannot_be_without_is_required(table: Table) -> None:
    for column in table.columns:
        model = table.part_model if table.is_of_part(column) else table.model
        field: Any = model._meta.get_field(column.path.removeprefix(f"{table.part}__").partition("__")[0])  # type: ignore[union-attr]
        if field.auto_created:
            continue
        may_be_empty = field.blank or field.null or field.has_default() or column.default is not NOT_GIVEN
        filled_by_importer = column.name == "entered_at" or table.name == "facility" or column.name == table.number
        assert may_be_empty or filled_by_importer or column.is_required, column.name


def test_a_table_comes_after_those_it_refers_to() -> None:
    order = [table.name for table in TABLES]
    for table in TABLES:
        for reference in references_of(table.name):
            assert order.index(reference.target.name) <= order.index(table.name)


def test_every_column_says_what_it_means_and_numbers_say_in_what_unit() -> None:
    without_unit = {"amount", "value", "canonical", "lower", "upper"}  # their unit stands in another column
    for table in TABLES:
        for column in table.columns:
            assert column.meaning.endswith((".", "…")), (table.name, column.name)
            if column.kind is cells.NUMBER:
                assert column.unit or column.name in without_unit, (table.name, column.name)


def test_the_sets_of_columns_do_not_repeat_a_name() -> None:
    for table in TABLES:
        assert len(set(table.header)) == len(table.header)


def test_a_photo_says_in_which_file_its_entry_stands() -> None:
    files = {table.model._meta.model_name: f"{table.name}.csv" for table in TABLES}
    meaning = BY_NAME["photos"].by_name["table"].meaning
    assert meaning == f"The kind of entry it is of: {'; '.join(f'{name}, in {files[name]}' for name in PHOTO_TABLES)}."
