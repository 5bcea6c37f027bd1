"""What a history teaches, what is left out, and storing a belief."""

from __future__ import annotations

import io
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.due_dates import weighted_quantiles
from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import FeedPortion, Geometry
from enclosures.forecast.posterior import Posterior, posterior_for, reweighed
from enclosures.forecast.priors import Prior

from .histories import STARTED_ON, cleanout, pond_p1, pond_p2, sounding, starter_tank


def day(n: int) -> str:
    return (STARTED_ON + timedelta(days=n)).isoformat()


def belief(evidence, as_of, *, seed=1, n=1000, shared=None) -> tuple[Posterior, object]:
    history = history_for(evidence, as_of=as_of)
    return posterior_for(history, rng=np.random.default_rng(seed), n_particles=n, shared=shared), history


def fill(posterior, history):
    return weighted_quantiles(posterior.state.volume_l / history.geometry.usable_void_l, posterior.weights)


def at(n: int) -> date:
    return STARTED_ON + timedelta(days=n)


def test_without_readings_belief_is_the_prior():
    posterior, _ = belief(starter_tank(n_days=200), at(199))
    assert posterior.n_moves == 0
    assert posterior.weights @ posterior.component("s") == pytest.approx(0.0, abs=0.1)


def test_a_sounding_draws_the_fill_to_itself_and_narrows_it():
    bare, history = belief(starter_tank(n_days=400), at(399))
    read, _ = belief(starter_tank(n_days=400, soundings=(sounding(day(399), 25),)), at(399))
    low, middle, high = fill(bare, history)
    low_r, middle_r, high_r = fill(read, history)
    assert abs(middle_r - 0.5) < abs(middle - 0.5)
    assert high_r / low_r < 0.6 * high / low
    assert low_r < 0.5 < high_r


def test_many_soundings_teach_the_rate():
    """Read at twice the prior's rate five times: the solids or concentration must have moved by about that."""
    plain, history = belief(starter_tank(n_days=540), at(539))
    middles = {n: fill(*belief(starter_tank(n_days=n + 1), at(n)))[1] * 50 for n in (120, 220, 320, 420, 520)}
    read = starter_tank(n_days=540, soundings=tuple(sounding(day(n), 2 * mm) for n, mm in middles.items()))
    taught, history = belief(read, at(539))
    assert fill(taught, history)[1] == pytest.approx(2 * fill(plain, history)[1], rel=0.2)


def test_a_reading_no_prior_could_make_is_named_and_left_out():
    """150 of 150 mm ten days after commissioning, with one gram of feed."""
    evidence = starter_tank(
        n_days=1,
        builds=(Geometry(valid_from=STARTED_ON, chamber_area_m2=0.45, void_height_mm=150),),
        feedings=(FeedPortion(on=STARTED_ON, dry_g=1, food_class="pellet"),),
        soundings=(sounding(day(10), 150),),
    )
    posterior, history = belief(evidence, at(11))
    assert posterior.left_out == (f"s-{day(10)}",)
    assert fill(posterior, history)[2] < 0.05
    assert np.isfinite(posterior.z).all()


def test_one_wild_reading_among_good_ones_does_not_carry_the_day():
    good = [sounding(day(n), mm) for n, mm in ((100, 4), (200, 8), (280, 12), (390, 16))]
    calm, history = belief(starter_tank(n_days=400, soundings=tuple(good)), at(399))
    wild = sorted([*good, sounding(day(330), 48)], key=lambda s: s.on)
    shaken, _ = belief(starter_tank(n_days=400, soundings=tuple(wild)), at(399))
    assert fill(shaken, history)[1] == pytest.approx(fill(calm, history)[1], abs=0.08)


def test_a_disputed_reading_changes_nothing():
    plain, history = belief(pond_p1(), date(2025, 10, 4))
    more = (*pond_p1().soundings, sounding("2025-09-20", 20, is_disputed=True))
    disputed, _ = belief(pond_p1(soundings=more), date(2025, 10, 4))
    assert fill(disputed, history)[1] == pytest.approx(fill(plain, history)[1], abs=0.03)


def test_a_part_cleanout_with_nothing_measured_widens():
    evidence = pond_p2()
    before, history = belief(evidence, date(2024, 7, 5))
    after, later = belief(evidence, date(2024, 7, 6))
    low, middle, high = fill(before, history)
    low_a, middle_a, high_a = fill(after, later)
    assert middle_a < 0.8 * middle
    assert (high_a - low_a) / middle_a > (high - low) / middle


def test_the_reading_after_it_settles_what_was_left():
    evidence = pond_p2()
    read, history = belief(evidence, date(2024, 8, 3))  # 156 of 160 mm four weeks later
    assert fill(read, history)[1] > 0.7


def test_slurry_litres_tell_something_where_no_rod_was_used():
    """Twice 2.2 litres of slurry per litre of sludge taken: a full drum says that more was there."""
    plain, _ = belief(starter_tank(n_days=500, cleanouts=(cleanout(day(480), depth_after_mm=2),)), at(480))
    much, _ = belief(
        starter_tank(n_days=500, cleanouts=(cleanout(day(480), depth_after_mm=2, slurry_l=12.0),)), at(480)
    )
    assert much.weights @ much.component("s") > plain.weights @ plain.component("s")


def test_the_same_seed_gives_the_same_particles():
    one, _ = belief(pond_p2(), date(2025, 10, 4), seed=5)
    two, _ = belief(pond_p2(), date(2025, 10, 4), seed=5)
    np.testing.assert_array_equal(one.z, two.z)
    np.testing.assert_array_equal(one.state.volume_l, two.state.volume_l)


def test_other_seeds_tell_the_same_story():
    fills = [fill(*belief(pond_p2(), date(2025, 10, 4), seed=seed)) for seed in range(4)]
    spread = np.ptp(np.array(fills), axis=0)
    width = np.mean([high - low for low, _, high in fills])
    assert (spread < 0.25 * width).all()


def test_a_shared_prior_moves_a_filter_without_readings():
    shared = Prior(names=("s",), mean=np.array([1.0]), covariance=np.array([[0.25]]))
    plain, history = belief(starter_tank(n_days=300), at(299))
    moved, _ = belief(starter_tank(n_days=300), at(299), shared=shared)
    assert moved.weights @ moved.component("s") == pytest.approx(1.0, abs=0.06)
    assert moved.weights @ moved.component("k20") == pytest.approx(0.0, abs=0.1)
    assert fill(moved, history)[1] > 1.3 * fill(plain, history)[1]


def test_reweighing_agrees_with_starting_afresh():
    evidence = starter_tank(n_days=400, soundings=(sounding(day(250), 8),))
    posterior, history = belief(evidence, at(399), n=6000)
    new = sounding(day(399), 18)
    quick = reweighed(posterior, history, new, history.geometry)
    fresh, _ = belief(starter_tank(n_days=400, soundings=(sounding(day(250), 8), new)), at(399), n=6000)
    assert quick.effective_size > 600
    np.testing.assert_allclose(fill(quick, history), fill(fresh, history), rtol=0.08)


def test_a_stored_belief_comes_back_whole():
    posterior, _ = belief(pond_p1(), date(2025, 10, 4))
    held = io.BytesIO()
    np.savez_compressed(held, **posterior.to_arrays())
    held.seek(0)
    with np.load(held) as stored:
        back = Posterior.from_arrays(dict(stored))
    assert back.names == posterior.names
    np.testing.assert_array_equal(back.z, posterior.z)
    np.testing.assert_array_equal(back.state.volume_l, posterior.state.volume_l)


def test_moments_are_those_of_the_particles():
    posterior, _ = belief(pond_p1(), date(2025, 10, 4))
    mean, covariance = posterior.moments(("s", "c0"))
    assert mean[0] == pytest.approx(np.average(posterior.component("s"), weights=posterior.weights))
    assert covariance.shape == (2, 2)
    assert covariance[0, 1] > 0  # more solids or thicker sludge: one depth cannot tell them apart
