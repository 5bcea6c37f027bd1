"""Numbers as people type them. Conversion factors are the exact ones of the international yard and pound agreement and of NIST SP 811."""

from __future__ import annotations

from contextlib import suppress
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.forms.typed import (
    CONCENTRATION,
    DURATION,
    FLOW,
    LENGTH,
    MASS,
    PLAIN,
    TEMPERATURE,
    VOLUME,
    CannotRead,
    UnitSet,
    read_quantity,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("24.5", 24.5), ("24,5", 24.5), (" 24.5 ", 24.5), (".5", 0.5), (",5", 0.5), ("-2", -2), ("−0,5", -0.5),
        ("7 800", 7800), ("7\u202f800", 7800), ("7'800", 7800), ("1,234.5", 1234.5), ("1.234,5", 1234.5), ("0,125", 0.125),
        ("½", 0.5), ("1½", 1.5), ("1 ½", 1.5), ("1/2", 0.5), ("1 1/2", 1.5), ("¾", 0.75), ("12.500", 12.5),
    ],
)  # fmt: skip
def test_commas_points_spaces_and_fractions_are_read(text: str, value: float) -> None:
    assert read_quantity(text, PLAIN).value == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "unit_set", "value"),
    [
        ("77 °F", TEMPERATURE, 25), ("77F", TEMPERATURE, 25), ("25 °C", TEMPERATURE, 25), ("32 degF", TEMPERATURE, 0),
        ("8.4 oz", MASS, 238.136), ("1 lb", MASS, 453.592), ("1.2 kg", MASS, 1200), ("12 g", MASS, 12),
        ("8.3 cm", LENGTH, 83), ("5 in", LENGTH, 127), ('5"', LENGTH, 127), ("0.1 m", LENGTH, 100),
        ("40 us gal", VOLUME, 151.416), ("40 imp gal", VOLUME, 181.844), ("250 ml", VOLUME, 0.25), ("1 m³", VOLUME, 1000),
        ("30 L/min", FLOW, 1800), ("2.4 m3/h", FLOW, 2400), ("500 us gal/h", FLOW, 1892.71),
        ("400 µg/L", CONCENTRATION, 0.4), ("0.5 ppm", CONCENTRATION, 0.5), ("1.5 h", DURATION, 90), ("90 min", DURATION, 90),
    ],
)  # fmt: skip
def test_a_unit_written_behind_the_number_is_believed(text: str, unit_set: UnitSet, value: float) -> None:
    assert read_quantity(text, unit_set).value == pytest.approx(value, rel=1e-3)


def test_another_unit_is_told_and_the_fields_own_is_not() -> None:
    assert read_quantity("77 °F", TEMPERATURE).typed == "77 °F"
    assert read_quantity("25 °C", TEMPERATURE).typed == ""
    assert read_quantity("25", TEMPERATURE).typed == ""


@pytest.mark.parametrize("text", ["40 gal", "40 gallons", "40 Gal."])
def test_a_gallon_is_asked_about_with_both_answers(text: str) -> None:
    with pytest.raises(CannotRead) as asked:
        read_quantity(text, VOLUME)
    assert [choice.text for choice in asked.value.choices] == ["40 us gal", "40 imp gal"]
    assert [choice.label.replace("\u00a0", " ") for choice in asked.value.choices] == [
        "40 us gal = 151 L",
        "40 imp gal = 182 L",
    ]


def test_a_comma_before_three_digits_is_asked_about_with_its_unit() -> None:
    with pytest.raises(CannotRead) as asked:
        read_quantity("1,250 g", MASS)
    assert [choice.text for choice in asked.value.choices] == ["1250 g", "1.25 g"]
    for choice in asked.value.choices:
        assert read_quantity(choice.text, MASS).value in (1250, 1.25)


@pytest.mark.parametrize(
    ("text", "sign"), [("> 8", ">"), (">8", ">"), ("≥ 8", ">="), (">= 8", ">="), ("< 8", "<"), ("≤8", "<="), ("8", "")]
)
def test_signs_are_read_where_they_have_a_meaning(text: str, sign: str) -> None:
    signs = {each: each for each in (">", ">=", "<", "<=")}
    assert read_quantity(text, PLAIN, signs=signs).qualifier == sign
    if sign:
        with pytest.raises(CannotRead, match="Write the number alone"):
            read_quantity(text, PLAIN)


@pytest.mark.parametrize(
    "text", ["", "abc", "1.2.3", "1/0", "1//2", "--3", "nan", "inf", "9" * 400, "1e3", "12 parsecs", "½½", "°F"]
)
def test_what_is_no_number_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(CannotRead) as refused:
        read_quantity(text, MASS)
    assert str(refused.value)[-1] in ".?"


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_and_never_breaks(text: str) -> None:
    for unit_set in (MASS, TEMPERATURE, VOLUME, PLAIN):
        with suppress(CannotRead):
            assert isfinite(read_quantity(text, unit_set).value)


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_a_number_written_by_us_is_read_back(value: float) -> None:
    assert read_quantity(f"{value:.6f}", PLAIN).value == pytest.approx(value, abs=1e-6)
