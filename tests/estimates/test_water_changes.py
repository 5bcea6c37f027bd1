from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import water_changes as w
from enclosures.estimates.checks import BadQuantity
from tests.worked_examples.example import Example
from tests.worked_examples.water_changes import EXAMPLES


@pytest.mark.parametrize("example", EXAMPLES, ids=str)
def test_water_change_algebra(example: Example) -> None:
    example.check()


def test_closed_forms_agree_with_changing_water_step_by_step() -> None:
    """The balance walked week by week, apart from the closed form."""
    level, peaks = 5.0, []
    for _ in range(12):
        level += 14
        peaks.append(level)
        level = w.after_change_mg_l(before_mg_l=level, change_share=0.25, source_mg_l=5)
    for n_cycles, peak in enumerate(peaks, start=1):
        assert w.peak_mg_l_after_cycles(
            rise_mg_l=14, change_share=0.25, n_cycles=n_cycles, source_mg_l=5
        ) == pytest.approx(peak)


def test_continuous_exchange_agrees_with_small_steps() -> None:
    level, step_days = 10.0, 0.001
    for _ in range(20_000):
        level += step_days * (2 + 0.05 * (5 - level)) / 1
    assert level == pytest.approx(32.124, abs=0.01)


@given(now=st.floats(11, 500), target=st.floats(6, 500), source=st.floats(0, 5))
def test_one_change_of_the_advised_size_reaches_the_target(now: float, target: float, source: float) -> None:
    share = w.change_share_to_reach(now_mg_l=now, target_mg_l=target, source_mg_l=source)
    assert 0 <= share <= 1
    after = w.after_change_mg_l(before_mg_l=now, change_share=share, source_mg_l=source)
    assert after == pytest.approx(min(now, target))


def test_twice_the_volume_rises_half_as_fast() -> None:
    fast = w.rise_mg_l_per_day(production_g_per_day=3, water_volume_m3=1)
    assert w.rise_mg_l_per_day(production_g_per_day=3, water_volume_m3=2) == pytest.approx(fast / 2)


def test_source_water_above_the_target_is_said_plainly() -> None:
    with pytest.raises(BadQuantity, match="source water holds 50 mg/L"):
        w.change_share_to_reach(now_mg_l=80, target_mg_l=40, source_mg_l=50)
    with pytest.raises(BadQuantity, match="source water"):
        w.exchange_m3_per_day_for_limit(production_g_per_day=2, limit_mg_l=40, source_mg_l=40)


def test_water_already_good_needs_no_change() -> None:
    assert w.change_share_to_reach(now_mg_l=30, target_mg_l=40) == 0
    assert w.n_changes_to_reach(now_mg_l=30, target_mg_l=40, change_share=0.3) == 0


def test_changes_are_counted_up_to_whole_ones_by_the_caller() -> None:
    assert math.ceil(w.n_changes_to_reach(now_mg_l=80, target_mg_l=20, change_share=0.30)) == 4


def test_void_takes_back_part_of_the_nitrate() -> None:
    assert w.nitrate_n_g_per_day(tan_nitrified_g_per_day=10, denitrified_share=0.3) == pytest.approx(6.86)
