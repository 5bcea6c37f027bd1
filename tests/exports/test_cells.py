"""One value in one cell, both ways."""

from __future__ import annotations

import csv
import io
import math
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.exports import cells
from enclosures.exports.archive import csv_line
from enclosures.exports.cells import CellError

PARIS = ZoneInfo("Europe/Paris")


@pytest.mark.parametrize(
    ("value", "text"),
    [(12.0, "12"), (12.5, "12.5"), (0.1 + 0.2, "0.30000000000000004"), (-0.0, "0"), (1e-05, "0.00001"), (2_000_000.0, "2000000")],
)  # fmt: skip
def test_a_number_is_written_as_short_as_it_reads_back(value: float, text: str) -> None:
    assert cells.NUMBER.write(value) == text
    assert cells.NUMBER.read(text, PARIS) == value


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_number_reads_back_to_the_last_bit(value: float) -> None:
    text = cells.number_text(value)
    assert cells.number_from(text) == value
    assert not text.endswith(".0")


@pytest.mark.parametrize(
    "text", ["nan", "inf", "-Infinity", "1e999", "1_000", "１２", "12 mm", "0x10", "", "1.2.3", "--1"]
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(CellError):
        cells.number_from(text)


def test_a_decimal_comma_is_answered_with_the_number_as_it_should_be() -> None:
    with pytest.raises(CellError, match=r"write decimals with a dot \(12\.5\)"):
        cells.number_from("12,5")


def test_a_date_known_to_the_day_stays_a_date() -> None:
    moment = cells.MOMENT.read("2025-10-04", PARIS)
    assert (moment.on, moment.precision) == (date(2025, 10, 4), "day")
    assert cells.MOMENT.write(moment.at, moment.on, moment.offset_min, moment.precision) == "2025-10-04"


@pytest.mark.parametrize("text", ["2025-10-04T07:58+02:00", "2025-10-04T05:58Z", "2025-10-04T07:58:03.000001-05:30"])
def test_a_time_keeps_the_offset_it_was_written_with(text: str) -> None:
    moment = cells.MOMENT.read(text, PARIS)
    assert cells.MOMENT.write(moment.at, moment.on, moment.offset_min, moment.precision) == text


@pytest.mark.parametrize("text", ["04.10.2025", "2025-13-01", "1776-07-04", "0001-01-01T00:00+14:00", "yesterday"])
def test_what_is_no_date_is_refused(text: str) -> None:
    for kind in (cells.MOMENT, cells.DAY, cells.INSTANT):
        with pytest.raises(CellError):
            kind.read(text, PARIS)


def test_an_instant_is_written_in_utc_with_seconds_as_the_table_schema_asks() -> None:
    """Table Schema, "datetime": an ISO 8601 string like 2025-10-04T05:58:00Z in UTC (specs.frictionlessdata.io/table-schema)."""
    at = datetime(2025, 10, 4, 7, 58, tzinfo=PARIS)
    assert cells.INSTANT.write(at) == "2025-10-04T05:58:00Z"
    assert cells.INSTANT.read("2025-10-04T05:58:00Z", PARIS) == at.astimezone(UTC)


@given(st.dictionaries(st.text(min_size=1, max_size=20).filter(lambda name: name.strip() and "\x00" not in name),
                       st.floats(0.001, 100_000), max_size=4))  # fmt: skip
def test_units_of_any_name_read_back(units: dict[str, float]) -> None:
    assert cells.UNITS.read(cells.UNITS.write(units) or ";", PARIS) == units


def test_units_are_written_as_a_person_would() -> None:
    assert cells.UNITS.write({"piece": 1.2, "cube": 3.2}) == "cube=3.2; piece=1.2"
    assert cells.UNITS.read("piece=1.2; cube=3.2", PARIS) == {"piece": 1.2, "cube": 3.2}


@pytest.mark.parametrize("text", ["piece", "piece=heavy", "=1", "a=1; a=2", "a=0", f"{'x' * 21}=1"])
def test_units_that_say_nothing_clear_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        cells.UNITS.read(text, PARIS)


@given(st.lists(st.text(st.characters(exclude_categories=("Cs",))), min_size=2, max_size=5))
def test_any_text_passes_through_a_csv_line(row: list[str]) -> None:
    """RFC 4180, section 2: fields with line breaks, quotes and commas are quoted, quotes doubled. Read by Python's own reader."""
    assert next(csv.reader(io.StringIO(csv_line(row), newline=""), strict=True)) == row


def test_nothing_that_is_not_finite_is_ever_written() -> None:
    with pytest.raises(CellError):
        cells.number_text(math.nan)
