"""What must hold for any sane evidence."""

from __future__ import annotations

import dataclasses
from datetime import date, timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import (
    CleanoutDone,
    Comer,
    FeedPortion,
    FilterEvidence,
    Geometry,
    PlannedMove,
    SeasonSpan,
    SoundingSeen,
    StaySpan,
    TemperatureSeen,
    WeightSeen,
)
from enclosures.forecast.outlook import outlook_for
from enclosures.forecast.priors import Prior
from enclosures.forecast.run import run_history, unpack
from enclosures.forecast.void_model import BlockStepper, VoidParameters, VoidState, step_day

FIRST = date(2024, 1, 1)
DAYS = st.integers(0, 500)


def on(n: int) -> date:
    return FIRST + timedelta(days=n)


def days() -> st.SearchStrategy[date]:
    return DAYS.map(on)


FOODS = st.sampled_from(["pellet", "insect", "worm", "fish", "crustacean", "mollusc", "plant", "gel", "other"])
PORTIONS = st.builds(
    FeedPortion,
    on=days(),
    dry_g=st.floats(0, 500),
    food_class=FOODS,
    eaten=st.sampled_from(["all", "most", "some", "none", ""]),
    removed_dry_g=st.floats(0, 50),
)
SOUNDINGS = st.builds(
    SoundingSeen,
    entry=st.uuids().map(str),
    on=days(),
    depths_mm=st.lists(st.floats(0, 300), min_size=1, max_size=3).map(tuple),
    minute=st.none() | st.integers(0, 1439),
    qualifier=st.sampled_from(["", ">=", "<="]),
    is_disputed=st.booleans(),
)
DEPTHS = st.none() | st.floats(0, 300)
CLEANOUTS = st.builds(
    CleanoutDone,
    entry=st.uuids().map(str),
    on=days(),
    outcome=st.sampled_from(["full", "part", "attempted"]),
    minute=st.none() | st.integers(0, 1439),
    depth_before_mm=DEPTHS,
    depth_before_qualifier=st.sampled_from(["", ">="]),
    depth_after_mm=DEPTHS,
    slurry_l=st.none() | st.floats(0, 500),
)
BUILDS = st.lists(
    st.builds(
        Geometry,
        valid_from=days(),
        chamber_area_m2=st.floats(0.01, 2),
        void_height_mm=st.floats(20, 400),
        usable_fraction=st.floats(0.3, 1),
        due_fill=st.floats(0.3, 1),
    ),
    max_size=3,
    unique_by=lambda b: b.valid_from,
)
SEASONS = st.builds(
    lambda kind, start, length: SeasonSpan(kind=kind, from_on=start, to_on=length and start + timedelta(days=length)),
    st.sampled_from(["active", "brumation", "drained", "resting"]),
    days(),
    st.none() | st.integers(1, 200),
)


STAYS = st.builds(
    lambda animal, start, length, age: StaySpan(
        animal=animal,
        from_on=start,
        to_on=None if length is None else start + timedelta(days=length),
        hatched_on=None if age is None else start - timedelta(days=age),
    ),
    st.sampled_from("ABC"),
    days(),
    st.none() | st.integers(1, 400),
    st.none() | st.integers(0, 900),
)
MOVES = st.builds(
    PlannedMove,
    on=st.integers(0, 900).map(on),
    text=st.just("some move"),
    leaving=st.lists(st.sampled_from("ABC"), unique=True, max_size=3).map(tuple),
    coming=st.lists(
        st.builds(Comer, animal=st.sampled_from("CDE"), usual_mass_g=st.none() | st.floats(1, 500)), max_size=2
    ).map(tuple),
)


def tuples(items, most):
    return st.lists(items, max_size=most).map(tuple)


@st.composite
def evidences(draw) -> FilterEvidence:
    stays = draw(tuples(STAYS, 4))
    return FilterEvidence(
        filter="F",
        enclosure="E",
        commissioned_on=draw(st.none() | st.integers(-900, 300).map(on)),
        builds=tuple(sorted(draw(BUILDS), key=lambda b: b.valid_from)),
        feedings=draw(tuples(PORTIONS, 25)),
        soundings=draw(tuples(SOUNDINGS, 5)),
        cleanouts=draw(tuples(CLEANOUTS, 4)),
        temperatures=draw(tuples(st.builds(TemperatureSeen, on=days(), temp_c=st.floats(-2, 40)), 6)),
        seasons=draw(tuples(SEASONS, 3)),
        stays=stays,
        weights=draw(
            tuples(st.builds(WeightSeen, animal=st.sampled_from("ABC"), on=days(), mass_g=st.floats(1, 5000)), 6)
        ),
        planned_moves=draw(tuples(MOVES, 2)),
        feed_share=draw(st.floats(0.05, 1)),
        is_indoor=draw(st.booleans()),
        surface_m2=draw(st.none() | st.floats(0, 50)),
        litter_level=draw(st.sampled_from(["none", "open", "near", "canopy"])),
        litter_g_m2_year=draw(st.none() | st.floats(0, 600)),
        is_southern=draw(st.booleans()),
    )


def numbers(value):
    if dataclasses.is_dataclass(value):
        for f in dataclasses.fields(value):
            yield from numbers(getattr(value, f.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from numbers(item)
    elif isinstance(value, float):
        yield value


@settings(max_examples=60, deadline=None)
@given(evidence=evidences(), as_of=st.integers(-5, 520).map(on))
def test_any_sane_evidence_has_an_outlook_without_nan(evidence, as_of):
    outlook = outlook_for(evidence, as_of=as_of, n_particles=60, horizon_days=200)
    assert all(np.isfinite(x) for x in numbers(outlook))
    if outlook.fill is None:
        assert outlook.sureness == "none"
        return
    assert 0 <= outlook.fill.p10 <= outlook.fill.p50 <= outlook.fill.p90
    assert 0 <= outlook.rod_mm.p10 <= outlook.rod_mm.p90 <= outlook.void_height_mm
    dates = [d or date.max for d in (outlook.due_on.p10, outlook.due_on.p50, outlook.due_on.p90)]
    assert as_of <= dates[0] <= dates[1] <= dates[2]
    assert (outlook.not_before is None) == (outlook.due_on.p90 is not None)
    assert 0 <= outlook.litter_share <= 1
    chances = [p for _, p in outlook.chance_due_within]
    assert chances == sorted(chances)
    assert outlook.next_reading


@settings(max_examples=60, deadline=None)
@given(evidence=evidences(), as_of=st.integers(0, 520).map(on))
def test_a_gap_in_the_log_is_never_filled_with_more_than_was_ever_given_in_a_day(evidence, as_of):
    history = history_for(evidence, as_of=as_of)
    if history is None:
        return
    load = history.load
    filled = load.sources_kg[:, len(load.classes) :].sum(axis=1)
    assert filled.max(initial=0.0) <= 1.25 * load.logged_kg.max(initial=0.0) * (1 + 1e-9)
    assert load.leftover_kg.max(initial=0.0) <= 2.5 * load.logged_kg.max(initial=0.0) * (1 + 1e-9)


PARAMETERS = {
    "phi": st.floats(0.01, 0.99),
    "k20": st.floats(1e-4, 0.3),
    "theta": st.floats(1.0, 1.1),
    "kr20": st.floats(1e-6, 0.005),
    "c0": st.floats(2, 120),
    "c_inf": st.floats(140, 300),
    "kappa": st.floats(1e-4, 0.3),
}


@settings(max_examples=150, deadline=None)
@given(
    values=st.fixed_dictionaries(PARAMETERS),
    loads=st.lists(st.floats(0, 1), min_size=1, max_size=40),
    temp=st.floats(0, 35),
)
def test_masses_and_volume_are_never_negative_and_mass_never_exceeds_what_came(values, loads, temp):
    p = VoidParameters(**{name: np.array([value]) for name, value in values.items()})
    state, block, stepper = VoidState.empty(1), VoidState.empty(1), BlockStepper(p)
    for load in loads:
        state = step_day(state, p, load_kg=load, temp_c=temp)
        stepper.advance(block, days=7, load_kg=np.array([load]), temp_c=temp)
        for s in (state, block):
            assert s.labile_kg[0] >= 0
            assert s.lasting_kg[0] >= 0
            assert s.volume_l[0] >= 0
            assert s.labile_kg[0] + s.lasting_kg[0] <= sum(loads) * (1 + 1e-9)


@settings(max_examples=150, deadline=None)
@given(
    values=st.fixed_dictionaries(PARAMETERS),
    loads=st.lists(st.floats(0, 1), min_size=2, max_size=40),
    more=st.floats(0, 1),
    at=st.integers(0, 39),
    temp=st.floats(0, 35),
)
def test_more_load_never_lowers_the_void(values, loads, more, at, temp):
    p = VoidParameters(**{name: np.array([value]) for name, value in values.items()})
    fuller = list(loads)
    fuller[at % len(loads)] += more
    low, high, stepper = VoidState.empty(1), VoidState.empty(1), BlockStepper(p)
    for a, b in zip(loads, fuller, strict=True):
        stepper.advance(low, days=7, load_kg=np.array([a]), temp_c=temp)
        stepper.advance(high, days=7, load_kg=np.array([b]), temp_c=temp)
        assert high.volume_l[0] >= low.volume_l[0] * (1 - 1e-9)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), extra=st.floats(0, 100), at=st.integers(0, 59))
def test_more_feed_never_lowers_the_fill_of_any_particle(seed, extra, at):
    def tank(grams):
        return FilterEvidence(
            filter="F",
            enclosure="E",
            commissioned_on=None,
            builds=(Geometry(valid_from=FIRST, chamber_area_m2=0.1, void_height_mm=100),),
            feedings=tuple(
                FeedPortion(on=on(n), dry_g=5 + (grams if n == at else 0), food_class="pellet") for n in range(60)
            ),
        )

    volumes = []
    for grams in (0.0, extra):
        history = history_for(tank(grams), as_of=on(80))
        z = Prior.standard(history.names).draw(np.random.default_rng(seed), 50)
        state, _ = run_history(history, unpack(z, history))
        volumes.append(state.volume_l)
    assert (volumes[1] >= volumes[0] * (1 - 1e-9)).all()
