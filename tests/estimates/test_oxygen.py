from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import oxygen
from tests.worked_examples.example import Example
from tests.worked_examples.water import OXYGEN


@pytest.mark.parametrize("example", OXYGEN, ids=str)
def test_oxygen_agrees_with_its_source(example: Example) -> None:
    example.check()


@given(temp_c=st.floats(0, 39), salinity=st.floats(0, 39), pressure=st.floats(0.55, 1.05))
def test_warm_salty_thin_air_water_holds_less(temp_c: float, salinity: float, pressure: float) -> None:
    def held(t: float, s: float, p: float) -> float:
        return oxygen.saturation_mg_l_BK84(t, salinity_g_kg=s, pressure_atm=p)

    here = held(temp_c, salinity, pressure)
    assert held(temp_c + 1, salinity, pressure) < here
    assert held(temp_c, salinity + 1, pressure) < here
    assert held(temp_c, salinity, pressure + 0.02) > here


def test_what_the_bed_takes_is_missing_at_the_outlet() -> None:
    needed = oxygen.oxygen_needed_g_per_day(tan_g_per_day=10, dry_feed_g_per_day=100)
    left = oxygen.do_out_mg_l(do_in_mg_l=8, flow_m3_h=2.4, oxygen_g_per_day=needed)
    assert needed == pytest.approx(10 * 4.57 + 100 * 0.2)
    assert oxygen.oxygen_used_g_per_day(flow_m3_h=2.4, do_in_mg_l=8, do_out_mg_l=left) == pytest.approx(needed)


def test_a_starved_bed_leaves_no_oxygen_rather_than_less_than_none() -> None:
    assert oxygen.do_out_mg_l(do_in_mg_l=6, flow_m3_h=0.2, oxygen_g_per_day=500) == 0


def test_saturated_water_is_one_hundred_per_cent() -> None:
    assert oxygen.saturation_share(oxygen.saturation_mg_l_BK84(22.0), temp_c=22.0) == pytest.approx(1)
