"""Crew sums are common practice, no source."""

from __future__ import annotations

import pytest

from enclosures.estimates import crew
from enclosures.estimates.checks import BadQuantity


def test_a_pond_void_asks_for_drums_and_an_hour() -> None:
    sums = crew.crew_sums(45)
    assert sums.slurry_l == pytest.approx(112.5)
    assert sums.minutes == pytest.approx(15 + 112.5 / 3.25 + 10 + 5)
    assert sums.n_drums == 8
    assert sums.slurry_kg == pytest.approx(118, abs=0.2)


def test_twenty_litres_of_slurry_weigh_about_twenty_one_kilograms() -> None:
    assert crew.crew_sums(8).slurry_kg == pytest.approx(21)


@pytest.mark.parametrize(("litres", "drums"), [(0, 0), (0.1, 1), (15, 1), (15.01, 2), (45, 3)])
def test_drums_are_whole(litres: float, drums: int) -> None:
    assert crew.n_drums(litres) == drums


def test_an_empty_void_still_takes_setting_up() -> None:
    assert crew.minutes(0) == 30


def test_a_vac_that_moves_nothing_is_refused() -> None:
    with pytest.raises(BadQuantity, match="l_per_min"):
        crew.minutes(10, l_per_min=0)
