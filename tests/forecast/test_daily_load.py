"""From entries to days: leftovers, gaps, leaves, drained spells."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.estimates.sludge import feeding_load
from enclosures.forecast.daily_load import appetite, daily_load, find_gaps, litter_weights
from enclosures.forecast.inputs import FeedPortion, FilterEvidence, Geometry, SeasonSpan, StaySpan, TemperatureSeen
from enclosures.forecast.priors import ETA_LEFTOVER

from .histories import FIRST_LOGGED_ON, STARTED_ON, pond_p1, starter_tank

FIRST = date(2024, 1, 1)


def tank(*portions: FeedPortion, **more) -> FilterEvidence:
    return FilterEvidence(
        filter="F",
        enclosure="E",
        commissioned_on=None,
        builds=(Geometry(valid_from=FIRST, chamber_area_m2=0.1, void_height_mm=100),),
        feedings=portions,
        **more,
    )


def load_of(evidence, days=30, *, running=False):
    return daily_load(evidence, start=FIRST, as_of=FIRST + timedelta(days=days - 1), is_running_before_records=running)


@pytest.mark.parametrize(
    ("eaten", "removed"),
    [("all", 0), ("most", 0), ("some", 0), ("none", 0), ("", 0), ("some", 2), ("all", 3), ("none", 10)],
)
def test_leftovers_follow_the_scalar_rule(eaten, removed):
    """Shares left in: all 0, most .15, some .5, none 1, not noted .07, minus what was removed; twin written in `estimates.sludge`."""
    load = load_of(tank(FeedPortion(on=FIRST, dry_g=10, food_class="pellet", eaten=eaten, removed_dry_g=removed)), 3)
    left_share = {"all": 0, "most": 0.15, "some": 0.5, "none": 1.0, "": 0.07}[eaten]
    got = 0.18 * load.sources_kg[0].sum() + ETA_LEFTOVER * load.leftover_kg[0]
    assert got * 1000 == pytest.approx(
        feeding_load(offered=10, left_share=left_share, removed=removed, solids_yield=0.18, capture_share=ETA_LEFTOVER)
    )


def test_a_filter_gets_its_share_of_the_enclosure():
    portion = FeedPortion(on=FIRST, dry_g=10, food_class="pellet", eaten="all")
    assert load_of(tank(portion, feed_share=0.25), 3).sources_kg.sum() == pytest.approx(0.0025)


def test_feed_after_the_day_of_the_forecast_is_not_seen():
    portions = [FeedPortion(on=FIRST + timedelta(days=d), dry_g=1, food_class="pellet") for d in range(20)]
    assert load_of(tank(*portions), 10).logged_kg.sum() == pytest.approx(0.010)


def days(pattern: str) -> np.ndarray:
    return np.array([c == "x" for c in pattern])


def test_a_weekend_off_is_not_a_gap():
    fed = days("xxxxx.." * 6)
    assert find_gaps(fed, np.ones(42, dtype=bool), lead_counts=True) == []


def test_a_run_longer_than_three_times_the_usual_interval_is_a_gap():
    fed = days("x" * 20 + "." * 10 + "x" * 20)
    assert find_gaps(fed, np.ones(50, dtype=bool), lead_counts=False) == [(20, 29)]


def test_five_days_without_feed_are_not_a_gap_yet():
    fed = days("x" * 20 + "....." + "x" * 20)
    assert find_gaps(fed, np.ones(45, dtype=bool), lead_counts=False) == []


def test_animals_fed_once_a_week_may_wait_three():
    fed = days("x......" * 5 + "." * 16 + "x......" * 2)
    assert find_gaps(fed, np.ones(len(fed), dtype=bool), lead_counts=False) == [(29, 50)]
    fed = days("x......" * 5 + "." * 15 + "x......" * 2)
    assert find_gaps(fed, np.ones(len(fed), dtype=bool), lead_counts=False) == []


def test_a_run_up_to_today_counts():
    fed = days("x" * 20 + "." * 9)
    assert find_gaps(fed, np.ones(29, dtype=bool), lead_counts=False) == [(20, 28)]


def test_winter_is_not_a_gap():
    load = load_of_pond(pond_p1())
    assert load.gaps == ()


def test_without_seasons_or_tests_a_cold_climate_is_winter_enough():
    load = load_of_pond(pond_p1(seasons=(), temperatures=()))
    assert not any(gap.from_on.month in (12, 1, 2) or gap.to_on.month in (12, 1, 2) for gap in load.gaps)


def load_of_pond(evidence, *, start=FIRST_LOGGED_ON, as_of=date(2025, 8, 1)):
    return daily_load(evidence, start=start, as_of=as_of, is_running_before_records=True)


def without(evidence, first, last):
    return replace(evidence, feedings=tuple(p for p in evidence.feedings if not first <= p.on <= last))


def test_a_gap_is_filled_from_the_same_weeks_of_another_year():
    whole = load_of_pond(pond_p1())
    holed = load_of_pond(without(pond_p1(), date(2024, 7, 1), date(2024, 7, 31)))
    (gap,) = holed.gaps
    assert date(2024, 6, 28) <= gap.from_on <= date(2024, 7, 3)
    july = slice((date(2024, 7, 1) - FIRST_LOGGED_ON).days, (date(2024, 7, 31) - FIRST_LOGGED_ON).days + 1)
    assert holed.sources_kg[july].sum() == pytest.approx(whole.sources_kg[july].sum(), rel=0.2)
    assert holed.logged_kg[july].sum() == 0  # imputed feed is not "logged"


def test_a_gap_in_a_single_year_is_filled_from_the_weeks_before():
    whole = starter_tank(n_days=200)
    first, last = STARTED_ON + timedelta(days=100), STARTED_ON + timedelta(days=130)
    holed = daily_load(
        without(whole, first, last),
        start=STARTED_ON,
        as_of=STARTED_ON + timedelta(days=199),
        is_running_before_records=False,
    )
    full = daily_load(whole, start=STARTED_ON, as_of=STARTED_ON + timedelta(days=199), is_running_before_records=False)
    assert len(holed.gaps) == 1
    assert holed.sources_kg[100:131].sum() == pytest.approx(full.sources_kg[100:131].sum(), rel=0.3)


def test_days_before_the_first_feeding_are_a_gap_only_when_the_tank_was_stocked():
    portions = [FeedPortion(on=FIRST + timedelta(days=d), dry_g=1, food_class="pellet") for d in range(60, 100)]
    assert load_of(tank(*portions), 100).gaps == ()
    (gap,) = load_of(tank(*portions), 100, running=True).gaps
    assert gap.from_on == FIRST
    assert gap.n_days == 60
    stocked = tank(*portions, stays=(StaySpan(animal="A", from_on=FIRST + timedelta(days=30)),))
    (gap,) = load_of(stocked, 100).gaps
    assert gap.from_on == FIRST + timedelta(days=30)


def test_a_refused_meal_before_a_gap_does_not_fill_it_with_leftovers():
    """All that stood near the gap was refused, and the same weeks of the year before tell what was eaten."""
    portions = [
        FeedPortion(on=FIRST + timedelta(days=d), dry_g=10.0, food_class="pellet", eaten="most")
        for d in range(0, 421, 2)
    ]
    refused = FeedPortion(on=FIRST + timedelta(days=475), dry_g=10.0, food_class="pellet", eaten="none")
    load = load_of(tank(*portions, refused), 560)
    assert len(load.gaps) == 2
    for gap in load.gaps:
        assert 2.0 < gap.dry_g / gap.n_days < 8.0


def test_a_meal_in_cold_water_before_a_gap_does_not_make_a_feast_of_the_warm_days():
    """A pond fed once on the last cold day of spring, then nothing logged until the heat of summer."""
    cold = replace(
        tank(is_indoor=False, feeding_stops_below_c=13.0),
        feedings=tuple(
            FeedPortion(on=date(2024, 3, 1) + timedelta(days=d), dry_g=10.0, food_class="pellet", eaten="all")
            for d in (0, 2, 4)
        ),
        temperatures=tuple(
            TemperatureSeen(on=date(2024, 3, 1) + timedelta(days=d), temp_c=8.0 if d < 20 else 26.0) for d in range(150)
        ),
    )
    load = daily_load(cold, start=date(2024, 3, 1), as_of=date(2024, 7, 28), is_running_before_records=False)
    assert load.gaps
    assert sum(gap.dry_g for gap in load.gaps) < 10.0 * 150


def test_no_animals_no_gap():
    portions = [FeedPortion(on=FIRST + timedelta(days=d), dry_g=1, food_class="pellet") for d in range(20)]
    away = (StaySpan(animal="A", from_on=FIRST, to_on=FIRST + timedelta(days=20)),)
    assert load_of(tank(*portions, stays=away), 60).gaps == ()
    assert len(load_of(tank(*portions), 60).gaps) == 1


def test_a_drained_filter_takes_nothing_in():
    drained = SeasonSpan(kind="drained", from_on=FIRST + timedelta(days=10), to_on=FIRST + timedelta(days=19))
    load = load_of(tank(seasons=(drained,)), 30)
    assert load.is_running.sum() == 20
    assert not load.is_running[10:20].any()


def test_an_end_of_season_still_ahead_is_not_known():
    spans = (SeasonSpan(kind="drained", from_on=FIRST + timedelta(days=10), to_on=FIRST + timedelta(days=40)),)
    assert not load_of(tank(seasons=spans), 30).is_running[10:].any()


def test_leaves_of_a_year_add_up_and_fall_in_autumn():
    base, autumn = litter_weights(date(2025, 1, 1), 365, is_southern=False, is_outdoors=True, surface_m2=14)
    assert base.sum() * 1000 == pytest.approx(14, rel=0.02)
    assert autumn.sum() * 1000 == pytest.approx(14, rel=0.02)
    assert not autumn[:273].any()  # before October
    assert not base[273:334].any()


def test_southern_autumn_is_in_april_and_may():
    _, autumn = litter_weights(date(2025, 1, 1), 365, is_southern=True, is_outdoors=True, surface_m2=14)
    fallen = np.flatnonzero(autumn)
    assert fallen[0] == 90  # 1 April
    assert fallen[-1] == 150  # 31 May


def test_appetite_is_one_at_25_and_nothing_at_the_stop():
    at = appetite(np.array([10.0, 13.0, 14.5, 25.0]), q10=3.0, stop_c=13.0)
    assert at[0] == at[1] == 0
    assert 0 < at[2] < 0.5 * 3 ** ((14.5 - 25) / 10) + 1e-9
    assert at[3] == pytest.approx(1.0)
