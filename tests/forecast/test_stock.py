"""Who eats here, and how heavy: presence, growth, animals that move with the seasons."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.inputs import Comer, FeedPortion, FilterEvidence, PlannedMove, StaySpan, WeightSeen
from enclosures.forecast.stock import stock_for

from .histories import STARTED_ON, musk_mass_g

FIRST = date(2024, 1, 1)


def stock(*, stays=(), weights=(), days=800, as_of=None, temp_c=25.0, start=FIRST):
    evidence = FilterEvidence(filter="F", enclosure="E", commissioned_on=None, builds=(), stays=stays, weights=weights)
    return stock_for(
        evidence,
        start=start,
        n_days=days,
        as_of=as_of or start + timedelta(days=days),
        temp_c=np.full(days, temp_c),
    )


def day(n):
    return FIRST + timedelta(days=n)


def weights(*pairs, animal="A"):
    return tuple(WeightSeen(animal=animal, on=day(n), mass_g=g) for n, g in pairs)


def test_without_stays_the_stock_is_not_known_and_counts_as_steady():
    nobody = stock()
    assert not nobody.is_known
    assert (nobody.metabolic(0.75) == 1).all()
    assert nobody.is_present.all()


def test_an_animal_counts_from_its_arrival_until_it_leaves():
    there = stock(stays=(StaySpan(animal="A", from_on=day(10), to_on=day(20)),), weights=weights((0, 100)), days=40)
    np.testing.assert_array_equal(np.flatnonzero(there.is_present), np.arange(10, 20))


def test_a_leaving_still_ahead_is_not_known():
    there = stock(
        stays=(StaySpan(animal="A", from_on=day(10), to_on=day(20)),), weights=weights((0, 100)), days=40, as_of=day(15)
    )
    assert there.is_present[10:].all()


def test_an_adult_keeps_its_mass():
    there = stock(
        stays=(StaySpan(animal="A", from_on=FIRST),), weights=weights((0, 480), (100, 490), (200, 478)), days=900
    )
    assert there.mass_g[0, -1] == pytest.approx(480, rel=0.08)


def test_masses_between_weighings_are_interpolated_on_the_log_scale():
    there = stock(stays=(StaySpan(animal="A", from_on=FIRST),), weights=weights((0, 10), (100, 40)), days=120)
    assert there.mass_g[0, 50] == pytest.approx(20, rel=1e-6)


def test_a_hatchling_without_weights_follows_the_curve_of_a_small_turtle():
    """About 25 g in nine to ten months and 50 g at two years (common practice, no source)."""
    there = stock(stays=(StaySpan(animal="A", from_on=FIRST, hatched_on=FIRST),), days=800)
    assert there.mass_g[0, 0] == pytest.approx(3.4, rel=0.02)
    assert 18 < there.mass_g[0, 290] < 30
    assert 42 < there.mass_g[0, 730] < 60


@pytest.mark.parametrize("months", [4, 6, 9])
def test_growth_ahead_follows_own_weights(months):
    """Half a year of an exponential start must not be stretched without end, nor cut off."""
    known = range(0, months * 30, 15)
    there = stock(
        stays=(StaySpan(animal="A", from_on=STARTED_ON, hatched_on=STARTED_ON),),
        weights=tuple(WeightSeen(animal="A", on=STARTED_ON + timedelta(days=n), mass_g=musk_mass_g(n)) for n in known),
        start=STARTED_ON,
        days=800,
    )
    assert 0.5 < there.mass_g[0, 730] / musk_mass_g(730) < 2.0


def test_growth_stands_still_in_the_cold():
    kwargs = {"stays": (StaySpan(animal="A", from_on=FIRST, hatched_on=FIRST),), "days": 300}
    assert stock(temp_c=8.0, **kwargs).mass_g[0, -1] == pytest.approx(stock(temp_c=8.0, **kwargs).mass_g[0, 0])
    assert stock(temp_c=25.0, **kwargs).mass_g[0, -1] > 4 * stock(temp_c=8.0, **kwargs).mass_g[0, -1]


def test_animals_that_winter_indoors_come_back_next_autumn():
    stays = (
        StaySpan(animal="A", from_on=date(2023, 10, 25), to_on=date(2024, 5, 1)),
        StaySpan(animal="A", from_on=date(2024, 10, 25), to_on=date(2025, 5, 1)),
    )
    there = stock(stays=stays, weights=weights((0, 1000)), days=1200, as_of=date(2025, 10, 4))
    assert not there.is_present[(date(2025, 10, 10) - FIRST).days]
    assert there.is_present[(date(2025, 12, 1) - FIRST).days]
    assert not there.is_present[(date(2026, 7, 1) - FIRST).days]
    assert there.is_present[(date(2027, 1, 1) - FIRST).days]


def test_an_animal_never_weighed_counts_like_the_others():
    there = stock(
        stays=(StaySpan(animal="A", from_on=FIRST), StaySpan(animal="B", from_on=FIRST)),
        weights=weights((0, 300)),
        days=10,
    )
    np.testing.assert_allclose(there.mass_g[:, 0], 300.0)


def test_weights_after_the_day_are_not_seen():
    there = stock(
        stays=(StaySpan(animal="A", from_on=FIRST),), weights=weights((0, 300), (50, 900)), days=100, as_of=day(40)
    )
    assert there.mass_g[0, 99] == pytest.approx(300)


# What is planned ----------------------------------------------------------------------------------------------------

WINTERS_IN = (  # in the winter tank from 25 October to 1 May, two years running
    StaySpan(animal="M", from_on=date(2023, 10, 25), to_on=date(2024, 5, 1)),
    StaySpan(animal="M", from_on=date(2024, 10, 25), to_on=date(2025, 5, 1)),
)


def with_moves(*moves, stays=(), weights=(), as_of=date(2025, 9, 20), days=1000, temp_c=25.0, feedings=()):
    evidence = FilterEvidence(
        filter="F", enclosure="E", commissioned_on=None, builds=(), stays=stays, weights=weights, planned_moves=moves,
        feedings=feedings,
    )  # fmt: skip
    temps = np.full(days, temp_c)
    return stock_for(evidence, start=as_of - timedelta(days=400), n_days=days, as_of=as_of, temp_c=temps)


def days_there(found):
    """First days of coming and of going, after the day of asking."""
    present = found.is_present
    turns = np.flatnonzero(np.diff(present[400:].astype(int))) + 401
    return [(found.start + timedelta(days=int(d)), bool(present[d])) for d in turns]


def test_a_yearly_move_that_is_planned_too_is_one_move_on_the_planned_day():
    comes = PlannedMove(on=date(2025, 11, 8), text="M comes", coming=(Comer(animal="M"),))
    unplanned, planned = with_moves(stays=WINTERS_IN), with_moves(comes, stays=WINTERS_IN)
    assert [there for _, there in days_there(planned)] == [there for _, there in days_there(unplanned)]
    assert abs((days_there(unplanned)[0][0] - date(2025, 10, 25)).days) <= 1
    assert days_there(planned)[0] == (date(2025, 11, 8), True)
    assert days_there(planned)[1:] == days_there(unplanned)[1:], "the years after go on as they were"
    earlier = PlannedMove(on=date(2025, 10, 4), text="M comes", coming=(Comer(animal="M"),))
    assert days_there(with_moves(earlier, stays=WINTERS_IN))[0] == (date(2025, 10, 4), True)


def test_one_that_leaves_for_good_does_not_come_back_with_the_season():
    leaves = PlannedMove(on=date(2025, 12, 1), text="M leaves", leaving=("M",), is_for_good=True)
    found = days_there(with_moves(leaves, stays=WINTERS_IN))
    assert [there for _, there in found] == [True, False]
    assert found[1][0] == date(2025, 12, 1)


def test_a_hatchling_to_come_grows_in_the_warmth_it_lives_in_until_then():
    """Moved out in May it is the yearling it has become in its tub, not the hatchling that the cold pond would have left it."""
    at = date(2026, 5, 1)
    weighed = (WeightSeen(animal="H", on=date(2025, 9, 13), mass_g=3.6),)
    old = (StaySpan(animal="A", from_on=date(2024, 1, 1)),)
    hatched = date(2025, 8, 25)

    def mass_at_the_move(lives_at_c):
        comer = Comer(animal="H", hatched_on=hatched, lives_at_c=lives_at_c)
        move = PlannedMove(on=at, text="H comes", coming=(comer,))
        found = with_moves(move, stays=old, weights=weighed, temp_c=8.0)
        return found.mass_g[1][(at - found.start).days]

    assert mass_at_the_move(8.0) < 5
    assert mass_at_the_move(25.0) > 12


def test_where_feed_is_logged_for_nobody_on_record_a_comer_says_nothing():
    """The log of a place whose animals are not in the books would be read as feed of nobody."""
    comes = PlannedMove(on=date(2025, 11, 8), text="M comes", coming=(Comer(animal="M", usual_mass_g=100.0),))
    fed = (FeedPortion(on=date(2025, 9, 1), dry_g=3.0, food_class="pellet"),)
    assert not with_moves(comes, feedings=fed).is_known
    assert with_moves(comes).is_known
