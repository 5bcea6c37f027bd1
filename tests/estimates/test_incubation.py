from __future__ import annotations

import pytest

from enclosures.estimates import incubation
from enclosures.estimates.checks import OutOfRange
from tests.worked_examples.animals import HATCHING, MALES_OF_SEXED
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", HATCHING, ids=str)
def test_hatching_time_agrees_with_its_source(example: Example) -> None:
    example.check()


def test_ten_degrees_halve_the_time() -> None:
    """ROSIE, fit over 17 aquatic species: Q10 2.03."""
    ratio = incubation.hatch_days(22, days_at_28c=60) / incubation.hatch_days(32, days_at_28c=60)
    assert ratio == pytest.approx(2.03, abs=0.01)


def test_range_of_days_holds_the_middle() -> None:
    low, high = incubation.hatch_days_range(28, days_at_28c=60)
    assert low < 60 < high
    assert high / low == pytest.approx(1.34, abs=0.01)


@pytest.mark.parametrize(
    ("species", "temp_c"), [(species, temp_c) for species, rows in MALES_OF_SEXED.items() for temp_c in rows]
)
def test_expected_males_are_near_those_counted(species: str, temp_c: float) -> None:
    """ROSIE (read, counted): the logistic is a planning aid, so within a quarter, and inside the span of a degree either way."""
    males, sexed = MALES_OF_SEXED[species][temp_c]
    fit = incubation.SEX_FITS[species]
    share = incubation.male_share(temp_c, fit)
    span = incubation.male_share_range(temp_c, fit)
    assert share == pytest.approx(males / sexed, abs=0.25)
    assert span is not None
    assert span[0] <= share <= span[1]


def test_half_are_male_at_the_pivotal_temperature() -> None:
    assert incubation.male_share(28.9, incubation.SEX_FITS["Trachemys scripta"]) == pytest.approx(0.5)


def test_where_temperature_does_not_decide_nothing_is_said() -> None:
    fit = incubation.SEX_FITS["Pelodiscus sinensis"]
    assert incubation.male_share(28, fit) is None
    assert incubation.male_share_range(28, fit) is None


def test_type_two_has_females_on_both_sides() -> None:
    fit = incubation.SEX_FITS["Sternotherus odoratus"]
    cool, middle, warm = (incubation.male_share(t, fit) or 0 for t in (22.5, 25.5, 30))
    assert cool < 0.1
    assert middle > 0.7
    assert warm < 0.1


@pytest.mark.parametrize("fit", incubation.SEX_FITS.values(), ids=incubation.SEX_FITS.keys())
def test_a_class_carries_the_points_it_needs(fit: incubation.SexFit) -> None:
    assert (fit.upper_c is None) == (fit.sex_class == "GSD")
    assert (fit.lower_c is not None) == (fit.sex_class == "II")


def test_temperatures_no_egg_survives_are_refused() -> None:
    with pytest.raises(OutOfRange, match="temp_c"):
        incubation.hatch_days(38, days_at_28c=60)
