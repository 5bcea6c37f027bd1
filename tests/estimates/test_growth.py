from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import growth
from enclosures.estimates.checks import BadQuantity
from tests.worked_examples.animals import GROWTH
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", GROWTH, ids=str)
def test_growth_agrees_with_its_source(example: Example) -> None:
    example.check()


@given(years=st.floats(0, 20), k=st.floats(0.05, 2))
def test_time_to_a_length_is_the_inverse_of_the_length(years: float, k: float) -> None:
    length = growth.length_von_bertalanffy(start=27, final=173.4, k_per_year=k, years=years)
    if length < 173.39:
        back = growth.years_to_length(start=27, target=length, final=173.4, k_per_year=k)
        assert back == pytest.approx(years, abs=1e-3)


def test_a_length_past_the_final_one_is_never_reached() -> None:
    assert math.isinf(growth.years_to_length(start=27, target=200, final=173.4, k_per_year=0.28))
    assert growth.years_to_length(start=90, target=60, final=173.4, k_per_year=0.28) == 0


def test_recapture_form_is_the_same_curve() -> None:
    first = growth.length_von_bertalanffy(start=27, final=173.4, k_per_year=0.28, years=2)
    second = growth.length_von_bertalanffy(start=first, final=173.4, k_per_year=0.28, years=3)
    assert second == pytest.approx(growth.length_von_bertalanffy(start=27, final=173.4, k_per_year=0.28, years=5))


@pytest.mark.parametrize("curve", [growth.mass_gompertz, growth.mass_logistic])
def test_mass_curves_rise_to_their_final_mass(curve) -> None:
    masses = [curve(final=800, b=5, k_per_year=0.6, years=years) for years in range(0, 40, 4)]
    assert masses == sorted(masses)
    assert masses[-1] == pytest.approx(800, rel=0.01)


def test_logistic_begins_at_final_over_one_plus_b() -> None:
    assert growth.mass_logistic(final=600, b=5, k_per_year=1, years=0) == pytest.approx(100)
    assert growth.mass_gompertz(final=600, b=math.log(6), k_per_year=1, years=0) == pytest.approx(100)


def test_slider_growth_rate_over_the_trial() -> None:
    """SARNAT81 (read): 6.94 g at 8 weeks to 80.63 g at two years."""
    rate = growth.specific_growth_percent_per_day(first_g=6.94, last_g=80.63, days=730 - 56)
    assert rate == pytest.approx(100 * math.log(80.63 / 6.94) / 674)
    assert growth.mass_g_between(first_g=6.94, last_g=80.63, share_of_time=0.5) == pytest.approx(
        math.sqrt(6.94 * 80.63)
    )


def test_length_from_mass_turns_the_formula_round() -> None:
    assert growth.scl_mm_from_mass_POUGH80(growth.mass_g_from_scl_POUGH80(137.0)) == pytest.approx(137.0)


def test_condition_and_conversion() -> None:
    assert growth.condition_fulton(mass_g=138, scl_mm=95) == pytest.approx(0.161, abs=0.001)
    assert growth.feed_conversion(dry_feed_g=30, gain_g=20) == pytest.approx(1.5)
    with pytest.raises(BadQuantity, match="gain_g"):
        growth.feed_conversion(dry_feed_g=30, gain_g=0)


def test_one_length_twice_gives_no_exponent() -> None:
    with pytest.raises(BadQuantity, match="different lengths"):
        growth.mass_exponent(first_mm=50, first_g=20, last_mm=50, last_g=30)
