from __future__ import annotations

import pytest

from enclosures.estimates import criteria
from tests.worked_examples.example import Example
from tests.worked_examples.water import CRITERIA


@pytest.mark.parametrize("example", CRITERIA, ids=str)
def test_criterion_agrees_with_the_printed_table(example: Example) -> None:
    example.check()


def test_outside_the_tables_the_nearest_end_is_used_and_said() -> None:
    hot = criteria.chronic_EPA13(ph=7.5, temp_c=34)
    assert hot.is_outside_range
    assert hot.tan_mg_l_as_n == criteria.chronic_EPA13(ph=7.5, temp_c=30).tan_mg_l_as_n
    assert not criteria.chronic_EPA13(ph=7.5, temp_c=30).is_outside_range


def test_highest_four_day_mean_is_two_and_a_half_times_the_chronic_value() -> None:
    """EPA13 (read-2nd): 1.9 mg/L chronic at pH 7 and 20 degC, 4.8 for any four days."""
    chronic = round(criteria.chronic_EPA13(ph=7, temp_c=20).tan_mg_l_as_n, 1)
    assert 2.5 * chronic == pytest.approx(4.8, abs=0.051)
