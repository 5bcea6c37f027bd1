from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import ammonia
from enclosures.estimates.checks import OutOfRange
from tests.worked_examples.example import Example
from tests.worked_examples.water import AMMONIA, EMERSON, KIT_TABLES


@pytest.mark.parametrize("example", [*AMMONIA, *EMERSON, *KIT_TABLES], ids=str)
def test_un_ionised_share_agrees_with_its_source(example: Example) -> None:
    example.check()


@pytest.mark.parametrize(("temp_c", "ph"), [(12, 7.2), (20, 8.0), (31, 8.8)])
def test_the_right_constant_is_used_and_not_its_common_misprint(temp_c: float, ph: float) -> None:
    """E75 has 2729.92; some public code has 2727.92, which is 1.5 % off in the share: more than our tolerance would hide."""
    misprint = 1 / (1 + 10 ** (0.09018 + 2727.92 / (temp_c + 273.15) - ph))
    ours = ammonia.un_ionised_fraction(ph=ph, temp_c=temp_c)
    assert abs(misprint / ours - 1) > 0.008


def test_a_tenth_of_ph_matters_more_than_brackish_salt() -> None:
    plain = ammonia.un_ionised_fraction(ph=8.0, temp_c=25)
    salted = ammonia.un_ionised_fraction(ph=8.0, temp_c=25, salinity_g_kg=10)
    shifted = ammonia.un_ionised_fraction(ph=8.1, temp_c=25)
    assert 0.05 < 1 - salted / plain < 0.07
    assert 0.23 < shifted / plain - 1 < 0.26


def test_range_from_ph_doubt_holds_the_share_itself() -> None:
    low, high = ammonia.un_ionised_range(ph=7.8, temp_c=24, ph_error=0.2)
    assert low < ammonia.un_ionised_fraction(ph=7.8, temp_c=24) < high
    assert high / low == pytest.approx(2.45, abs=0.1)


@given(ph=st.floats(3, 10.9), temp_c=st.floats(0, 44.9), salinity=st.floats(0, 34))
def test_share_rises_with_ph_and_warmth_and_falls_with_salt(ph: float, temp_c: float, salinity: float) -> None:
    share = ammonia.un_ionised_fraction(ph=ph, temp_c=temp_c, salinity_g_kg=salinity)
    assert 0 < share < 1
    assert ammonia.un_ionised_fraction(ph=ph + 0.1, temp_c=temp_c, salinity_g_kg=salinity) > share
    assert ammonia.un_ionised_fraction(ph=ph, temp_c=temp_c + 0.1, salinity_g_kg=salinity) > share
    assert ammonia.un_ionised_fraction(ph=ph, temp_c=temp_c, salinity_g_kg=salinity + 1) < share


@pytest.mark.parametrize(
    ("inputs", "argument"),
    [
        ({"ph": 12, "temp_c": 20}, "ph"),
        ({"ph": 8, "temp_c": 77}, "temp_c"),
        ({"ph": 8, "temp_c": float("nan")}, "temp_c"),
    ],
)
def test_impossible_readings_are_refused_by_name(inputs: dict[str, float], argument: str) -> None:
    with pytest.raises(OutOfRange, match=argument) as refused:
        ammonia.un_ionised_fraction(**inputs)
    assert refused.value.argument == argument
