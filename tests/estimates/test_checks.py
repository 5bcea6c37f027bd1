from __future__ import annotations

import pytest

from enclosures.estimates import checks


@pytest.mark.parametrize(
    ("check", "inside", "outside"),
    [
        (checks.check_temp_c, (-2, 45), (-2.1, 77)),
        (checks.check_ph, (3, 11), (2.9, 12)),
        (checks.check_salinity, (0, 45), (-1, 60)),
        (checks.check_pressure_atm, (0.5, 1.1), (0.4, 760)),
        (checks.check_altitude_m, (0, 5000), (9000,)),
        (checks.check_void_height_mm, (10, 2000), (9, 3000)),
        (checks.check_usable_fraction, (0.2, 1), (0.1, 1.2)),
        (checks.check_porosity, (0.05, 0.95), (0, 1)),
        (checks.check_area_m2, (0.02, 4), (0, -1)),
    ],
)
def test_the_ends_are_allowed_and_beyond_them_a_sentence_names_the_argument(check, inside, outside) -> None:
    for value in inside:
        check(value, "some_argument")
    for value in (*outside, float("nan"), float("inf")):
        with pytest.raises(checks.BadQuantity, match="some_argument"):
            check(value, "some_argument")


def test_the_sentence_gives_the_range_its_unit_and_what_was_typed() -> None:
    with pytest.raises(checks.OutOfRange) as refused:
        checks.check_temp_c(77)
    assert str(refused.value) == "Water temperature (temp_c) must be from -2 to 45 °C; got 77."


def test_every_refusal_is_a_value_error() -> None:
    assert issubclass(checks.UnknownBasis, checks.BadQuantity)
    assert issubclass(checks.OutOfRange, checks.BadQuantity)
    assert issubclass(checks.BadQuantity, ValueError)


def test_shares_amounts_and_concentrations_have_their_ends() -> None:
    checks.check_fraction(1, "share")
    checks.check_not_negative(0, "amount")
    with pytest.raises(checks.OutOfRange, match="share"):
        checks.check_fraction(1.01, "share")
    with pytest.raises(checks.OutOfRange, match="amount"):
        checks.check_not_negative(-0.01, "amount")
    with pytest.raises(checks.BadQuantity, match="divisor"):
        checks.check_positive(0, "divisor")
    with pytest.raises(checks.OutOfRange, match="reading"):
        checks.check_mg_l(-1, "reading")
