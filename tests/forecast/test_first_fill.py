from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from enclosures.forecast.first_fill import first_fill
from enclosures.forecast.inputs import Geometry

# A 40-US-gallon starter tank: a 150 mm chamber across its 460 mm end, a 50 mm void under a light grid.
STARTER = Geometry(valid_from=date(2025, 1, 1), chamber_area_m2=0.150 * 0.460, void_height_mm=50)
# Three musk yearlings of 40 g fed 1.1 % of their mass dry, six days in seven (hatchlings on their way there eat less).
YEARLINGS_G = 3 * 40 * 0.011 * 6 / 7


def fill(dry_g_per_day: float, *, geometry: Geometry = STARTER):
    return first_fill(geometry, dry_g_per_day=dry_g_per_day, rng=np.random.default_rng(4), surface_m2=0.915 * 0.46)


def test_a_lightly_stocked_starter_tank_is_left_alone_for_months() -> None:
    """Common practice, no source: such a filter runs for months untouched and wants vacuuming about every one to two years."""
    due = fill(YEARLINGS_G).due
    assert due.p10 is not None
    assert due.p10 > 183
    assert due.p10 < 730
    assert due.p90 is None or due.p90 > 365


def test_ten_times_the_feed_is_due_several_times_sooner() -> None:
    once, tenfold = fill(YEARLINGS_G).due, fill(10 * YEARLINGS_G).due
    assert once.p10
    assert tenfold.p10
    assert once.p10 > 3 * tenfold.p10


def test_a_higher_void_lasts_longer_and_nothing_fed_still_gathers_dust() -> None:
    higher = Geometry(valid_from=STARTER.valid_from, chamber_area_m2=STARTER.chamber_area_m2, void_height_mm=80)
    low, high = fill(2.0).due, fill(2.0, geometry=higher).due
    assert low.p10
    assert high.p10
    assert high.p10 > low.p10
    unfed = fill(0.0)
    assert unfed.due.p50 is None
    assert unfed.fill_after[2][1].p50 > 0


@pytest.mark.parametrize("diet", [-1.0, float("nan"), float("inf")])
def test_an_impossible_diet_is_refused(diet: float) -> None:
    with pytest.raises(ValueError, match="planned feed"):
        fill(diet)
