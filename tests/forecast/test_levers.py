from __future__ import annotations

import pytest

from enclosures.forecast.levers import feed_factor


def test_feed_goes_with_mass_to_the_power_of_three_quarters() -> None:
    """Kleiber, "Body size and metabolism" (Hilgardia 6, 1932): metabolism goes with mass^0.75, so sixteen times the mass eats eight times
    as much (the exponent from memory; the arithmetic is exact)."""
    assert feed_factor((100.0, 1600.0), leave_n=1, leave_g=1600.0) == pytest.approx(1 / 9)
    assert feed_factor((100.0,), come_n=1, come_g=1600.0) == pytest.approx(9.0)


def test_animals_like_those_here_count_as_their_share() -> None:
    here = (300.0, 400.0, 900.0, 1200.0)
    assert feed_factor(here, leave_n=1) == pytest.approx(0.75)
    assert feed_factor(here, come_n=2) == pytest.approx(1.5)
    assert feed_factor(here, leave_n=4) == 0.0
    assert feed_factor(here) == 1.0


@pytest.mark.parametrize(
    ("here", "asked", "said"),
    [
        ((), {"come_n": 1}, "No animals are on record here today"),
        ((100.0,), {"leave_n": 2}, "Only 1 live here."),
        ((100.0, 120.0), {"leave_n": 1, "leave_g": 5000.0}, "weigh more than all"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(here: tuple[float, ...], asked: dict, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        feed_factor(here, **asked)
