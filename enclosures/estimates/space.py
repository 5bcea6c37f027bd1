"""Published reference minima of space for aquatic turtles, each with its place and what it was made for.

Reference only, never advice in law. The German factors are the usual ones for aquatic turtles, read second hand; mud
and musk turtles have rows that were not seen. The Swiss row could not be read and is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.estimates.checks import check_positive, check_range

# Carapace up to (cm), water area (cm2), more per further animal (cm2), depth (cm): Directive 2010/63/EU, Annex III, 10.1
_EU_ROWS = (
    (5.0, 600, 100, 10),
    (10.0, 1600, 300, 15),
    (15.0, 3500, 600, 20),
    (20.0, 6000, 1200, 30),
    (30.0, 10_000, 2000, 35),
    (float("inf"), 20_000, 5000, 40),
)


@dataclass(frozen=True, slots=True)
class SpaceMinimum:
    """Water area (cm2) and depth (cm).

    `source` is a key of SOURCES, `made_for` says whom the figures were written for.
    """

    area_cm2: float
    depth_cm: float
    source: str
    made_for: str


def minimum_EU10(*, carapace_cm: float, n_animals: int) -> SpaceMinimum:
    """EU directive on animals used in research, by carapace length of the largest. Raises OutOfRange."""
    _check(carapace_cm, n_animals)
    for up_to_cm, area_cm2, extra_cm2, depth_cm in _EU_ROWS:
        if carapace_cm <= up_to_cm:
            return SpaceMinimum(area_cm2 + extra_cm2 * (n_animals - 1), depth_cm, "EU10", "animals in research, EU")
    raise AssertionError("the last row has no upper end")


def tank_cm_DE97(carapace_cm: float) -> tuple[float, float]:
    """Length and width for one or two animals, cm: 5 and 2.5 times the carapace (German report of 1997).

    Raises OutOfRange.
    """
    _check(carapace_cm, 1)
    return 5 * carapace_cm, 2.5 * carapace_cm


def minimum_DE97(*, carapace_cm: float, carapace_width_cm: float, n_animals: int) -> SpaceMinimum:
    """German expert report: area for two, +10 % each for the third and fourth, +20 % each from the fifth; depth 2 widths.

    The additions are read second hand, and "each" is our reading of them. Raises OutOfRange.
    """
    _check(carapace_cm, n_animals)
    check_positive(carapace_width_cm, "carapace_width_cm")
    length_cm, width_cm = tank_cm_DE97(carapace_cm)
    more = 0.1 * min(max(n_animals - 2, 0), 2) + 0.2 * max(n_animals - 4, 0)
    return SpaceMinimum(
        length_cm * width_cm * (1 + more), 2 * carapace_width_cm, "DE97", "expert report used by authorities, Germany"
    )


def minimum_NSW13(carapace_cm: float) -> SpaceMinimum:
    """New South Wales code, snake-necked turtles, one or two animals: 12.5 L2, mean depth 1.5 L. Raises OutOfRange."""
    _check(carapace_cm, 1)
    return SpaceMinimum(12.5 * carapace_cm**2, 1.5 * carapace_cm, "NSW13", "private keepers, New South Wales")


def _check(carapace_cm: float, n_animals: int) -> None:
    check_range(carapace_cm, "carapace_cm", what="Carapace length", low=1, high=250, unit="cm")
    check_range(n_animals, "n_animals", what="Number of animals", low=1, high=10_000)
