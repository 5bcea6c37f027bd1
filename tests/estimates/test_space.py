from __future__ import annotations

import pytest

from enclosures.estimates import space
from enclosures.estimates.checks import OutOfRange
from enclosures.estimates.sources import SOURCES
from tests.worked_examples.animals import SPACE
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", SPACE, ids=str)
def test_reference_minimum_agrees_with_its_source(example: Example) -> None:
    example.check()


def test_german_additions_count_each_further_animal() -> None:
    """DE97, read second hand; "each" is our reading."""
    areas = [
        space.minimum_DE97(carapace_cm=20, carapace_width_cm=15, n_animals=n).area_cm2 / 5000
        for n in (1, 2, 3, 4, 5, 6)
    ]
    assert areas == pytest.approx([1, 1, 1.1, 1.2, 1.4, 1.6])


def test_a_minimum_says_whom_it_was_made_for_and_where_from() -> None:
    minima = [
        space.minimum_EU10(carapace_cm=12, n_animals=1),
        space.minimum_NSW13(20),
        space.minimum_DE97(carapace_cm=12, carapace_width_cm=9, n_animals=2),
    ]
    for minimum in minima:
        assert minimum.made_for
        assert minimum.source in SOURCES


def test_no_animals_is_refused() -> None:
    with pytest.raises(OutOfRange, match="n_animals"):
        space.minimum_EU10(carapace_cm=12, n_animals=0)
