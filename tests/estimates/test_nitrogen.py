from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import nitrogen
from enclosures.estimates.checks import BadQuantity
from enclosures.estimates.coefficients import default
from tests.worked_examples.example import Example
from tests.worked_examples.feed_and_nitrogen import EXAMPLES


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.call.startswith("nitrogen.")], ids=str)
def test_nitrogen_agrees_with_its_source(example: Example) -> None:
    example.check()


@given(ration=st.floats(0.05, 2.5))
def test_ammonia_and_urea_add_up_to_the_total(ration: float) -> None:
    """LYH05: the three regressions were restored from a text without decimal points; additivity confirms it (5e-4)."""
    given_off = nitrogen.excretion_LYH05(ration)
    assert given_off.ammonia + given_off.urea == pytest.approx(given_off.total, abs=5e-4)


def test_excretion_is_near_half_of_the_nitrogen_eaten() -> None:
    """LYH05 (read): ammonia and urea together were 44-47 % of intake at 2 to 5 % ration, ammonia 53-57 % of the two."""
    for ration_percent in (2, 4, 5):
        protein_percent = ration_percent * 0.4606
        given_off = nitrogen.excretion_LYH05(protein_percent)
        intake = protein_percent * nitrogen.UMOL_N_PER_G_BODY_PER_PROTEIN_PERCENT
        assert 0.43 <= given_off.total / intake <= 0.48
        assert 0.52 <= given_off.ammonia_share <= 0.58


def test_fish_design_value_is_too_low_for_a_bed_over_a_void() -> None:
    growing = nitrogen.k_long_run(
        retained_share=default("retained_share_growing"), vacuumed_share=default("vacuumed_n_share")
    )
    assert growing == pytest.approx(default("k_tan_growing"))
    assert growing > nitrogen.k_fish_TE()
    assert default("k_tan_adult") > growing


def test_the_adult_default_lies_inside_its_own_balance() -> None:
    """The balance gives 0.141; the default 0.125 is judgement below it, inside the stated 0.10-0.15."""
    balance = nitrogen.k_long_run(
        retained_share=default("retained_share_adult"), vacuumed_share=default("vacuumed_n_share")
    )
    assert balance == pytest.approx(0.1408)
    assert default("k_tan_adult") < balance < 0.15


@given(protein=st.floats(0, 1e4), retained=st.floats(0, 0.6), vacuumed=st.floats(0, 0.4))
def test_nitrogen_is_neither_made_nor_lost(protein: float, retained: float, vacuumed: float) -> None:
    fed = nitrogen.feed_n_g(protein)
    dissolved = nitrogen.tan_g_per_day(protein, k=nitrogen.k_long_run(retained_share=retained, vacuumed_share=vacuumed))
    assert dissolved + fed * (retained + vacuumed) == pytest.approx(fed)
    assert nitrogen.soluble_n_g(fed_n_g=fed, retained_share=retained, vacuumed_n_g=fed * vacuumed) == pytest.approx(
        dissolved
    )


def test_load_is_shown_with_its_doubt() -> None:
    assert nitrogen.tan_range_g_per_day(100, k=0.125) == pytest.approx((7.5, 17.5))


def test_share_vacuumed_follows_from_sludge_and_feed() -> None:
    """0.18 kg sludge per kg feed at 4 % N, feed at 6.4 % N: about a tenth."""
    share = nitrogen.vacuumed_n_share(solids_kg_per_kg_feed=0.18, sludge_n_share=0.04, feed_n_share=0.064)
    assert share == pytest.approx(0.1125)


def test_growth_tells_how_much_was_kept() -> None:
    assert nitrogen.retained_share_from_growth(gain_g=10, fed_n_g=1.3) == pytest.approx(0.2)


def test_more_than_was_fed_cannot_be_kept_and_vacuumed() -> None:
    with pytest.raises(BadQuantity, match="retained_share"):
        nitrogen.k_long_run(retained_share=0.8, vacuumed_share=0.3)


def test_ammonia_cannot_exceed_the_nitrogen_in_protein() -> None:
    with pytest.raises(BadQuantity, match="k"):
        nitrogen.tan_g_per_day(10, k=0.2)
