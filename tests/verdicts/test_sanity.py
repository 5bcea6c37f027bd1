"""Unit slips. The expected conversions are the exact definitions: 1 oz = 28.349523125 g, 1 US gal = 3.785411784 L,
1 imperial gal = 4.54609 L, 1 in = 25.4 mm, (°F - 32) / 1.8 (International Bureau of Weights and Measures; NIST SP 811)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.verdicts.quantities import QUANTITIES
from enclosures.verdicts.sanity import (
    allowed_mass_change,
    checked,
    composition_finding,
    depth_after_finding,
)


def test_fahrenheit_in_a_celsius_field_asks_and_only_the_converted_value_can_be_saved():
    found = checked("water_temp_c", 77, last=24.8)
    assert found.sentence == "77 °C? Did you mean 77 °F (25.0 °C)?"
    assert (found.kind, found.suggestion_value, found.must_convert, found.flag) == ("ask", 25.0, True, "")
    assert found.suggestion_label == "Yes, 25.0 °C"


def test_a_temperature_no_slip_explains_is_refused_with_the_range():
    found = checked("water_temp_c", 120)
    assert found.kind == "refuse"
    assert found.sentence == "Water temperature must be from −2 to 45 °C; 120 °C cannot be."


def test_an_ounce_scale_is_recognised_from_the_last_mass():
    found = checked("mass_g", 8.4, last=238)
    assert found.sentence == "8.4 g? Last time it was 238 g, that is −96 %. Did you mean 8.4 oz (238.1 g)?"
    assert found.suggestion_value == pytest.approx(8.4 * 28.349523125, abs=0.05)
    assert (found.must_convert, found.flag) == (False, "OUT")
    assert checked("mass_g", 5.6, last=159).suggestion_value == pytest.approx(158.8, abs=0.05)


def test_pounds_and_kilograms_are_recognised_too():
    assert checked("mass_g", 2.6, last=1180).suggestion_value == pytest.approx(2.6 * 16 * 28.349523125, abs=0.05)
    assert checked("mass_g", 1.18, last=1150).suggestion_value == 1180


def test_gallons_are_recognised_from_the_last_water_change_and_the_nearer_gallon_is_offered():
    us = checked("water_change_l", 40, last=150)
    assert us.sentence == "40 L? Last time it was 150 L. Did you mean 40 US gal (151 L)?"
    imperial = checked("water_change_l", 33, last=151)
    assert imperial.suggestion_value == pytest.approx(33 * 4.54609, abs=0.5)


def test_a_sounding_over_the_void_height_offers_a_tenth():
    found = checked("depth_mm", 830, last=77, limit=150)
    assert found.sentence == "830 mm? The void is 150 mm high. Did you mean 83 mm?"
    assert (found.suggestion_value, found.must_convert) == (83, True)


def test_a_sounding_in_centimetres_or_inches_is_recognised_from_the_last_one():
    assert checked("depth_mm", 8.3, last=77, limit=150).suggestion_value == 83
    assert checked("depth_mm", 3.1, last=77, limit=150).suggestion_value == pytest.approx(3.1 * 25.4, abs=0.5)


def test_a_rod_a_hair_over_the_void_asks_about_the_grid_and_one_well_over_it_is_refused():
    hair = checked("depth_mm", 152, limit=150)
    assert hair.sentence == "152 mm? The void is 150 mm high. Did the rod stop at the grid?"
    assert (hair.kind, hair.flag) == ("ask", "OUT")
    over = checked("depth_mm", 170, limit=150)
    assert over.kind == "refuse"
    assert over.sentence == (
        "Sludge depth cannot be 170 mm: the void is 150 mm high. If the rod stopped at the grid, say so instead."
    )


def test_an_unusual_value_no_slip_explains_asks_once_and_is_flagged():
    found = checked("water_temp_c", 40, last=25)
    assert (found.kind, found.flag, found.must_convert) == ("ask", "OUT", False)
    assert found.sentence == "40 °C? Last time it was 25 °C. Is it right?"
    assert checked("lay_to_hatch_days", 300).sentence == "300 days? Usual is 45 to 250 days. Is it right?"


def test_ordinary_values_pass_without_a_word():
    for quantity, value, more in (
        ("water_temp_c", 25, {"last": 24}),
        ("mass_g", 245, {"last": 238}),
        ("depth_mm", 83, {"last": 77, "limit": 150}),
        ("water_change_l", 130, {"last": 150}),
        ("flow_l_per_h", 1900, {"last": 2000, "limit": 4000}),
        ("offered_g", 12, {"last": 26}),
        ("tan_mg_l_as_n", 0.05, {}),
    ):
        assert checked(quantity, value, **more).is_ok, quantity


def test_flow_far_under_or_over_the_pumps_rating_is_asked_about():
    assert checked("flow_l_per_h", 45, limit=4000).suggestion_value == 2700  # litres a minute
    assert checked("flow_l_per_h", 4600, limit=4000).kind == "ask"
    assert checked("flow_l_per_h", 2400, limit=4000).is_ok


def test_ions_typed_as_nitrogen_are_offered_as_such():
    """0.822: the nitrogen share of NH3 by atomic weights (14.007 / 17.031)."""
    assert checked("tan_mg_l_as_n", 12).suggestion_value == pytest.approx(12 * 14.007 / 17.031, abs=0.01)


def test_german_degrees_of_hardness_are_offered_as_calcium_carbonate():
    """1 dKH = 17.85 mg/L CaCO3 (10 mg/L CaO x 100.09 / 56.08)."""
    assert checked("kh_mg_l_caco3", 6).suggestion_value == pytest.approx(6 * 17.85, abs=0.5)


def test_twice_and_a_half_the_plan_is_asked_about_and_less_than_the_plan_is_not():
    assert checked("offered_g", 66, last=26).kind == "ask"
    assert checked("offered_g", 64, last=26).is_ok
    assert checked("offered_g", 1, last=26).is_ok
    assert checked("offered_g", 260, last=26).suggestion_value == 26


def test_slurry_is_held_against_the_sludge_it_should_have_carried():
    assert checked("slurry_l", 128, last=50).is_ok
    assert checked("slurry_l", 20, last=50).kind == "ask"
    assert checked("slurry_l", 420, last=50).kind == "ask"


def test_what_is_no_number_is_refused():
    assert checked("mass_g", math.nan).kind == "refuse"
    assert checked("mass_g", math.inf).kind == "refuse"


def test_mass_may_change_more_the_longer_the_gap_and_most_in_hatchlings():
    assert allowed_mass_change(7, is_hatchling=False) == pytest.approx(0.15)
    assert allowed_mass_change(1, is_hatchling=False) == pytest.approx(0.15)
    assert allowed_mass_change(7, is_hatchling=True) == pytest.approx(0.40)
    assert allowed_mass_change(90, is_hatchling=False) == pytest.approx(0.30)
    assert checked("mass_g", 4.4, last=3.3, allowed_change=allowed_mass_change(7, is_hatchling=True)).is_ok
    assert not checked("mass_g", 280, last=238, allowed_change=allowed_mass_change(7, is_hatchling=False)).is_ok


def test_depth_after_a_cleanout_cannot_be_more_than_before():
    assert depth_after_finding(before_mm=120, after_mm=130).is_ok
    assert depth_after_finding(before_mm=12, after_mm=150).kind == "refuse"
    assert depth_after_finding(before_mm=None, after_mm=150).is_ok


def test_a_food_cannot_hold_more_than_itself():
    assert composition_finding(moisture_percent=8, protein_percent=40, fat_percent=10).is_ok
    found = composition_finding(moisture_percent=83.6, protein_percent=64, fat_percent=None)
    assert found.kind == "refuse"
    assert "147.6 %" in found.sentence


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=lambda q: q.key)
def test_soft_range_lies_within_the_hard_one(quantity):
    assert quantity.hard[0] <= quantity.soft[0] < quantity.soft[1] <= quantity.hard[1]


@given(
    key=st.sampled_from(sorted(QUANTITIES)),
    value=st.floats(-1e6, 1e7),
    last=st.none() | st.floats(0, 1e6),
    limit=st.none() | st.floats(1, 1e5),
)
def test_a_suggestion_is_always_savable_and_nothing_past_a_hard_limit_passes(key, value, last, limit):
    q = QUANTITIES[key]
    found = checked(key, value, last=last, limit=limit)
    if not q.is_hard_ok(value):
        assert found.kind == "refuse" or found.must_convert
    if found.suggestion_value is not None:
        assert q.hard[0] - 1 <= found.suggestion_value <= q.hard[1] + 1
    if found.kind != "ok":
        assert found.sentence.endswith(("?", ".")), found.sentence
