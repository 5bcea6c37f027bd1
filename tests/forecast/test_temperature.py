"""Daily water temperature from tests, climate and room."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.inputs import FilterEvidence, TemperatureSeen
from enclosures.forecast.temperature import temperatures_c

FIRST = date(2024, 1, 1)


def series(*tests, days=365, as_of=date(2030, 1, 1), **more):
    evidence = FilterEvidence(
        filter="F",
        enclosure="E",
        commissioned_on=None,
        builds=(),
        temperatures=tuple(TemperatureSeen(on=FIRST + timedelta(days=n), temp_c=c) for n, c in tests),
        **more,
    )
    return temperatures_c(evidence, start=FIRST, n_days=days, as_of=as_of)


def test_indoors_without_tests_is_the_room():
    assert (series() == 24.0).all()
    assert (series(room_temp_c=26.5) == 26.5).all()


def test_outdoors_without_tests_is_the_climate():
    temps = series(is_indoor=False)
    assert temps[15] == pytest.approx(4.0, abs=0.3)  # mid January
    assert temps[212 + 15] == pytest.approx(24.0, abs=0.3)  # mid August


def test_a_tested_day_has_its_test():
    assert series((100, 21.5), (110, 22.5))[100] == pytest.approx(21.5, abs=1e-9)


def test_between_near_tests_it_is_interpolated():
    temps = series((100, 20.0), (110, 22.0))
    assert temps[105] == pytest.approx(21.0, abs=0.01)


def test_a_year_of_weekly_tests_teaches_the_wave():
    """Tests of a pond two degrees warmer than its climate, with noise: the year after follows the pond."""
    rng = np.random.default_rng(1)
    truth = series(is_indoor=False, days=1000) + 2.0
    temps = series(*[(n, truth[n] + rng.normal(0, 0.7)) for n in range(0, 500, 7)], is_indoor=False, days=1000)
    assert np.abs(temps[560:900] - truth[560:900]).max() < 1.0


def test_a_hot_week_does_not_warm_the_next_winter():
    temps = series((200, 32.0), (203, 32.0), is_indoor=False, days=500)
    assert temps[385] < 8.5


def test_tests_after_the_day_are_not_seen():
    assert (series((100, 30.0), as_of=FIRST + timedelta(days=99)) == 24.0).all()


def test_water_under_ice_is_not_below_freezing():
    assert series((10, 0.0), is_indoor=False).min() >= 0.5
