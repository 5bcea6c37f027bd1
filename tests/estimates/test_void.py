from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import void
from enclosures.estimates.checks import BadQuantity

areas = st.floats(0.02, 50)
usable = st.floats(0.2, 1)


def test_usable_litres_leave_out_legs_and_corners() -> None:
    litres = void.usable_void_l(chamber_area_m2=0.45, void_height_mm=150, usable_fraction=0.75)
    assert litres == pytest.approx(50.6, abs=0.05)


@given(volume=st.floats(0, 1000), area=areas, share=usable)
def test_depth_and_volume_are_each_others_inverse(volume: float, area: float, share: float) -> None:
    depth = void.depth_mm_from_volume_l(volume, chamber_area_m2=area, usable_fraction=share)
    assert void.volume_l_from_depth_mm(depth, chamber_area_m2=area, usable_fraction=share) == pytest.approx(volume)


@given(depth=st.floats(0, 3000), area=areas, share=usable, height=st.floats(10, 2000))
def test_fill_by_the_rod_is_fill_by_volume(depth: float, area: float, share: float, height: float) -> None:
    volume = void.volume_l_from_depth_mm(depth, chamber_area_m2=area, usable_fraction=share)
    capacity = void.usable_void_l(chamber_area_m2=area, void_height_mm=height, usable_fraction=share)
    assert void.fill_fraction(depth, void_height_mm=height) == pytest.approx(volume / capacity)


def test_fill_may_pass_one_when_sludge_is_up_in_the_bed_and_then_nothing_is_free() -> None:
    assert void.fill_fraction(180, void_height_mm=150) == pytest.approx(1.2)
    assert void.free_void_l(60, chamber_area_m2=0.45, void_height_mm=150, usable_fraction=0.75) == 0
    assert void.free_void_l(20, chamber_area_m2=0.45, void_height_mm=150, usable_fraction=0.75) == pytest.approx(30.625)


@pytest.mark.parametrize(
    ("bad", "argument"),
    [
        ({"chamber_area_m2": 0}, "chamber_area_m2"),
        ({"void_height_mm": 5}, "void_height_mm"),
        ({"usable_fraction": 1.1}, "usable_fraction"),
    ],
)
def test_a_void_that_cannot_be_is_refused_by_name(bad: dict[str, float], argument: str) -> None:
    good = {"chamber_area_m2": 0.45, "void_height_mm": 150, "usable_fraction": 0.75}
    with pytest.raises(BadQuantity, match=argument):
        void.usable_void_l(**{**good, **bad})
