from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import FilterEvidence, SoundingSeen
from enclosures.forecast.outlook import outlook_for, rng_for
from enclosures.forecast.pooling import (
    Message,
    message_from,
    pooled_outlooks,
    pooled_posteriors,
    prior_from,
)
from enclosures.forecast.posterior import posterior_for, posterior_under
from enclosures.forecast.priors import Prior
from tests.forecast.histories import STARTED_ON, starter_tank

AS_OF = date(2025, 8, 1)


def tank(code: str, *, mm_at: dict[int, float], n_days: int = 600) -> FilterEvidence:
    soundings = tuple(
        SoundingSeen(entry=f"{code}-{day}", on=STARTED_ON + timedelta(days=day), depths_mm=(mm,))
        for day, mm in mm_at.items()
    )
    return replace(starter_tank(n_days=n_days), filter=code, enclosure=code, soundings=soundings)


RICH = {200: 9.0, 300: 16.0, 400: 23.0, 500: 30.0, 590: 37.0}


def rich_neighbours(n: int = 4) -> list[FilterEvidence]:
    return [tank(f"N{i}", mm_at={day: mm * (1 + 0.04 * i) for day, mm in RICH.items()}) for i in range(n)]


def test_a_filter_alone_is_forecast_as_if_nothing_were_pooled() -> None:
    alone = starter_tank(n_days=600)
    assert pooled_outlooks([alone], as_of=AS_OF, n_particles=400) == {
        "T1-F": outlook_for(alone, as_of=AS_OF, n_particles=400)
    }


def test_a_filter_without_geometry_keeps_its_place_and_its_reason() -> None:
    bare = replace(starter_tank(n_days=10), filter="bare", builds=())
    out = pooled_outlooks([bare, starter_tank(n_days=60)], as_of=AS_OF, n_particles=200)
    assert list(out) == ["bare", "T1-F"]
    assert out["bare"].fill is None


def test_neighbours_with_readings_narrow_a_filter_that_has_none() -> None:
    new = tank("new", mm_at={})
    alone = outlook_for(new, as_of=AS_OF)
    pooled = pooled_outlooks([new, *rich_neighbours()], as_of=AS_OF)["new"]
    assert alone.fill
    assert pooled.fill
    assert pooled.fill.p90 / pooled.fill.p10 < 0.9 * alone.fill.p90 / alone.fill.p10


def test_a_filter_learns_from_the_others_and_never_from_itself() -> None:
    """With one filter read and one not, the read one's prior comes from a filter that has nothing to say."""
    believed = pooled_posteriors([tank("read", mm_at=RICH), tank("new", mm_at={})], as_of=AS_OF, n_particles=400)
    assert believed["read"].shared is None
    assert believed["new"].shared is not None


def message(mean: float, variance: float, name: str = "s") -> Message:
    """What a filter says whose posterior under N(0, 1) is N(mean, variance)."""
    precision = 1.0 / variance - 1.0
    return Message(names=(name,), precision=np.array([[precision]]), shift=np.array([mean / variance]))


def test_silent_filters_teach_nothing() -> None:
    silent = Message(names=("s",), precision=np.zeros((1, 1)), shift=np.zeros(1))
    assert prior_from([silent, silent]) is None
    assert prior_from([]) is None


def test_one_exact_neighbour_moves_the_prior_by_the_share_in_common(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two normals with correlation r: told z1 = 1 exactly, z2 has mean r and variance 1 - r^2 (textbook; memory)."""
    monkeypatch.setattr("enclosures.forecast.pooling.ALIKENESS", (1.0,))
    told = prior_from([message(1.0, 1e-9)])
    assert told is not None
    assert told.mean[0] == pytest.approx(0.67, abs=1e-6)
    assert told.covariance[0, 0] == pytest.approx(1 - 0.67**2, abs=1e-6)


def test_many_alike_neighbours_say_more_than_many_that_contradict_each_other() -> None:
    alike = prior_from([message(1.2, 0.05) for _ in range(6)])
    unlike = prior_from([message(1.6 * sign, 0.05) for sign in (1, -1, 1, -1, 1, -1)])
    assert alike is not None
    assert unlike is not None
    assert alike.covariance[0, 0] < 0.55
    assert unlike.covariance[0, 0] > 0.8
    assert abs(unlike.mean[0]) < 0.1


def test_sampling_noise_of_the_particles_is_not_taken_for_information() -> None:
    history = history_for(starter_tank(n_days=200), as_of=STARTED_ON + timedelta(days=199))
    assert history is not None
    unread = posterior_for(history, rng=np.random.default_rng(2), n_particles=500)
    assert not message_from(unread).precision.any()


def test_changing_the_prior_on_the_same_particles_agrees_with_a_new_pass() -> None:
    history = history_for(tank("read", mm_at=RICH), as_of=AS_OF)
    assert history is not None
    shared = Prior(names=("s", "c0"), mean=np.array([0.8, -0.4]), covariance=np.array([[0.5, 0.1], [0.1, 0.6]]))
    first = posterior_for(history, rng=np.random.default_rng(1), n_particles=2000)
    moved = posterior_under(shared, first, history, rng=np.random.default_rng(2))
    anew = posterior_for(history, rng=np.random.default_rng(3), n_particles=2000, shared=shared)
    for name in ("s", "c0", "kappa", "gamma"):
        a, b = moved.component(name), anew.component(name)
        assert moved.weights @ a == pytest.approx(anew.weights @ b, abs=0.15)
    mean_a, mean_b = moved.weights @ moved.state.volume_l, anew.weights @ anew.state.volume_l
    assert mean_a == pytest.approx(mean_b, rel=0.04)
    assert first.left_out == moved.left_out


def test_a_reload_shows_the_same_dates() -> None:
    facility = [tank("new", mm_at={}), *rich_neighbours(2)]
    assert pooled_outlooks(facility, as_of=AS_OF, n_particles=300) == pooled_outlooks(
        facility, as_of=AS_OF, n_particles=300
    )
    assert rng_for("a", AS_OF).random() != rng_for("b", AS_OF).random()
