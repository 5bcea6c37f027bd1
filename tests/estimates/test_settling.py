from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import settling
from enclosures.estimates.checks import BadQuantity
from tests.worked_examples.bed import SETTLING
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", SETTLING, ids=str)
def test_settling_agrees_with_its_source(example: Example) -> None:
    example.check()


@pytest.mark.parametrize("reynolds", [5, 20, 100, 500])
def test_two_published_drag_curves_agree_within_eight_per_cent(reynolds: float) -> None:
    """B14 against SN33; both are fits, and near Reynolds 1 they differ by about 4 % for their own reasons."""
    assert settling.drag_coefficient_B14(reynolds) == pytest.approx(settling.drag_coefficient_SN33(reynolds), rel=0.08)


def test_whole_droppings_stay_in_any_void_and_the_finest_pass() -> None:
    """SOLIDS (read): trout faeces settle at 0.7 to 1.7 cm/s, 25 to 60 m/h; voids run at 2 to 7 m/h."""
    assert settling.m_per_h_from_mm_s(7) == pytest.approx(25.2)
    assert settling.m_per_h_from_mm_s(17) == pytest.approx(61.2)
    fine = settling.m_per_h_from_mm_s(settling.settling_mm_s(diameter_um=100, density_kg_m3=1050))
    assert fine < 2 < 7 < 25


@pytest.mark.parametrize(
    ("m_per_h", "removed"), [(14.8 / 24, 0.79), (19.1 / 24, 0.71), (40 / 24, 0.85), (80 / 24, 0.65)]
)
def test_capture_is_no_better_than_settling_basins_are_known_to_be(m_per_h: float, removed: float) -> None:
    """Trout basins at 14.8 to 19.1 m/d removed 71-79 % (read), settling ponds at 40 to 80 m/d 65-85 % (read-2nd, CB00)."""
    assert removed - 0.25 <= settling.capture_share(m_per_h) <= removed + 0.1


def test_still_water_drops_everything_and_gravity_feed_keeps_more() -> None:
    assert settling.capture_share(0) == 1
    assert settling.capture_share(3) == pytest.approx(0.5)
    assert settling.capture_share(5, median_m_per_h=30, geometric_sd=5) > settling.capture_share(5)


@given(upflow=st.floats(0.01, 100), more=st.floats(0.1, 10))
def test_faster_water_catches_less(upflow: float, more: float) -> None:
    assert settling.capture_share(upflow + more) < settling.capture_share(upflow)


@given(diameter=st.floats(10, 3000), density=st.floats(1010, 2000))
def test_stokes_is_never_slower_than_the_drag_that_holds_at_all_sizes(diameter: float, density: float) -> None:
    drag = settling.settling_mm_s(diameter_um=diameter, density_kg_m3=density)
    assert 0 < drag <= settling.stokes_mm_s_S51(diameter_um=diameter, density_kg_m3=density) * 1.001


def test_what_floats_does_not_settle() -> None:
    assert settling.stokes_mm_s_S51(diameter_um=100, density_kg_m3=900) < 0
    with pytest.raises(BadQuantity, match="density_kg_m3"):
        settling.settling_mm_s(diameter_um=100, density_kg_m3=900)
