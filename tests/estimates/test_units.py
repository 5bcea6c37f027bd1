from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import units
from enclosures.estimates.checks import OutOfRange, UnknownBasis
from tests.worked_examples.example import Example
from tests.worked_examples.water import UNITS

amounts = st.floats(0, 1e6, allow_nan=False)


@pytest.mark.parametrize("example", UNITS, ids=str)
def test_ion_factors_agree_with_atomic_masses(example: Example) -> None:
    example.check()


@pytest.mark.parametrize(
    ("there", "back"),
    [
        (units.g_from_oz, units.oz_from_g),
        (units.l_from_us_gal, units.us_gal_from_l),
        (units.l_from_imp_gal, units.imp_gal_from_l),
        (units.c_from_f, units.f_from_c),
        (units.mm_from_in, units.in_from_mm),
    ],
)
@given(value=amounts)
def test_conversion_there_and_back_is_where_we_began(there, back, value: float) -> None:
    assert back(there(value)) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("got", "expected"),
    [
        (units.c_from_f(77), 25.0),
        (units.g_from_oz(5.6), 158.76),
        (units.l_from_us_gal(40), 151.4),
        (units.l_from_imp_gal(1), 4.546),
        (units.mm_from_in(4), 101.6),
        (units.alkalinity_mg_l_caco3(1, "dKH"), 17.85),
        (units.alkalinity_mg_l_caco3(1, "meq/L"), 50.04),
    ],
    ids=["77 degF", "5.6 oz", "40 US gal", "1 imp gal", "4 in", "1 dKH", "1 meq/L"],
)
def test_known_conversions(got: float, expected: float) -> None:
    """Exact by definition of the units; dKH is 10 mg/L CaO (memory)."""
    assert got == pytest.approx(expected, rel=5e-4)


@given(value=amounts, basis=st.sampled_from(["N", "NH3", "NH4", "NO2", "NO3"]))
def test_a_reading_turned_to_nitrogen_and_back_is_itself(value: float, basis: str) -> None:
    assert units.ion_mg_l(units.nitrogen_mg_l(value, basis), basis) == pytest.approx(value)


@pytest.mark.parametrize(
    ("written", "basis"),
    [
        ("NH4+", "NH4"),
        ("nh3", "NH3"),
        ("NO3⁻", "NO3"),
        ("NO₂", "NO2"),
        ("NO3-N", "N"),
        ("n", "N"),
        (" CaCO3 ", "CaCO3"),
        ("dKH", "dKH"),
    ],
)
def test_basis_is_understood_as_people_write_it(written: str, basis: str) -> None:
    assert units.basis_name(written) == basis


@pytest.mark.parametrize("written", ["", "  ", "NH3/NH4", "ppm", "total"])
def test_a_reading_without_a_known_basis_is_refused_with_a_question(written: str) -> None:
    with pytest.raises(UnknownBasis, match="expressed as"):
        units.nitrogen_mg_l(1.0, written)


@pytest.mark.parametrize(
    ("analyte", "basis"), [("nitrite", "NO3"), ("tan", "NO2"), ("nitrate", "NH4"), ("tan", "CaCO3")]
)
def test_a_basis_of_another_analyte_is_refused(analyte: str, basis: str) -> None:
    with pytest.raises(UnknownBasis, match=analyte):
        units.nitrogen_mg_l(1.0, basis, analyte=analyte)


def test_hardness_as_nitrogen_is_refused() -> None:
    with pytest.raises(UnknownBasis, match="CaCO3"):
        units.alkalinity_mg_l_caco3(6, "N")


def test_negative_readings_are_refused() -> None:
    with pytest.raises(OutOfRange, match="0 or more"):
        units.nitrogen_mg_l(-1, "N")


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        (7812, 2, "7\u202f800"),
        (0.04321, 2, "0.043"),
        (12.34, 2, "12"),
        (9.96, 2, "10"),
        (0.996, 2, "1.0"),
        (100, 2, "100"),
        (0, 2, "0"),
        (-3.14159, 3, "\u22123.14"),
        (1_234_567, 2, "1\u202f200\u202f000"),
        (math.inf, 2, "–"),
        (math.nan, 2, "–"),
    ],
)
def test_estimates_are_written_without_false_precision(value: float, figures: int, text: str) -> None:
    assert units.rounded_for_people(value, figures=figures) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.1, "0.1"), (26.40, "26.4"), (7800, "7\u202f800"), (-2, "\u22122"), (-0.0, "0"), (1 / 3, "0.333333")],
)
def test_recorded_numbers_are_written_as_they_were_noted(value: float, text: str) -> None:
    assert units.as_recorded(value) == text


def test_units_stay_on_the_line_of_their_number() -> None:
    assert units.quantity(7812, "L") == "7\u202f800\u00a0L"
    assert units.recorded_quantity(25.5, "degC") == "25.5\u00a0°C"
    assert units.recorded_quantity(7.4, "pH") == "7.4"
    assert units.percent(0.714) == "71\u00a0%"


def test_a_range_names_its_unit_once_and_collapses_when_both_ends_read_the_same() -> None:
    assert units.quantity_range(11.8, 15.2, "L") == "12–15\u00a0L"
    assert units.quantity_range(11.8, 12.2, "L") == "12\u00a0L"


@given(value=st.floats(-1e9, 1e9).filter(lambda v: abs(v) > 1e-6), figures=st.integers(1, 5))
def test_rounding_for_people_stays_within_half_a_figure(value: float, figures: int) -> None:
    text = units.rounded_for_people(value, figures=figures).replace(units.THIN, "").replace(units.MINUS, "-")
    assert float(text) == pytest.approx(value, rel=0.5 * 10 ** (1 - figures) * 1.001)
