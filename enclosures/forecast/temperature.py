"""Water temperature for every day: logged tests where there are any, a seasonal wave fitted to them between, climate before."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

import numpy as np

from .inputs import FilterEvidence
from .priors import Floats

YEAR = 365.25
TEST_REACH_DAYS = 30  # how far from a test its departure from the wave still counts
MEAN_PSEUDO_TESTS = 2.0  # weight of "no departure from the climate" against own tests
WAVE_PSEUDO_TESTS = 4.0
COLDEST_C = 0.5  # water under ice


def day_of_year_angle(start: date, n_days: int) -> Floats:
    """Angle of the year (radians) for n_days from start."""
    first = (start - date(start.year, 1, 1)).days
    return 2.0 * np.pi * (first + np.arange(n_days)) / YEAR


def temperatures_c(evidence: FilterEvidence, *, start: date, n_days: int, as_of: date) -> Floats:
    """Daily water temperature (degC) for n_days from start; nothing tested after as_of is used.

    Base: the room indoors, the monthly climate outdoors. Its departure is fitted to own tests by one yearly wave, held near nought
    while tests are few. Between tests the remaining difference is interpolated and fades over a month.
    """
    base = _base_c(evidence, start, n_days)
    tests = _daily_tests(evidence, as_of)
    if not tests:
        return base
    days = np.array([(on - start).days for on in sorted(tests)], dtype=float)
    values = np.array([tests[on] for on in sorted(tests)])
    angle_start = day_of_year_angle(start, 1)[0]
    test_base = _base_at(evidence, start, days)
    wave_at_tests, wave = _fit_wave(angle_start + 2 * np.pi * days / YEAR, values - test_base)
    smooth = base + wave(day_of_year_angle(start, n_days))
    left_over = values - test_base - wave_at_tests
    grid = np.arange(n_days, dtype=float)
    fade = np.clip(1.0 - _days_to_test(grid, days) / TEST_REACH_DAYS, 0.0, 1.0)
    return np.maximum(smooth + np.interp(grid, days, left_over) * fade, COLDEST_C)


def _days_to_test(grid: Floats, days: Floats) -> Floats:
    """Days to the nearest test; none between two tests that are near each other."""
    after = np.searchsorted(days, grid)
    left = grid - days[np.maximum(after - 1, 0)]
    right = days[np.minimum(after, len(days) - 1)] - grid
    between = (after > 0) & (after < len(days)) & (left + right <= TEST_REACH_DAYS)
    return np.where(between, 0.0, np.minimum(np.abs(left), np.abs(right)))


def _base_c(evidence: FilterEvidence, start: date, n_days: int) -> Floats:
    return _base_at(evidence, start, np.arange(n_days, dtype=float))


def _base_at(evidence: FilterEvidence, start: date, days: Floats) -> Floats:
    if evidence.is_indoor:
        return np.full(len(days), float(evidence.room_temp_c))
    month_mid = (np.arange(12) + 0.5) * YEAR / 12
    first = (start - date(start.year, 1, 1)).days
    return np.interp((first + days) % YEAR, month_mid, np.array(evidence.monthly_temp_c, dtype=float), period=YEAR)


def _daily_tests(evidence: FilterEvidence, as_of: date) -> dict[date, float]:
    by_day: dict[date, list[float]] = defaultdict(list)
    for seen in evidence.temperatures:
        if seen.on <= as_of and -5.0 < seen.temp_c < 50.0:
            by_day[seen.on].append(seen.temp_c)
    return {on: sum(values) / len(values) for on, values in by_day.items()}


def _fit_wave(angle: Floats, departure: Floats):
    """Mean and one yearly wave by least squares, shrunk towards nought; the fit at the tests and a function of angle."""
    design = np.column_stack([np.ones_like(angle), np.cos(angle), np.sin(angle)])
    # one warm summer's tests must not bend the winter: the wave needs more than the mean to move
    ridge = np.diag([MEAN_PSEUDO_TESTS, WAVE_PSEUDO_TESTS, WAVE_PSEUDO_TESTS])
    coefficients = np.linalg.solve(design.T @ design + ridge, design.T @ departure)

    def wave(at: Floats) -> Floats:
        return coefficients[0] + coefficients[1] * np.cos(at) + coefficients[2] * np.sin(at)

    return design @ coefficients, wave
