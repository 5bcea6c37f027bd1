from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enclosures.forecast.simulated import HORIZON_DAYS, Manner, simulate_facility
from enclosures.forecast.simulated_truths import FAMILIES, TwoPools, truth_of


def facility(family: str = "overburden", **more):
    return simulate_facility(np.random.default_rng(11), family=family, **{"n_filters": 3, **more})


def test_one_seed_makes_one_facility() -> None:
    a, b = facility(), facility()
    assert [f.evidence for f in a.filters] == [f.evidence for f in b.filters]
    assert [f.due_days for f in a.filters] == [f.due_days for f in b.filters]


@pytest.mark.parametrize("family", FAMILIES)
def test_every_kind_of_sludge_gathers_shrinks_when_cleaned_and_decays_unfed(family: str) -> None:
    void = truth_of(family, np.random.default_rng(1), n_days=1000, full_mass_kg=5.0)
    for _ in range(300):
        void.add(0.02, 24.0, inert_share=0.1)
    filled = void.litres
    void.keep(0.25)
    kept = void.litres
    assert 0 < kept < 0.5 * filled
    for _ in range(300):
        void.add(0.0, 24.0, inert_share=0.0)
    assert void.litres < kept


def test_the_forecasts_own_account_is_among_the_truths() -> None:
    """The published reference run: s .20, 100 g/d, 25 degC gives 82.95 L after a year."""
    void = TwoPools(phi=0.4, k20=0.010, theta=1.05, kr20=1e-4, c0=35.0, c_inf=90.0, kappa=0.010)
    for _ in range(365):
        void.add(0.2 * 0.1, 25.0, inert_share=0.0)
    assert void.litres == pytest.approx(82.952, rel=1e-3)


def test_the_truth_goes_on_without_a_cleanout_after_the_day_of_the_forecast() -> None:
    made = facility(n_filters=6, n_origins=3)
    assert len(made.origins) == 3
    for filter in made.filters:
        for day in made.origins:
            due = filter.due_in_days(day)
            build = filter.evidence.build_on(day)
            assert build is not None
            assert due == float("inf") or 0 <= due <= HORIZON_DAYS
            assert (due == 0) == (filter.fill_on(day) >= build.due_fill)


def test_a_crew_that_forgets_writes_less_and_records_end_on_the_day() -> None:
    manner = Manner.drawn(np.random.default_rng(5), family="two pools")
    careful, careless = (facility(manner=replace(manner, unlogged_share=share, gap_chance=0.0)) for share in (0.0, 0.3))
    n = [sum(len(f.evidence.feedings) for f in made.filters) for made in (careful, careless)]
    assert 0.6 < n[1] / n[0] < 0.8
    for filter in careless.filters:
        e = filter.evidence
        assert max(p.on for p in e.feedings) <= careless.as_of
        assert all(s.on <= careless.as_of for s in e.soundings)
