from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import sludge
from enclosures.estimates.checks import BadQuantity
from enclosures.estimates.sludge import SludgeParameters, SludgeState, one_day
from tests.worked_examples import sludge as reference
from tests.worked_examples.example import Example

EMPTY = SludgeState()
DEFAULTS = SludgeParameters()
PRODUCTION_KG = 0.20 * 0.100


def run(
    days: int, *, temp_c: float, production_kg: float = PRODUCTION_KG, start: SludgeState = EMPTY, **changed: float
) -> list[SludgeState]:
    """States at the end of each day, first the start itself."""
    parameters = replace(DEFAULTS, **changed)
    states = [start]
    for _ in range(days):
        states.append(one_day(states[-1], production_kg=production_kg, temp_c=temp_c, parameters=parameters))
    return states


@pytest.mark.parametrize("temp_c", reference.REFERENCE_LITRES)
def test_volume_follows_the_reference_run(temp_c: float) -> None:
    states = run(730, temp_c=temp_c)
    for day, litres in reference.REFERENCE_LITRES[temp_c].items():
        assert states[day].volume_l == pytest.approx(litres, rel=0.001), f"{temp_c} degC, day {day} (lib: python 3.11)"


@pytest.mark.parametrize("temp_c", reference.REFERENCE_MASSES_DAY_365)
def test_masses_follow_the_reference_run_and_the_closed_form(temp_c: float) -> None:
    state = run(365, temp_c=temp_c)[-1]
    assert (state.labile_kg, state.refractory_kg) == pytest.approx(reference.REFERENCE_MASSES_DAY_365[temp_c], rel=1e-4)
    for mass, share, rate in ((state.labile_kg, 0.4, 0.010), (state.refractory_kg, 0.6, 0.0001)):
        decay = rate * 1.05 ** (temp_c - 20)
        assert mass == pytest.approx(share * PRODUCTION_KG * (1 - math.exp(-decay * 365)) / decay, rel=1e-5)


@pytest.mark.parametrize(("litres", "day"), reference.FIRST_DAY_AT_LITRES_25C.items())
def test_first_day_at_a_volume(litres: float, day: int) -> None:
    states = run(900, temp_c=25)
    assert next(n for n, state in enumerate(states) if state.volume_l >= litres) == day


def test_without_decay_or_compaction_volume_is_production_over_fresh_solids() -> None:
    state = run(365, temp_c=25, decay_labile_per_day=0, decay_refractory_per_day=0, compaction_per_day=0)[-1]
    assert state.volume_l == pytest.approx(reference.LITRES_WITHOUT_DECAY_OR_COMPACTION, rel=1e-5)
    assert state.volume_l == pytest.approx(PRODUCTION_KG * 365 / 35 * 1000, rel=1e-9)


def test_a_brumating_void_loses_depth() -> None:
    fed = run(365, temp_c=25)[-1]
    rested = run(120, temp_c=6, production_kg=0, start=fed)[-1]
    assert (fed.volume_l, rested.volume_l) == pytest.approx(reference.BRUMATION_LITRES, rel=0.001)


def test_first_year_rates_must_not_be_drawn_straight_on() -> None:
    first, second = run(365, temp_c=22)[-1].volume_l, run(730, temp_c=22)[-1].volume_l
    assert second < 2 * first


def test_mean_accumulation_slows_as_septic_tanks_do() -> None:
    """GRAY95 (read): 0.178 / 0.254 = 0.70 from 6 to 60 months; EPR22 (read): below 0.60 from year 1 to 2. Ours slows as well."""
    assert pytest.approx(0.701, abs=0.001) == reference.GRAY_AFTER_60_MONTHS / reference.GRAY_FIRST_6_MONTHS
    states = run(1826, temp_c=15)
    ratio = (states[1826].volume_l / 1826) / (states[183].volume_l / 183)
    assert 0.29 <= ratio <= 0.74


@pytest.mark.parametrize("example", reference.SEPTIC, ids=str)
def test_household_tanks_agree_with_their_source(example: Example) -> None:
    example.check()


@given(people=st.floats(0.5, 20), months=st.floats(1, 120))
def test_septic_time_is_the_inverse_of_septic_volume(people: float, months: float) -> None:
    litres = sludge.septic_sludge_l_GRAY95(people=people, months=months)
    assert sludge.septic_months_to_l_GRAY95(people=people, capacity_l=litres) == pytest.approx(months)


states = st.builds(SludgeState, st.floats(0, 50), st.floats(0, 50), st.floats(0, 500))


@given(state=states, production=st.floats(0, 2), temp_c=st.floats(-2, 45))
def test_mass_is_conserved_when_nothing_decays(state: SludgeState, production: float, temp_c: float) -> None:
    still = replace(DEFAULTS, decay_labile_per_day=0, decay_refractory_per_day=0)
    after = one_day(state, production_kg=production, temp_c=temp_c, parameters=still)
    assert after.dry_kg == pytest.approx(state.dry_kg + production)


@given(state=states, production=st.floats(0, 2), temp_c=st.floats(-2, 45))
def test_decay_only_takes_away_and_never_below_nothing(state: SludgeState, production: float, temp_c: float) -> None:
    after = one_day(state, production_kg=production, temp_c=temp_c, parameters=DEFAULTS)
    assert 0 <= after.labile_kg <= state.labile_kg + 0.4 * production + 1e-12
    assert 0 <= after.refractory_kg <= state.refractory_kg + 0.6 * production + 1e-12
    assert after.volume_l >= 0


@given(state=states, temp_c=st.floats(0, 35), warmer=st.floats(0.5, 9))
def test_warmth_leaves_less(state: SludgeState, temp_c: float, warmer: float) -> None:
    cool = one_day(state, production_kg=0.01, temp_c=temp_c, parameters=DEFAULTS)
    warm = one_day(state, production_kg=0.01, temp_c=temp_c + warmer, parameters=DEFAULTS)
    assert warm.dry_kg < cool.dry_kg


def test_left_alone_sludge_settles_towards_its_dense_state() -> None:
    loose = SludgeState(0.0, 3.5, 100.0)
    states_over_time = run(600, temp_c=20, production_kg=0, start=loose, decay_refractory_per_day=0)
    assert all(later.volume_l < earlier.volume_l for earlier, later in pairwise(states_over_time))
    assert states_over_time[-1].solids_kg_m3 == pytest.approx(90, rel=0.01)


def test_an_empty_void_stays_empty_unfed() -> None:
    assert one_day(EMPTY, production_kg=0, temp_c=20) == EMPTY
    assert EMPTY.solids_kg_m3 == 0


def test_a_cleanout_leaves_its_residual() -> None:
    before = SludgeState(1.0, 3.0, 60.0)
    assert sludge.after_cleanout(before, residual_share=0.14) == SludgeState(
        pytest.approx(0.14), pytest.approx(0.42), pytest.approx(8.4)
    )
    assert sludge.after_cleanout(before, residual_share=1) == before


def test_yield_from_its_parts_is_near_the_default_and_near_farms() -> None:
    """SOLIDS (read): 0.20 kg suspended solids per kg feed on farms."""
    total = sludge.solids_yield_from_parts(
        capture_share=0.60, uneaten_share=0.05, faecal_share=0.27, biofilm_kg_per_kg=0.03
    )
    assert total == pytest.approx(0.2139)
    assert total == pytest.approx(0.20, rel=0.25)


@pytest.mark.parametrize(
    ("left", "removed", "load"),
    [
        (0.0, 0.0, 0.18 * 100),
        (1.0, 0.0, 0.60 * 100),
        (1.0, 100.0, 0.0),
        (0.5, 0.0, 0.60 * 50 + 0.18 * 50),
        (0.5, 30.0, 0.60 * 20 + 0.18 * 50),
        (0.0, 40.0, 0.18 * 60),
        (0.5, 500.0, 0.0),
    ],
    ids=[
        "all eaten",
        "none eaten",
        "none eaten, all removed",
        "some",
        "some, part removed",
        "removed though 'all'",
        "more removed",
    ],
)
def test_leftovers_weigh_more_than_droppings_unless_taken_out(left: float, removed: float, load: float) -> None:
    got = sludge.feeding_load(offered=100, left_share=left, removed=removed, solids_yield=0.18, capture_share=0.60)
    assert got == pytest.approx(load)


def test_litter_over_a_year_is_what_falls_on_the_pond() -> None:
    per_day = sludge.background_kg_per_day(surface_m2=14, litter_g_m2_year=77)
    assert per_day * 365 == pytest.approx(14 * 77 / 1000)


@pytest.mark.parametrize(
    ("bad", "argument"),
    [
        ({"degradable_share": 1.2}, "degradable_share"),
        ({"fresh_solids_kg_m3": 0}, "fresh_solids"),
        ({"compaction_per_day": -1}, "compaction"),
    ],
)
def test_parameters_that_cannot_be_are_refused(bad: dict[str, float], argument: str) -> None:
    with pytest.raises(BadQuantity, match=argument):
        replace(DEFAULTS, **bad)


def test_a_negative_load_is_refused() -> None:
    with pytest.raises(BadQuantity, match="production_kg"):
        one_day(EMPTY, production_kg=-0.1, temp_c=20)
