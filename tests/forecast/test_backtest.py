from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.backtest import (
    Case,
    ForecastMade,
    Resolved,
    backtest_records,
    forecasts_on,
    report_of,
    resolve,
    score_of,
    simulated_cases,
)
from enclosures.forecast.naive_rules import RULES
from enclosures.forecast.simulated import simulate_facility
from tests.forecast.histories import cleanout, pond_p1, pond_p2, sounding, starter_tank

AS_OF = date(2024, 1, 1)


def case(days: list[float], *, came: float | None = None, not_by: float | None = None, naive: float = 100.0, on=AS_OF):
    made = ForecastMade(
        filter="F",
        as_of=on,
        days=np.array(days, dtype=float),
        weights=np.full(len(days), 1.0 / len(days)),
        naive=dict.fromkeys(RULES, naive),
        fill=np.full(len(days), 0.4),
    )
    return Case(made=made, came=Resolved(due_days=came, not_by_days=not_by), groups=frozenset({"all"}), true_fill=0.5)


TEN = [float(d) for d in range(10, 110, 10)]


def test_a_reading_past_the_level_resolves_on_the_line_between_two_readings() -> None:
    """Pond of 150 mm, due at 105: 77 mm on 3 May, 83 on 31 May, 120 on 30 August 2025: 22/37 of 91 days after 31 May."""
    came = resolve(pond_p1(), as_of=date(2025, 3, 1), until=date(2025, 10, 4))
    assert came == Resolved(due_days=92 - 1 + 54)


def test_a_void_cleaned_below_the_level_is_censored_at_the_last_reading() -> None:
    evidence = starter_tank(
        n_days=400, soundings=(sounding("2024-05-01", 15),), cleanouts=(cleanout("2024-08-01", depth_before_mm=20),)
    )
    assert resolve(evidence, as_of=date(2024, 1, 1), until=date(2024, 12, 1)) == Resolved(not_by_days=213)
    assert resolve(evidence, as_of=date(2024, 6, 1), until=date(2024, 7, 1)) is None


def test_a_disputed_reading_resolves_nothing() -> None:
    evidence = starter_tank(n_days=400, soundings=(sounding("2024-05-01", 48, is_disputed=True),))
    assert resolve(evidence, as_of=date(2024, 1, 1), until=date(2024, 12, 1)) is None


def test_scores_by_hand() -> None:
    """Days 10 ... 100: P10 10, P50 50, P90 90 by the published definition; came on 60 and on 95."""
    score = score_of([case(TEN, came=60.0), case(TEN, came=95.0), case(TEN, not_by=50.0)], group="all")
    assert score is not None
    assert (score.n, score.n_censored) == (2, 1)
    assert score.coverage == 0.5
    assert score.above == 0.5
    assert score.median_error == pytest.approx((10 + 45) / 2)
    assert score.naive_median_error["straight line"] == pytest.approx((40 + 5) / 2)
    assert score.censored_log == pytest.approx(-np.log(0.5))
    assert score.fill_error == pytest.approx(0.1)
    assert score.brier == 0.0
    assert score.pinball == pytest.approx(np.mean([(5 + 5 + 3) / 3, (8.5 + 22.5 + 4.5) / 3]))


def test_a_rule_that_says_yes_and_is_wrong_pays_the_whole_brier_score() -> None:
    score = score_of([case(TEN, came=400.0, naive=100.0)], group="all")
    assert score
    assert score.naive_brier["fixed interval"] == 1.0
    assert score.brier == 1.0


def test_the_line_of_a_filter_tells_of_its_cases() -> None:
    far = [float(day) for day in range(100, 200, 10)]  # P50 140
    report = report_of([case(far, came=152.0), case(far, not_by=50.0, on=AS_OF + timedelta(days=300))])
    assert report.lines == {"F": "The last forecast was 12 days early."}
    assert report_of([case(far, not_by=50.0)]).lines == {"F": "No forecast has come due yet."}


def test_a_forecast_made_again_does_not_see_what_came_later() -> None:
    day = date(2024, 6, 1)
    whole = pond_p2()
    cut = pond_p2(
        feedings=tuple(p for p in whole.feedings if p.on <= day),
        soundings=tuple(s for s in whole.soundings if s.on <= day),
        cleanouts=tuple(c for c in whole.cleanouts if c.on <= day),
        temperatures=tuple(t for t in whole.temperatures if t.on <= day),
        builds=tuple(b for b in whole.builds if b.valid_from <= day),
    )
    (a,), (b,) = (forecasts_on([e], as_of=day, n_particles=200) for e in (whole, cut))
    assert np.array_equal(a.days, b.days)
    assert a.naive == b.naive


def test_own_records_are_rolled_through_quarter_by_quarter() -> None:
    evidences = [pond_p1(), pond_p2()]
    seen = []
    report = backtest_records(
        lambda day: evidences,
        until=date(2025, 10, 4),
        origins=[date(2023, 12, 1), date(2025, 1, 10)],
        n_particles=200,
        progress=seen.append,
    )
    assert seen == [date(2023, 12, 1), date(2025, 1, 10)]
    assert report.of("all").n >= 2
    assert set(report.lines) == {"P1-F", "P2-F"}
    assert report.of("ponds").n == report.of("all").n


def test_a_void_that_came_due_sooner_than_anyone_said_counts_too() -> None:
    """Chosen by what was said: leaving out what came within two months would leave out the worst surprises."""
    on = date(2023, 7, 1)
    known = pond_p2(soundings=(sounding("2023-06-10", 56),), cleanouts=(), builds=pond_p2().builds[:1])
    came = replace(known, soundings=(*known.soundings, sounding("2023-07-21", 125)))
    report = backtest_records(
        lambda day: [known if day == on else came], until=date(2023, 10, 1), origins=[on], n_particles=200
    )
    assert report.of("all").n == 1
    assert report.of("all").median_error > 40


def test_a_simulated_facility_is_scored_by_group_with_its_truth() -> None:
    facility = simulate_facility(np.random.default_rng(3), family="ageing", n_filters=3)
    report = report_of(simulated_cases(facility, n_particles=150))
    assert report.of("all").n == 3
    assert report.of("sludge: ageing").n == 3
    assert report.of("all").fill_error is not None
    assert report_of([]).scores == ()
