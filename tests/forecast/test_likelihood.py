"""Observation models against scipy, and what each kind of reading says."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import Geometry, SoundingSeen
from enclosures.forecast.likelihood import (
    cleanout_choices,
    cleans_by_calendar,
    effective_readings,
    readings,
    rod_spread_mm,
    sounding_fit,
    t4_log_pdf,
    t4_upper_tail,
)
from enclosures.forecast.priors import Prior
from enclosures.forecast.run import normal_cdf, run_history, unpack

from .histories import cleanout, pond_p2, sounding, starter_tank

VOID = Geometry(valid_from=date(2024, 1, 1), chamber_area_m2=0.45, void_height_mm=150)
ONE = np.ones(1)


def seen(depth: float, qualifier: str = "", *more: float) -> SoundingSeen:
    return SoundingSeen(entry="s", on=date(2024, 6, 1), depths_mm=(depth, *more), qualifier=qualifier)


def test_t4_matches_scipy():
    stats = pytest.importorskip("scipy.stats")
    x = np.array([-250.0, -30.0, -3.0, -0.2, 0.0, 0.7, 2.0, 8.0, 60.0, 190.0, 250.0, 5000.0])
    np.testing.assert_allclose(t4_log_pdf(x), stats.t(4).logpdf(x), rtol=1e-10)
    np.testing.assert_allclose(t4_upper_tail(x), stats.t(4).sf(x), rtol=1e-3, atol=1e-15)


def test_normal_distribution_function_matches_scipy():
    stats = pytest.importorskip("scipy.stats")
    x = np.linspace(-9, 9, 181)
    np.testing.assert_allclose(normal_cdf(x), stats.norm.cdf(x), rtol=3e-7)


def test_two_readings_by_one_person_count_as_one_and_a_quarter():
    """2 / (1 + .6): readings by one person share 60 % of their error."""
    assert effective_readings(1) == 1.0
    assert effective_readings(2) == pytest.approx(1.25)


def test_rod_spread_grows_with_depth():
    assert rod_spread_mm(np.array([0.0]), ONE)[0] == pytest.approx(3.5)
    assert rod_spread_mm(np.array([100.0]), 2 * ONE)[0] == pytest.approx(2 * np.hypot(3.5, 10.0))


def test_rod_at_the_grid_only_says_at_least():
    at_pipe = np.array([60.0, 150.0, 170.0, 400.0])
    log_like, _ = sounding_fit(seen(150, ">="), VOID, at_pipe, np.ones(4))
    assert (np.diff(log_like) > 0).all()
    assert log_like[1] == pytest.approx(np.log(0.5))
    assert log_like[3] == pytest.approx(0.0, abs=0.01)


def test_a_plain_reading_at_the_void_height_is_a_rod_at_the_grid():
    at_pipe = np.array([100.0, 300.0])
    plain, _ = sounding_fit(seen(150), VOID, at_pipe, np.ones(2))
    censored, _ = sounding_fit(seen(150, ">="), VOID, at_pipe, np.ones(2))
    np.testing.assert_array_equal(plain, censored)


def test_below_the_mark_never_says_empty():
    at_pipe = np.array([0.0, 20.0, 40.0, 80.0])
    log_like, _ = sounding_fit(seen(40, "<="), VOID, at_pipe, np.ones(4))
    assert log_like[0] == pytest.approx(log_like[1], abs=1e-3)  # empty is no likelier than half way to the mark
    assert log_like[2] == pytest.approx(np.log(0.5), abs=1e-5)
    assert log_like[3] < -5


def test_three_like_readings_are_sharper_than_one():
    at_pipe = np.array([50.0, 70.0])
    one, _ = sounding_fit(seen(50), VOID, at_pipe, np.ones(2))
    three, _ = sounding_fit(seen(50, "", 50, 50), VOID, at_pipe, np.ones(2))
    assert three[0] - three[1] > one[0] - one[1]


def all_readings(evidence, as_of, n=50, **changes):
    history = history_for(evidence, as_of=as_of)
    drawn = unpack(Prior.standard(history.names).draw(np.random.default_rng(1), n), history)
    _, volumes = run_history(history, drawn)
    more = {"choices": cleanout_choices(history), "left_out": frozenset()} | changes
    return readings(history, drawn, volumes, events=range(len(history.events)), **more)


def test_every_reading_of_a_pond_is_finite_and_named():
    found = all_readings(pond_p2(), date(2025, 10, 4))
    names = [reading.entry for reading in found]
    assert "s-2024-06-22" in names
    assert {"c-2024-07-06:before", "c-2024-09-14:before", "c-2024-09-14:after", "c-2024-09-14:slurry"} <= set(names)
    assert "c-2024-07-06:after" not in names  # nothing was measured
    for reading in found:
        assert np.isfinite(reading.log_likelihood).all()
        if reading.tail is not None:
            tail = reading.tail()
            assert ((tail >= 0) & (tail <= 1 + 1e-9)).all()


def test_disputed_and_left_out_readings_teach_nothing():
    evidence = starter_tank(
        n_days=300, soundings=(sounding("2024-01-01", 6, is_disputed=True), sounding("2024-03-01", 9))
    )
    as_of = date(2024, 7, 1)
    assert [r.entry for r in all_readings(evidence, as_of)] == ["s-2024-03-01"]
    assert all_readings(evidence, as_of, left_out=frozenset({"s-2024-03-01"})) == []


def test_a_cleanout_tells_where_the_keeper_cleans_but_not_beside_a_rebuild_or_after_another():
    history = history_for(pond_p2(), as_of=date(2025, 10, 4))
    told = {history.events[i].on for i in cleanout_choices(history)}
    assert told == {date(2024, 7, 6)}  # not the one that opened the account, not the second go, not the rebuild's


def test_a_keeper_who_cleans_by_the_calendar_tells_nothing():
    def cleaned(*months: str):
        # feed grows through the years, so the void's load between cleanouts differs while the dates do not
        return starter_tank(n_days=1400, cleanouts=tuple(cleanout(f"{month}-15") for month in months))

    as_of = date(2027, 6, 1)
    regular = history_for(cleaned("2024-03", "2024-09", "2025-03", "2025-09", "2026-03", "2026-09"), as_of=as_of)
    irregular = history_for(cleaned("2025-01", "2025-10", "2026-06", "2026-12"), as_of=as_of)
    assert cleans_by_calendar(regular)
    assert not cleanout_choices(regular)
    assert not cleans_by_calendar(irregular)  # ever sooner as the feed grew: about the same feed between
    assert len(cleanout_choices(irregular)) == 4
