from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.boards.how_the_water_is import build_how_the_water_is, build_readings_as_read, build_water_chart
from tests.actions.station import at, entered_on, make_enclosure
from tests.boards.pond import log_some_days, make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def cells(board: Any, row: int = 0) -> dict[str, Any]:
    return dict(zip((column.analyte for column in board.columns), board.rows[row].cells, strict=True))


def test_a_reading_beyond_the_kit_keeps_its_sign_and_its_raw_figure(facility: Any) -> None:
    """NH3 to N is 14.007 / 17.031 = 0.8224 (standard atomic masses), so "> 8" as NH3 is "> 6.58" as N."""
    pond = make_pond(facility)
    log_some_days(pond, n=2)
    tan = cells(build_how_the_water_is(enclosure=pond.enclosure, today=TODAY))["tan"]
    assert plain(tan.text) == "> 6.58"
    assert plain(tan.raw) == "> 8 mg/L as NH₃ as read"
    assert tan.level == "act"


def test_a_reading_without_a_basis_is_shown_and_not_counted(facility: Any) -> None:
    tub = make_enclosure(facility, "T1", kind="tub", indoor=True)
    day = TODAY - timedelta(days=1)
    log_water_test(
        enclosure=tub,
        moment=at(day, 9, 0, facility),
        readings=[ReadingGiven(analyte="tan", value=0.5, unit="mg/L")],
        stamp=entered_on(day),
    )
    board = build_how_the_water_is(enclosure=tub, today=TODAY)
    tan = cells(board)["tan"]
    assert (tan.text, plain(tan.raw)) == ("?", "0.5 mg/L, basis not noted")
    (raw,) = build_readings_as_read(enclosure=tub, today=TODAY)
    assert raw.counted == "not counted: basis not noted"
    assert board.series == ()


def test_temperatures_of_the_day_stand_in_the_row_of_its_test(facility: Any) -> None:
    pond = make_pond(facility)
    log_some_days(pond, n=5)
    board = build_how_the_water_is(enclosure=pond.enclosure, today=TODAY)
    assert len(board.rows) == 1, "days with only a temperature are no rows of their own beside a real test"
    assert cells(board)["temperature"].text == "14.6"


def test_a_pond_follows_the_season_and_has_no_temperature_line(facility: Any) -> None:
    pond = make_pond(facility)
    log_some_days(pond, n=1)
    looks = {
        column.analyte: plain(column.look)
        for column in build_how_the_water_is(enclosure=pond.enclosure, today=TODAY).columns
    }
    assert looks["temperature"] == "–"
    assert looks["ph"] == "< 6.5, > 8.5"
    assert looks["tan"] == "≥ 0.5"


def test_an_enclosure_never_tested_has_an_empty_board_and_no_chart(facility: Any) -> None:
    tub = make_enclosure(facility, "T1", kind="tub")
    assert build_how_the_water_is(enclosure=tub, today=TODAY).is_empty
    assert build_water_chart(enclosure=tub, today=TODAY).is_empty
