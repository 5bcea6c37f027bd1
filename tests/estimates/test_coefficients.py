from __future__ import annotations

import math

import pytest

from enclosures.estimates.coefficients import COEFFICIENTS, GROUPS, LITTER_MONTH_WEIGHTS, Coefficient, default
from enclosures.estimates.sources import HOW_READ, SOURCES


@pytest.mark.parametrize("key", COEFFICIENTS)
def test_every_coefficient_says_unit_range_source_and_how_sure(key: str) -> None:
    item = COEFFICIENTS[key]
    assert item.source in SOURCES, f"{key} names {item.source}, which is not in sources.py"
    assert item.how_known in HOW_READ
    assert item.unit
    assert item.note.endswith("."), f"{key}: the note is a sentence"
    assert item.low <= item.value <= item.high
    assert item.low < item.high


def test_no_coefficient_hides_behind_another_of_the_same_key() -> None:
    assert len(COEFFICIENTS) == sum(len(group) for group in GROUPS.values())


def test_an_unknown_key_is_named() -> None:
    with pytest.raises(KeyError, match="no_such_thing"):
        default("no_such_thing")


@pytest.mark.parametrize(
    ("key", "spread"),
    [
        ("solids_yield", 0.49),
        ("degradable_share", 0.6),
        ("residual_full", 0.65),
        ("decay_theta", 0.015),
        ("load_noise", 0.59),
    ],
)
def test_spread_of_a_prior_is_on_its_own_scale(key: str, spread: float) -> None:
    assert COEFFICIENTS[key].spread == pytest.approx(spread, abs=0.005)


@pytest.mark.parametrize("key", [k for k, c in COEFFICIENTS.items() if c.shape == "lognormal"])
def test_a_log_normal_prior_has_its_five_per_cent_points_where_it_says(key: str) -> None:
    """The stated median and 5-95 % range must belong to about one log-normal: the app prints the range, the forecast uses the spread."""
    item = COEFFICIENTS[key]
    low, high = item.value * math.exp(-1.645 * item.spread), item.value * math.exp(1.645 * item.spread)
    assert low == pytest.approx(item.low, rel=0.35)
    assert high == pytest.approx(item.high, rel=0.35)


def test_a_logit_normal_range_matches_its_median_and_spread() -> None:
    item = COEFFICIENTS["degradable_share"]
    middle = math.log(item.value / (1 - item.value))
    ends = [1 / (1 + math.exp(-(middle + side * 1.645 * item.spread))) for side in (-1, 1)]
    assert ends == pytest.approx([item.low, item.high], abs=0.01)


def test_a_fixed_number_has_no_spread() -> None:
    assert Coefficient(1.0, "-", 0.5, 2.0, "JUDGEMENT", "x").spread == 0


def test_litter_falls_most_in_october_and_twelve_months_are_given() -> None:
    assert len(LITTER_MONTH_WEIGHTS) == 12
    assert max(LITTER_MONTH_WEIGHTS) == LITTER_MONTH_WEIGHTS[9]
