"""The state equation against reference values, closed forms and the scalar twin in `estimates.sludge`."""

from __future__ import annotations

import numpy as np
import pytest

from enclosures.estimates.sludge import SludgeParameters, SludgeState, one_day
from enclosures.forecast.priors import COMPONENTS
from enclosures.forecast.void_model import BlockStepper, VoidParameters, VoidState, run_daily, step_day

# Parameters and trajectories of the reference run: an independent scalar program, Python 3.11 ("lib: python").
REFERENCE = {"phi": 0.40, "k20": 0.010, "theta": 1.05, "kr20": 1e-4, "c0": 35.0, "c_inf": 90.0, "kappa": 0.010}
LOAD_KG = 0.20 * 0.100  # s .20 kg/kg x 0.100 kg dry feed a day


def parameters(n: int = 1, **changes: float) -> VoidParameters:
    return VoidParameters(**{name: np.full(n, value) for name, value in (REFERENCE | changes).items()})


def fed_for(days: int, *, temp_c: float, state: VoidState | None = None, **changes: float) -> VoidState:
    return run_daily(
        state or VoidState.empty(1),
        parameters(**changes),
        load_kg=np.full(days, LOAD_KG),
        temp_c=np.full(days, temp_c),
    )


@pytest.mark.parametrize(
    ("temp_c", "days", "volume_l"),
    [
        (15, 30, 15.021),
        (15, 180, 57.525),
        (15, 365, 87.960),
        (15, 730, 137.496),
        (20, 30, 14.858),
        (20, 180, 55.714),
        (20, 365, 85.315),
        (20, 730, 134.181),
        (25, 30, 14.660),
        (25, 180, 53.893),
        (25, 365, 82.952),  # check 18a
        (25, 730, 131.183),  # check 18a
    ],
)
def test_volume_follows_the_reference_trajectory(temp_c, days, volume_l):
    assert fed_for(days, temp_c=temp_c).volume_l[0] == pytest.approx(volume_l, rel=1e-3)


@pytest.mark.parametrize(
    ("temp_c", "labile_kg", "lasting_kg"), [(15, 0.96254, 4.31796), (20, 0.77921, 4.30103), (25, 0.62088, 4.27955)]
)
def test_masses_after_a_year_match_the_closed_form(temp_c, labile_kg, lasting_kg):
    """Check 18b: phi P (1 - e^-kt)/k and (1 - phi) P (1 - e^-krt)/kr, and the printed values (lib: python)."""
    state = fed_for(365, temp_c=temp_c)
    warm = REFERENCE["theta"] ** (temp_c - 20)
    k, kr = REFERENCE["k20"] * warm, REFERENCE["kr20"] * warm
    assert state.labile_kg[0] == pytest.approx(0.4 * LOAD_KG * (1 - np.exp(-k * 365)) / k, rel=1e-5)
    assert state.lasting_kg[0] == pytest.approx(0.6 * LOAD_KG * (1 - np.exp(-kr * 365)) / kr, rel=1e-5)
    assert state.labile_kg[0] == pytest.approx(labile_kg, rel=1e-4)
    assert state.lasting_kg[0] == pytest.approx(lasting_kg, rel=1e-4)


@pytest.mark.parametrize(("level_l", "day"), [(100.0, 489), (150.0, 883)])
def test_first_day_at_a_volume_is_the_reference_day(level_l, day):
    """Check 18c (lib: python)."""
    state, p = VoidState.empty(1), parameters()
    for number in range(1, 1000):
        state = step_day(state, p, load_kg=LOAD_KG, temp_c=25.0)
        if state.volume_l[0] >= level_l:
            assert number == day
            return
    pytest.fail("never reached")


def test_without_decay_or_consolidation_volume_is_feed_over_concentration():
    """Check 18d: an identity, 0.2 x 0.1 x 365 / 35 m3."""
    state = fed_for(365, temp_c=25, k20=0.0, kr20=0.0, kappa=0.0)
    assert state.volume_l[0] == pytest.approx(208.5714286, rel=1e-6)


def test_brumating_void_loses_depth():
    """Check 18e: 365 days fed at 25 degC, then 120 unfed at 6 degC (lib: python)."""
    summer = fed_for(365, temp_c=25)
    winter = run_daily(summer, parameters(), load_kg=np.zeros(120), temp_c=np.full(120, 6.0))
    assert summer.volume_l[0] == pytest.approx(82.952, rel=1e-3)
    assert winter.volume_l[0] == pytest.approx(59.072, rel=1e-3)


def test_array_step_agrees_with_the_scalar_estimate():
    """The scalar twin was written apart from this one: a year of changing load and warmth must agree."""
    rng = np.random.default_rng(4)
    loads, temps = rng.gamma(2.0, 0.01, 365), 15 + 10 * np.sin(np.arange(365) / 58)
    scalar = SludgeState()
    p = SludgeParameters(
        degradable_share=0.4,
        decay_labile_per_day=0.01,
        decay_refractory_per_day=1e-4,
        decay_theta=1.05,
        fresh_solids_kg_m3=35.0,
        consolidated_solids_kg_m3=90.0,
        compaction_per_day=0.01,
    )
    for load, temp in zip(loads, temps, strict=True):
        scalar = one_day(scalar, production_kg=float(load), temp_c=float(temp), parameters=p)
    state = run_daily(VoidState.empty(1), parameters(), load_kg=loads, temp_c=temps)
    assert state.volume_l[0] == pytest.approx(scalar.volume_l, rel=1e-9)
    assert state.labile_kg[0] == pytest.approx(scalar.labile_kg, rel=1e-9)


def draw(n: int, seed: int, *, within: float = np.inf) -> tuple[np.ndarray, VoidParameters]:
    rng = np.random.default_rng(seed)

    def of(name: str) -> np.ndarray:
        return COMPONENTS[name].value(np.clip(rng.standard_normal(n), -within, within))

    s, c0 = of("s"), of("c0")
    names = ("phi", "k20", "theta", "kr20", "kappa")
    return s, VoidParameters(c0=c0, c_inf=np.maximum(of("c_inf"), 1.1 * c0), **{name: of(name) for name in names})


def test_weekly_blocks_agree_with_daily_steps_within_half_a_percent():
    """Over the priors' 90 % range, with weekends unfed and a seasonal temperature, after the first month."""
    n, days = 200, 730
    s, p = draw(n, 3, within=1.645)
    feed = np.where(np.arange(days) % 7 < 6, 0.02, 0.0)[:, None] * s
    temps = 15 + 10 * np.sin(np.arange(days) / 58.1)
    daily, blocked, stepper = VoidState.empty(n), VoidState.empty(n), BlockStepper(p)
    for begin in range(0, days - 1, 7):
        end = min(begin + 7, days)
        daily = run_daily(daily, p, load_kg=feed[begin:end], temp_c=temps[begin:end])
        weights, ages = feed[begin:end, 0], np.arange(end - begin)[::-1]
        extra = float(weights @ ages / weights.sum() - ages.mean()) if weights.any() else 0.0
        stepper.advance(
            blocked,
            days=end - begin,
            load_kg=feed[begin:end].sum(axis=0),
            temp_c=round(float(temps[begin:end].mean()) * 4) / 4,
            extra_age_days=extra,
        )
        if end > 28:
            np.testing.assert_allclose(blocked.volume_l, daily.volume_l, rtol=5e-3)
            np.testing.assert_allclose(blocked.lasting_kg, daily.lasting_kg, rtol=1e-3)


def test_prior_predictive_matches_an_independent_run():
    """100 g/d dry at 24 degC: 48 L (16-149) at 182 d, 77 (26-232) at 365 d, 123 (42-349) at 730 d (lib: numpy)."""
    s, p = draw(8000, 1)
    state, stepper = VoidState.empty(8000), BlockStepper(p)
    expected = {26: (16, 48, 149), 52: (26, 77, 232), 104: (42, 123, 349)}
    for week in range(1, 105):
        stepper.advance(state, days=7, load_kg=0.7 * s, temp_c=24.0)
        if week in expected:
            got = np.quantile(state.volume_l, [0.05, 0.5, 0.95])
            np.testing.assert_allclose(got, expected[week], rtol=0.06)


def test_filling_slows_like_septic_tanks_do():
    """Gray 1995 (read): accumulation from 6 to 60 months falls to 0.70; the model's 90 % range is 0.29-0.74 (lib: numpy)."""
    s, p = draw(4000, 2)
    state, stepper = VoidState.empty(4000), BlockStepper(p)
    for week in range(1, 262):
        stepper.advance(state, days=7, load_kg=0.7 * s, temp_c=24.0)
        if week == 26:
            early = state.volume_l / 26
    low, middle, high = np.quantile(state.volume_l / 261 / early, [0.05, 0.5, 0.95])
    assert low == pytest.approx(0.29, abs=0.03)
    assert middle == pytest.approx(0.49, abs=0.03)
    assert high == pytest.approx(0.74, abs=0.03)
    assert low < 0.178 / 0.254 < high
