from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import hydraulics
from enclosures.estimates.checks import BadQuantity
from tests.worked_examples.bed import HYDRAULICS, WATER
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", HYDRAULICS, ids=str)
def test_flow_agrees_with_its_source(example: Example) -> None:
    example.check()


@pytest.mark.parametrize("example", WATER, ids=str)
def test_water_is_as_dense_and_as_thick_as_iapws_says(example: Example) -> None:
    example.check()


def test_a_clean_coarse_bed_loses_less_than_a_ruler_shows_even_half_clogged() -> None:
    """ERG52: the fact that makes a measured rise meaningful, and a missing one meaningless."""
    clean, clogged = (
        hydraulics.head_mm_from_pa(
            hydraulics.bed_loss_pa_ERG52(upflow_m_per_h=10, grain_mm=20, porosity=porosity, depth_mm=400)
        )
        for porosity in (0.50, 0.25)
    )
    assert clean < 1
    assert clogged < 3


@pytest.mark.parametrize(
    ("porosity", "slow", "fast"), [(0.40, 2.8, 2.3), (0.30, 9.1, 6.5), (0.25, 18, 12), (0.20, 40, 25)]
)
def test_clogging_multiplies_head_loss(porosity: float, slow: float, fast: float) -> None:
    """ERG52, each term by itself, against free space 0.50 (lib: python)."""
    viscous = (1 - porosity) ** 2 / porosity**3 / (0.25 / 0.125)
    inertial = (1 - porosity) / porosity**3 / (0.5 / 0.125)
    assert viscous == pytest.approx(slow, rel=0.03)
    assert inertial == pytest.approx(fast, rel=0.05)
    ratios = [
        hydraulics.bed_loss_pa_ERG52(upflow_m_per_h=v, grain_mm=20, porosity=porosity, depth_mm=400)
        / hydraulics.bed_loss_pa_ERG52(upflow_m_per_h=v, grain_mm=20, porosity=0.5, depth_mm=400)
        for v in (0.01, 500)
    ]
    assert ratios == pytest.approx([viscous, inertial], rel=0.03)


def test_bucket_upflow_turnover_and_contact() -> None:
    flow = hydraulics.flow_l_per_h_from_bucket(litres=10, seconds=15)
    assert flow == pytest.approx(2400)
    assert hydraulics.upflow_m_per_h(flow_l_per_h=flow, area_m2=0.45) == pytest.approx(5.33, abs=0.01)
    assert hydraulics.turnover_per_h(flow_l_per_h=flow, water_volume_l=7800) == pytest.approx(0.31, abs=0.005)
    assert hydraulics.contact_time_min(media_m3=0.18, flow_l_per_h=flow) == pytest.approx(4.5)
    assert hydraulics.pore_residence_min(media_m3=0.18, porosity=0.5, flow_l_per_h=flow) == pytest.approx(2.25)


def test_head_is_compared_at_like_flow() -> None:
    assert hydraulics.head_at_flow_mm(head_mm=20, flow_l_per_h=1000, at_flow_l_per_h=2000, power=2) == pytest.approx(80)
    assert hydraulics.head_at_flow_mm(head_mm=20, flow_l_per_h=1000, at_flow_l_per_h=1000) == pytest.approx(20)


def test_slow_flow_in_a_pipe_is_laminar() -> None:
    assert hydraulics.friction_factor_COL39(1000, relative_roughness=0) == pytest.approx(0.064)
    assert hydraulics.pipe_head_m_darcy(flow_m3_h=0, diameter_mm=40, length_m=10) == 0


def test_holes_are_small_beside_their_pipe() -> None:
    assert hydraulics.hole_area_share(n_holes=20, hole_mm=5, pipe_mm=40) == pytest.approx(0.3125)


def test_lifting_water_costs_what_it_weighs() -> None:
    assert hydraulics.hydraulic_power_w(flow_l_per_h=3600, head_m=1, efficiency=1) == pytest.approx(9.778, abs=0.01)
    with pytest.raises(BadQuantity, match="efficiency"):
        hydraulics.hydraulic_power_w(flow_l_per_h=3600, head_m=1, efficiency=1.2)


@given(flow=st.floats(0.1, 20), diameter=st.floats(15, 110))
def test_a_wider_pipe_always_loses_less(flow: float, diameter: float) -> None:
    narrow = hydraulics.pipe_head_m_darcy(flow_m3_h=flow, diameter_mm=diameter, length_m=5)
    wide = hydraulics.pipe_head_m_darcy(flow_m3_h=flow, diameter_mm=diameter * 1.5, length_m=5)
    assert wide < narrow


def test_no_time_and_no_pipe_are_refused() -> None:
    with pytest.raises(BadQuantity, match="seconds"):
        hydraulics.flow_l_per_h_from_bucket(litres=10, seconds=0)
    with pytest.raises(BadQuantity, match="diameter_mm"):
        hydraulics.pipe_speed_m_s(flow_m3_h=1, diameter_mm=0)
