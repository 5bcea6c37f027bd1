"""The load ahead: level, season, growth, plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.future_feed import future_load, future_loads_kg
from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import FeedPortion, PlannedChange, SeasonSpan
from enclosures.forecast.priors import Prior
from enclosures.forecast.run import unpack

from .histories import STARTED_ON, pond_p1, starter_tank


def ahead(evidence, as_of, days=1095):
    return future_load(history_for(evidence, as_of=as_of), horizon_days=days)


def expected_kg(future):
    """Expected feed eaten per block, over the shapes."""
    return future.shape_weights @ future.feed_kg


def fed_between(future, first: date, last: date) -> float:
    begin, end = (first - future.first_on).days // 7, (last - future.first_on).days // 7
    return float(expected_kg(future)[max(begin, 0) : end].sum())


def fed_in_past(evidence, as_of, days=365) -> float:
    """Logged feed times what is eaten on average, kg."""
    eaten = {"all": 1.0, "most": 0.85, "some": 0.5, "none": 0.0, "": 0.93}
    return sum(p.dry_g * eaten[p.eaten] for p in evidence.feedings if 0 <= (as_of - p.on).days < days) / 1000


@pytest.mark.parametrize("as_of", [date(2024, 7, 1), date(2025, 1, 15), date(2025, 3, 1), date(2025, 9, 1)])
def test_season_is_counted_once(as_of):
    """Whatever the day, the year ahead of a steady pond is like the year behind: winter does not say "never"."""
    evidence = pond_p1()
    future = ahead(evidence, as_of)
    year = fed_between(future, as_of, as_of + timedelta(days=364))
    assert year == pytest.approx(fed_in_past(evidence, as_of), rel=0.25)


def test_a_pond_is_fed_in_summer_and_not_in_winter():
    future = ahead(pond_p1(), date(2025, 10, 4))
    assert fed_between(future, date(2025, 12, 1), date(2026, 3, 1)) == 0
    assert fed_between(future, date(2026, 6, 1), date(2026, 9, 1)) > 1.0


def test_past_brumation_comes_again():
    evidence = pond_p1(is_indoor=True, temperatures=(), room_temp_c=24.0)  # warm water: only the seasons say winter
    future = ahead(evidence, date(2025, 10, 4))
    for year in (2025, 2026, 2027):
        assert fed_between(future, date(year, 12, 1), date(year + 1, 3, 1)) == 0
    assert fed_between(future, date(2026, 5, 1), date(2026, 9, 1)) > 0


def test_a_planned_season_takes_the_place_of_the_usual_one():
    planned = (SeasonSpan(kind="brumation", from_on=date(2026, 1, 1), to_on=date(2026, 2, 1)),)
    evidence = pond_p1(is_indoor=True, temperatures=(), planned_seasons=planned)
    future = ahead(evidence, date(2025, 10, 4))
    assert fed_between(future, date(2026, 1, 10), date(2026, 1, 25)) == 0
    assert fed_between(future, date(2025, 11, 15), date(2025, 12, 25)) > 0


def test_a_season_still_running_ends_as_it_did_before():
    future = ahead(pond_p1(), date(2025, 1, 15))
    assert fed_between(future, date(2025, 1, 16), date(2025, 3, 15)) == 0
    assert fed_between(future, date(2025, 5, 1), date(2025, 7, 1)) > 0


def test_planned_changes_scale_the_feed_from_their_day():
    as_of = STARTED_ON + timedelta(days=729)
    plain = ahead(starter_tank(n_days=730), as_of)
    on = as_of + timedelta(days=7 * 20 + 1)
    halved = ahead(starter_tank(n_days=730, planned=(PlannedChange(on=on, feed_factor=0.5),)), as_of)
    np.testing.assert_allclose(expected_kg(halved)[:20], expected_kg(plain)[:20])
    np.testing.assert_allclose(expected_kg(halved)[20:], 0.5 * expected_kg(plain)[20:])


def test_a_change_of_last_month_is_counted_in_level_and_ahead():
    """Half the animals left sixty days ago: the year behind must not be taken for the year ahead."""
    as_of = STARTED_ON + timedelta(days=729)
    change = as_of - timedelta(days=60)
    steady = tuple(
        FeedPortion(
            on=STARTED_ON + timedelta(days=n),
            dry_g=10 if STARTED_ON + timedelta(days=n) < change else 5,
            food_class="pellet",
            eaten="all",
        )
        for n in range(730)
    )
    evidence = starter_tank(n_days=1, feedings=steady, planned=(PlannedChange(on=change, feed_factor=0.5),))
    year = fed_between(ahead(evidence, as_of), as_of, as_of + timedelta(days=364))
    assert year == pytest.approx(0.005 * 364, rel=0.1)


def test_growing_stock_eats_more():
    as_of = STARTED_ON + timedelta(days=270)
    year = fed_between(ahead(starter_tank(n_days=271, with_stock=True), as_of), as_of, as_of + timedelta(days=364))
    steady_grams = 3 * 0.011 * 22.4 * 6 / 7 * 364
    assert year * 1000 > 1.2 * steady_grams


def test_a_first_feeding_is_not_a_daily_rate():
    one = starter_tank(n_days=1, feedings=(FeedPortion(on=STARTED_ON, dry_g=10, food_class="pellet", eaten="all"),))
    weekly = fed_between(ahead(one, STARTED_ON), STARTED_ON, STARTED_ON + timedelta(days=70)) / 10
    assert 0.01 < weekly < 0.07


def test_nobody_fed_means_nothing_ahead():
    future = ahead(starter_tank(n_days=1, feedings=()), STARTED_ON + timedelta(days=30))
    assert expected_kg(future).sum() == 0


def test_uncertainty_widens_with_time():
    history = history_for(starter_tank(n_days=730), as_of=STARTED_ON + timedelta(days=729))
    drawn = unpack(np.zeros((4000, len(history.names))), history)
    loads = future_loads_kg(future_load(history, horizon_days=1095), drawn, np.random.default_rng(1))
    spread = np.log(loads).std(axis=1)
    assert spread[-10:].mean() > 1.2 * spread[:10].mean()


def test_a_what_if_scales_only_the_feed():
    history = history_for(pond_p1(), as_of=date(2025, 10, 4))
    drawn = unpack(Prior.standard(history.names).draw(np.random.default_rng(1), 50), history)
    future = future_load(history, horizon_days=365)
    none = future_loads_kg(future.scaled(0.0), drawn, np.random.default_rng(2))
    some = future_loads_kg(future, drawn, np.random.default_rng(2))
    assert (none > 0).any()  # leaves still fall
    assert (some >= none - 1e-12).all()


def test_the_future_does_not_look_ahead():
    as_of = date(2024, 6, 1)
    whole = pond_p1()
    cut = replace(
        whole,
        feedings=tuple(p for p in whole.feedings if p.on <= as_of),
        temperatures=tuple(t for t in whole.temperatures if t.on <= as_of),
        seasons=whole.seasons[:1],
    )
    np.testing.assert_array_equal(ahead(whole, as_of).feed_kg, ahead(cut, as_of).feed_kg)
