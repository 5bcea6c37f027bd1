"""Limits are common practice, no source; the tests hold the printed table and its signs."""

from __future__ import annotations

import pytest

from enclosures.estimates.limits import LIMITS
from enclosures.estimates.sources import SOURCES


@pytest.mark.parametrize(
    ("analyte", "value", "grade"),
    [
        ("tan", 0.2, "target"),
        ("tan", 0.49, "between"),
        ("tan", 0.5, "look"),
        ("tan", 1.0, "act"),
        ("tan", 101, "impossible"),
        ("nitrite", 0.3, "look"),
        ("nitrite", 0.6, "act"),
        ("nitrate", 40, "target"),
        ("nitrate", 80, "look"),
        ("nitrate", 150, "act"),
        ("ph", 7.4, "target"),
        ("ph", 6.5, "between"),
        ("ph", 6.4, "look"),
        ("ph", 8.5, "between"),
        ("ph", 8.6, "look"),
        ("ph", 5.9, "act"),
        ("ph", 9.1, "act"),
        ("kh", 60, "target"),
        ("kh", 39, "look"),
        ("kh", 19, "act"),
        ("temperature", 22, "target"),
        ("temperature", 18, "between"),
        ("temperature", 17.9, "look"),
        ("temperature", 30.1, "look"),
        ("temperature", 33.5, "act"),
        ("temperature", 77, "impossible"),
        ("do", 5, "target"),
        ("do", 4, "between"),
        ("do", 3.9, "look"),
        ("do", 2.4, "act"),
        ("chlorine", 0, "target"),
        ("chlorine", 0.05, "look"),
        ("chlorine", 0.2, "act"),
        ("salinity", 12, "between"),
        ("tan", float("nan"), "impossible"),
    ],
)
def test_grade_follows_the_signs_of_the_table(analyte: str, value: float, grade: str) -> None:
    assert LIMITS[analyte].grade(value) == grade


@pytest.mark.parametrize("analyte", LIMITS)
def test_limits_are_nested_and_name_a_known_source(analyte: str) -> None:
    limits = LIMITS[analyte]
    lows = [limits.hard[0], *(band[0] for band in (limits.act, limits.look, limits.target) if band[0] is not None)]
    highs = [*(band[1] for band in (limits.target, limits.look, limits.act) if band[1] is not None), limits.hard[1]]
    assert lows == sorted(lows)
    assert highs == sorted(highs)
    assert limits.source in SOURCES
