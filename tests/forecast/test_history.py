"""Where an account opens, in what order things happen, and what cleanouts and rebuilds leave."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import Geometry, SeasonSpan, StaySpan
from enclosures.forecast.priors import COMPONENTS, Prior
from enclosures.forecast.run import loads_kg, run_history, unpack
from enclosures.forecast.void_model import run_daily

from .histories import STARTED_ON, cleanout, pond_p1, pond_p2, sounding, starter_tank


def day(n: int) -> date:
    return STARTED_ON + timedelta(days=n)


def drawn_for(history, n=40, seed=2):
    return unpack(Prior.standard(history.names).draw(np.random.default_rng(seed), n), history)


def test_a_void_commissioned_with_its_first_build_starts_clean():
    history = history_for(starter_tank(n_days=50), as_of=day(49))
    assert (history.start, history.start_kind) == (STARTED_ON, "clean")


def test_an_older_filter_without_a_cleanout_starts_unknown():
    evidence = starter_tank(n_days=50, commissioned_on=date(2019, 5, 1))
    history = history_for(evidence, as_of=day(49))
    assert history.start_kind == "unknown"
    state, _ = run_history(history, drawn_for(history, 2000), rows=range(0))
    fill = state.volume_l / history.geometry.usable_void_l
    np.testing.assert_allclose(np.quantile(fill, [0.1, 0.5, 0.9]), [0.09, 0.45, 0.81], atol=0.03)


def test_a_paper_cleanout_before_the_first_build_opens_the_account():
    evidence = starter_tank(
        n_days=50, commissioned_on=date(2019, 5, 1), cleanouts=(cleanout("2023-06-01", depth_after_mm=5),)
    )
    history = history_for(evidence, as_of=day(49))
    assert (history.start, history.start_kind) == (date(2023, 6, 1), "before cleanout")
    assert history.load.gaps  # the months before the log are imputed
    assert history.load.gaps[0].from_on == date(2023, 6, 1)


def test_years_of_silence_are_not_years_of_feeding():
    history = history_for(pond_p1(cleanouts=()), as_of=date(2024, 6, 1))
    assert history.start_kind == "unknown"
    assert history.silent_from == date(2018, 5, 1)
    assert history.start > date(2023, 3, 31)


def test_a_cleanout_shortly_before_the_log_opens_the_account():
    history = history_for(pond_p1(), as_of=date(2024, 6, 1))
    assert (history.start, history.start_kind) == (date(2023, 3, 25), "before cleanout")


def test_an_empty_tank_stocked_late_stays_clean():
    evidence = starter_tank(
        n_days=50,
        builds=(Geometry(valid_from=date(2021, 1, 1), chamber_area_m2=0.07, void_height_mm=50),),
        stays=(StaySpan(animal="A", from_on=STARTED_ON),),
    )
    assert history_for(evidence, as_of=day(49)).start_kind == "clean"


def test_no_build_in_force_is_no_history():
    assert history_for(starter_tank(n_days=5), as_of=STARTED_ON - timedelta(days=1)) is None


def kinds(history):
    return [(event.on.isoformat(), event.kind) for event in history.events]


def test_on_one_day_a_sounding_comes_before_a_cleanout_and_a_rebuild_after_it():
    evidence = starter_tank(
        n_days=200,
        builds=(
            Geometry(valid_from=STARTED_ON, chamber_area_m2=0.069, void_height_mm=50),
            Geometry(valid_from=day(100), chamber_area_m2=0.069, void_height_mm=80),
        ),
        soundings=(sounding(day(100).isoformat(), 20),),
        cleanouts=(cleanout(day(100).isoformat()),),
    )
    history = history_for(evidence, as_of=day(150))
    assert [event.kind for event in history.events] == ["sounding", "cleanout", "rebuild"]
    assert [event.geometry.void_height_mm for event in history.events] == [50, 50, 50]
    assert history.geometry.void_height_mm == 80


def test_times_decide_when_all_are_known():
    on = day(60).isoformat()
    before = starter_tank(n_days=100, soundings=(sounding(on, 3, minute=900),), cleanouts=(cleanout(on, minute=600),))
    assert [e.kind for e in history_for(before, as_of=day(99)).events] == ["cleanout", "sounding"]
    half = starter_tank(n_days=100, soundings=(sounding(on, 3),), cleanouts=(cleanout(on, minute=600),))
    assert [e.kind for e in history_for(half, as_of=day(99)).events] == ["sounding", "cleanout"]


def test_records_after_the_day_are_not_seen():
    history = history_for(pond_p2(), as_of=date(2024, 7, 1))
    assert max(event.on for event in history.events) <= date(2024, 7, 1)
    assert history.geometry.void_height_mm == 160


@pytest.mark.parametrize(("outcome", "key"), [("full", "resid_full"), ("part", "resid_part")])
def test_a_cleanout_keeps_its_residual(outcome, key):
    evidence = starter_tank(n_days=300, cleanouts=(cleanout(day(200).isoformat(), outcome),))
    history = history_for(evidence, as_of=day(200))
    drawn = drawn_for(history)
    state, volumes = run_history(history, drawn)
    np.testing.assert_allclose(state.volume_l, volumes[0] * COMPONENTS[key].value(drawn.component("resid:0")))


def test_an_attempted_cleanout_leaves_everything():
    evidence = starter_tank(n_days=300, cleanouts=(cleanout(day(200).isoformat(), "attempted"),))
    history = history_for(evidence, as_of=day(200))
    state, volumes = run_history(history, drawn_for(history))
    np.testing.assert_array_equal(state.volume_l, volumes[0])
    assert history.n_cycles == 1


def test_a_rebuild_carries_litres_onto_the_new_geometry_and_widens_the_belief():
    evidence = starter_tank(
        n_days=300,
        builds=(
            Geometry(valid_from=STARTED_ON, chamber_area_m2=0.069, void_height_mm=50),
            Geometry(valid_from=day(200), chamber_area_m2=0.138, void_height_mm=50),
        ),
    )
    history = history_for(evidence, as_of=day(200))
    drawn = drawn_for(history, 3000)
    state, volumes = run_history(history, drawn)
    assert np.median(state.volume_l) == pytest.approx(np.median(volumes[0]), rel=0.1)
    assert np.std(np.log(state.volume_l)) > np.std(np.log(volumes[0]))
    assert history.geometry.usable_void_l == pytest.approx(2 * history.first_geometry.usable_void_l)


def test_a_drained_spell_stops_accumulation_and_time():
    drained = SeasonSpan(kind="drained", from_on=day(100), to_on=day(199))
    evidence = starter_tank(n_days=100)
    with_spell = history_for(replace(evidence, seasons=(drained,)), as_of=day(199))
    without = history_for(evidence, as_of=day(99))
    z = Prior.standard(without.names).draw(np.random.default_rng(3), 20)
    wet, _ = run_history(without, unpack(z, without))
    longer = np.zeros((20, len(with_spell.names)))
    for i, name in enumerate(without.names):
        longer[:, with_spell.names.index(name)] = z[:, i]
    dry, _ = run_history(with_spell, unpack(longer, with_spell))
    np.testing.assert_allclose(dry.volume_l, wet.volume_l, rtol=1e-9)


def test_a_blocked_run_of_a_whole_history_agrees_with_daily_steps():
    """Within half a percent at the end, with the same loads spread day by day."""
    history = history_for(starter_tank(n_days=730), as_of=day(729))
    z = np.clip(Prior.standard(history.names).draw(np.random.default_rng(8), 60), -1.645, 1.645)
    drawn = unpack(z, history)
    blocked, _ = run_history(history, drawn)
    daily_kg = np.empty((730, 60))
    begin = 0
    loads = loads_kg(history, drawn)
    fed = history.load.sources_kg.sum(axis=1)
    for row, block in enumerate(history.blocks):
        share = fed[begin : begin + block.days]
        share = share / share.sum() if share.sum() > 0 else np.full(block.days, 1 / block.days)
        daily_kg[begin : begin + block.days] = share[:, None] * loads[row]
        begin += block.days
    from enclosures.forecast.void_model import VoidState

    daily = run_daily(VoidState.empty(60), drawn.void, load_kg=daily_kg, temp_c=history.load.temp_c)
    np.testing.assert_allclose(blocked.volume_l, daily.volume_l, rtol=5e-3)


def test_particles_know_every_component_by_name():
    history = history_for(pond_p2(), as_of=date(2025, 10, 4))
    assert len(set(history.names)) == len(history.names)
    assert {"s", "autumn", "food:worm", "start", "resid:0", "rebuild:0", "noise:0"} <= set(history.names)
