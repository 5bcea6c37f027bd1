"""What a kit's figure means in mg/L, and what is kept when that is not known.

Shares of nitrogen by standard atomic masses (CIAAW 2021: N 14.007, H 1.008, O 15.999, C 12.011, Ca 40.078), worked by hand.
"""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.actions.entries import Refused
from enclosures.actions.water import ReadingGiven, log_water_change, log_water_test
from enclosures.models import Reading, TestKit
from tests.actions.station import make_enclosure, on, stamp
from tests.conftest import TODAY


@pytest.fixture
def tub(facility: Any) -> Any:
    return make_enclosure(facility, "T1", kind="tub", indoor=True, water_volume_l=80)


@pytest.mark.parametrize(
    ("analyte", "value", "unit", "expressed_as", "canonical"),
    [
        ("tan", 1.0, "mg/L", "NH3", 0.8224),  # 14.007 / 17.031
        ("tan", 1.0, "mg/L", "NH4", 0.7765),  # 14.007 / 18.039
        ("nitrite", 1.0, "mg/L", "NO2", 0.3045),  # 14.007 / 46.005
        ("nitrate", 10.0, "mg/L", "N", 44.27),  # 62.004 / 14.007
        ("nitrate", 40.0, "mg/L", "NO3", 40.0),
        ("kh", 6.0, "dKH", "", 107.1),  # one degree is 10 mg/L CaO = 17.85 mg/L CaCO3
        ("kh", 110.0, "mg/L", "CaCO3", 110.0),
        ("temperature", 77.0, "degF", "", 25.0),
        ("temperature", 25.0, "degC", "", 25.0),
        ("ph", 7.5, "pH", "", 7.5),
        ("do", 7.9, "mg/L", "", 7.9),
        ("salinity", 0.4, "g/L", "", 0.4),
    ],
)
def test_a_reading_is_kept_as_read_and_computed_onto_one_basis(
    facility: Any, tub: Any, analyte: str, value: float, unit: str, expressed_as: str, canonical: float
) -> None:
    given = ReadingGiven(analyte=analyte, value=value, unit=unit, expressed_as=expressed_as)
    test = log_water_test(enclosure=tub, moment=on(TODAY, facility), readings=[given], stamp=stamp()).record
    reading = test.readings.get()
    assert (reading.value, reading.unit, reading.expressed_as) == (value, unit, expressed_as)
    assert reading.canonical == pytest.approx(canonical, rel=2e-4)
    assert test.flags == []


def test_without_a_basis_no_figure_is_computed_and_the_test_is_flagged(facility: Any, tub: Any) -> None:
    readings = [
        ReadingGiven(analyte="tan", value=0.5, unit="mg/L"),
        ReadingGiven(analyte="kh", value=110, unit="mg/L"),
        ReadingGiven(analyte="nitrite", value=0.1, unit="mg/L", expressed_as="NO3"),
        ReadingGiven(analyte="ph", value=7.4, unit="pH"),
    ]
    test = log_water_test(enclosure=tub, moment=on(TODAY, facility), readings=readings, stamp=stamp()).record
    assert test.flags == ["BASE"]
    assert list(test.readings.values_list("analyte", "value", "canonical")) == [
        ("tan", 0.5, None), ("kh", 110, None), ("nitrite", 0.1, None), ("ph", 7.4, 7.4),
    ]  # fmt: skip


def test_a_kit_says_the_basis_that_the_reading_leaves_out(facility: Any, tub: Any) -> None:
    TestKit.objects.create(code="A", analyte="tan", reports_as="NH3")
    given = ReadingGiven(analyte="tan", value=8, unit="mg/L", qualifier=">", kit="A")
    log_water_test(enclosure=tub, moment=on(TODAY, facility), readings=[given], stamp=stamp())
    reading = Reading.objects.get()
    assert reading.canonical == pytest.approx(6.58, abs=0.005)
    assert (reading.qualifier, reading.expressed_as, reading.kit) == (">", "", "A")  # raw as read


@pytest.mark.parametrize(
    ("analyte", "value", "unit"),
    [("temperature", 77, "degC"), ("ph", 12, "pH"), ("do", 80, "mg/L"), ("tan", -1, "mg/L")],
)
def test_a_reading_that_cannot_be_is_refused_beside_its_field(
    facility: Any, tub: Any, analyte: str, value: float, unit: str
) -> None:
    given = ReadingGiven(analyte=analyte, value=value, unit=unit, expressed_as="N" if analyte == "tan" else "")
    with pytest.raises(Refused) as refused:
        log_water_test(enclosure=tub, moment=on(TODAY, facility), readings=[given], stamp=stamp())
    assert list(refused.value.errors) == [analyte]
    assert Reading.objects.count() == 0


def test_a_change_of_more_than_three_times_the_water_is_refused(facility: Any, tub: Any) -> None:
    with pytest.raises(Refused) as refused:
        log_water_change(enclosure=tub, moment=on(TODAY, facility), volume_l=241, stamp=stamp())
    assert "three times the water in T1" in refused.value.errors["volume_l"]
    assert log_water_change(enclosure=tub, moment=on(TODAY, facility), volume_l=16, stamp=stamp()).is_new
