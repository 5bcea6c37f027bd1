"""The other worlds are sane and each is what it claims; slow: the forecast, never chosen on them, is useful in them."""

from __future__ import annotations

import itertools
import json
import math
from collections import Counter
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from enclosures.forecast.inputs import FilterEvidence
from enclosures.forecast.outlook import MODEL_VERSION
from tests.forecast.other_worlds import STYLES, Case, Facility, ecologist, make_facility
from tests.forecast.other_worlds.calendar_and_climate import HORIZON_DAYS
from tests.forecast.other_worlds.scored import (
    FACILITIES_A_STYLE,
    FILTERS_A_FACILITY,
    STYLE_GROUP,
    cases_with_forecasts,
    scored_report,
)
from tests.forecast.other_worlds.septic_law import YearsMakeItDense
from tests.forecast.other_worlds.uneven_flow import CaughtAgainstTheFlow, uneven_under_pipe

REPORT = Path(__file__).with_name("other_worlds_report.json")
N_FILTERS = len(STYLES) * FACILITIES_A_STYLE * FILTERS_A_FACILITY


@cache
def facility(style: str, seed: int = 0) -> Facility:
    return make_facility(np.random.default_rng([3, seed]), style, name=f"{style[:3]}{seed}")


def cases_of(style: str, *, n_facilities: int = 2) -> Iterator[tuple[date, Case]]:
    for seed in range(n_facilities):
        for case in facility(style, seed).cases:
            yield facility(style, seed).as_of, case


def days_written(evidence: FilterEvidence) -> Iterator[list[date]]:
    """The days of each kind of row, as they stand."""
    yield [build.valid_from for build in evidence.builds]
    for rows in (evidence.feedings, evidence.soundings, evidence.cleanouts, evidence.temperatures, evidence.weights):
        yield [row.on for row in rows]
    for spans in (evidence.seasons, evidence.stays):
        yield [span.from_on for span in spans]


@pytest.mark.parametrize("style", STYLES)
def test_nothing_is_known_that_comes_after_as_of(style: str) -> None:
    for as_of, case in cases_of(style):
        evidence = case.evidence
        ends = [span.to_on for span in (*evidence.seasons, *evidence.stays) if span.to_on is not None]
        assert max(itertools.chain(ends, *days_written(evidence))) <= as_of, evidence.filter
        assert evidence.commissioned_on is None or evidence.commissioned_on <= as_of
        assert (evidence.planned, evidence.planned_moves, evidence.planned_seasons) == ((), (), ())


@pytest.mark.parametrize("style", STYLES)
def test_rows_are_sorted_and_spans_end_after_they_begin(style: str) -> None:
    for _, case in cases_of(style):
        for days in days_written(case.evidence):
            assert days == sorted(days), case.evidence.filter
        for span in (*case.evidence.seasons, *case.evidence.stays):
            assert span.to_on is None or span.to_on >= span.from_on


@pytest.mark.parametrize("style", STYLES)
def test_a_void_is_due_at_once_exactly_when_it_stands_at_its_mark(style: str) -> None:
    for as_of, case in cases_of(style):
        build = case.evidence.build_on(as_of)
        assert build is not None
        assert math.isfinite(case.true_fill)
        assert case.true_fill >= 0
        assert (case.due_in_days == 0) == (case.true_fill >= build.due_fill)
        assert case.due_in_days <= HORIZON_DAYS or case.due_in_days == math.inf


@pytest.mark.parametrize("style", STYLES)
def test_what_is_weighed_is_more_than_nothing(style: str) -> None:
    for _, case in cases_of(style):
        grams = [portion.dry_g for portion in case.evidence.feedings]
        grams += [weight.mass_g for weight in case.evidence.weights]
        assert all(math.isfinite(value) and value > 0 for value in grams), case.evidence.filter


@pytest.mark.parametrize("style", STYLES)
def test_the_same_seed_makes_the_same_world(style: str) -> None:
    again = make_facility(np.random.default_rng([3, 0]), style, name=f"{style[:3]}0")
    assert again == facility(style)
    assert again != facility(style, 1)


@pytest.mark.parametrize("style", STYLES)
def test_as_many_filters_are_made_as_are_asked_for(style: str) -> None:
    for n_filters in (1, 3, 11):
        made = make_facility(np.random.default_rng(5), style, n_filters=n_filters)
        assert len({case.evidence.filter for case in made.cases}) == len(made.cases) == n_filters


def test_one_seed_gives_each_style_its_own_day() -> None:
    assert len({facility(style).as_of for style in STYLES}) == len(STYLES)


def test_an_unknown_style_is_refused() -> None:
    with pytest.raises(KeyError):
        make_facility(np.random.default_rng(1), "gardener")


def test_the_engineer_states_the_shares_of_filters_that_share_a_pond() -> None:
    shares: dict[str, list[float]] = {}
    for _, case in cases_of("engineer"):
        shares.setdefault(case.evidence.enclosure, []).append(case.evidence.feed_share)
    assert any(len(of_one) == 2 for of_one in shares.values())
    assert all(sum(of_one) == pytest.approx(1) for of_one in shares.values())


def test_to_the_ecologist_leaves_outweigh_feed_in_autumn(monkeypatch: pytest.MonkeyPatch) -> None:
    """The load of each pond's void in October and November, leaves against all that comes of meals and algae."""
    outweighed = []
    take_down = ecologist.case_of

    def weigh_too(rng: np.random.Generator, days: Any, **world: Any) -> Case:
        is_autumn = np.array([on.month in (10, 11) for on in days.dates])
        sludge = world["sludge"]
        outweighed.append(sludge.leaf_load_g[is_autumn].sum() > sludge.detritus_load_g[is_autumn].sum())
        return take_down(rng, days, **world)

    monkeypatch.setattr(ecologist, "case_of", weigh_too)
    made = make_facility(np.random.default_rng([3, 0]), "ecologist")
    assert not made.cases[0].evidence.is_southern
    assert len(outweighed) == len(made.cases)
    assert all(outweighed)


def longest_silence_days(style: str) -> int:
    fed = sorted({portion.on for case in facility(style).cases for portion in case.evidence.feedings})
    return max((later - earlier).days for earlier, later in itertools.pairwise(fed))


def test_the_messy_crew_writes_nothing_at_all_for_weeks() -> None:
    """Neither has a season: half of each facility's filters are heated tanks."""
    assert longest_silence_days("messy_crew") >= 25
    assert longest_silence_days("engineer") < 14


def test_the_breeding_station_s_tubs_stand_empty_between_batches() -> None:
    empty_days = []
    for as_of, case in cases_of("breeding_station"):
        if "-T" not in case.evidence.filter:
            continue
        last_out: date | None = None
        for stay in case.evidence.stays:
            if last_out is not None and stay.from_on > last_out:
                empty_days.append((stay.from_on - last_out).days)
            last_out = max(last_out or stay.from_on, stay.to_on or as_of)
        for portion in case.evidence.feedings:
            assert any(s.from_on <= portion.on <= (s.to_on or as_of) for s in case.evidence.stays)
    assert len(empty_days) >= 5
    assert min(empty_days) > 20


def test_the_calendar_cleaner_s_days_are_more_regular_than_its_fills() -> None:
    """Most cleanouts lie a year apart within a month; the depths read before them vary at least five times as much."""
    intervals_days, fills = [], []
    for _, case in cases_of("calendar_cleaner", n_facilities=4):
        for earlier, later in itertools.pairwise(case.evidence.cleanouts):
            intervals_days.append((later.on - earlier.on).days)
            build = case.evidence.build_on(later.on)
            if later.depth_before_mm is not None and build is not None:
                fills.append(later.depth_before_mm / build.void_height_mm)
    a_year = [days for days in intervals_days if abs(days - 365) <= 30]
    assert len(a_year) > 0.6 * len(intervals_days)
    assert np.std(fills) / np.mean(fills) > 5 * np.std(a_year) / np.mean(a_year)


def test_uneven_sludge_lies_nearly_level_once_the_void_is_full() -> None:
    under_pipe_mm = uneven_under_pipe(1.5)
    assert under_pipe_mm(1.0, 200.0) == pytest.approx(1.5, rel=0.001)
    assert under_pipe_mm(200.0, 200.0) == pytest.approx(220.0)


def test_a_stronger_pump_catches_less_in_the_same_void() -> None:
    caught_l = []
    for clean_flow_l_per_h in (400.0, 1200.0):
        sludge = CaughtAgainstTheFlow(
            np.random.default_rng(4),
            load_g=np.full(200, 5.0),
            temp_c=np.full(200, 22.0),
            area_m2=0.2,
            clean_flow_l_per_h=clean_flow_l_per_h,
            g_per_l=50.0,
        )
        for day in range(200):
            sludge.step(day, room=1.0, fill=0.0)
        caught_l.append(sludge.volume_l())
    assert caught_l[0] > 1.2 * caught_l[1]


def test_animals_of_the_odd_facility_change_places() -> None:
    homes: Counter[str] = Counter()
    for case in facility("odd_one_out").cases:
        homes.update({stay.animal for stay in case.evidence.stays})
    assert sum(n_homes > 1 for n_homes in homes.values()) > len(homes) / 3


def test_by_the_septic_law_the_same_feed_makes_fewer_litres_later() -> None:
    sludge = YearsMakeItDense(np.random.default_rng(6), feed_g=np.full(400, 10.0), l_per_kg=3.5)
    after_l = []
    for day in range(400):
        sludge.step(day, room=1.0, fill=0.0)
        after_l.append(sludge.volume_l())
    first_half_l, second_half_l = after_l[199], after_l[399] - after_l[199]
    assert 0.5 * first_half_l < second_half_l < 0.95 * first_half_l


def test_a_forecast_stands_beside_what_came_of_every_filter() -> None:
    scored = list(cases_with_forecasts("septic_law", 0))
    assert [case.made.filter for case in scored] == [f"sep0-S{number}" for number in range(1, FILTERS_A_FACILITY + 1)]
    assert all({"all", f"{STYLE_GROUP}septic_law"} <= case.groups for case in scored)
    assert all(case.came.due_days is not None and case.came.due_days <= HORIZON_DAYS for case in scored)


@pytest.mark.slow
def test_the_forecast_is_useful_in_worlds_it_was_not_made_for() -> None:
    """Held out: nothing in the forecast was chosen on these 960 filters, and a failure here is no reason to choose anything on them."""
    report = scored_report()
    everything = report.of("all")
    assert everything.n == N_FILTERS
    assert 0.75 <= everything.coverage <= 0.86
    assert everything.error_ratio < 0.65
    for score in report.scores:
        if score.n >= 100 and not score.group.startswith(STYLE_GROUP):
            assert 0.65 <= score.coverage <= 0.95, score.group
            assert score.error_ratio < 1, score.group
            assert score.brier < min(score.naive_brier.values()), score.group


@pytest.mark.slow  # as with the other report: made again before a changed model goes out
def test_the_other_worlds_report_kept_is_of_the_model_in_force() -> None:
    """After a change of the model: python -m tests.forecast.other_worlds > tests/forecast/other_worlds_report.json"""
    kept = json.loads(REPORT.read_text())
    assert kept["model_version"] == MODEL_VERSION
    assert kept["groups"][0]["group"] == "all"
    assert kept["groups"][0]["resolved"] == N_FILTERS
