"""A first cycle said to last for many years is doubted; a short one never is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.custom import LONG_CYCLE_DAYS, doubted, is_first_cycle
from enclosures.forecast.history import History, history_for
from enclosures.forecast.inputs import (
    CleanoutDone,
    FeedPortion,
    FilterEvidence,
    Geometry,
    PlannedMove,
    StaySpan,
    WeightSeen,
)
from enclosures.forecast.outlook import outlook_for

FIRST = date(2024, 3, 1)
AS_OF = FIRST + timedelta(days=200)


def fed(dry_g: float) -> tuple[FeedPortion, ...]:
    return tuple(FeedPortion(on=FIRST + timedelta(days=d), dry_g=dry_g, food_class="pellet") for d in range(0, 200, 2))


def history(**changes) -> History:
    facts = {
        "filter": "X", "enclosure": "X", "commissioned_on": FIRST,
        "builds": (Geometry(valid_from=FIRST, chamber_area_m2=0.1, void_height_mm=100),),
        "feedings": fed(2.0),
    } | changes  # fmt: skip
    found = history_for(FilterEvidence(**facts), as_of=AS_OF)
    assert found is not None
    return found


def test_particles_within_two_years_keep_their_odds() -> None:
    weights = doubted(np.full(4, 0.25), np.array([0.0, 100.0, 300.0, LONG_CYCLE_DAYS - 200]), history())
    assert weights == pytest.approx(0.25)


def test_the_longer_a_first_cycle_the_more_it_is_doubted() -> None:
    weights = doubted(np.full(4, 0.25), np.array([300.0, 900.0, 1095.0, np.inf]), history())
    assert weights.sum() == pytest.approx(1.0)
    assert (np.diff(weights) < 0).all()
    assert weights[-1] > 0.01  # doubted, not ruled out


def test_a_filter_that_was_emptied_once_has_a_past_of_its_own() -> None:
    emptied = CleanoutDone(entry="c", on=FIRST + timedelta(days=120), outcome="full")
    assert is_first_cycle(history())
    assert not is_first_cycle(history(cleanouts=(emptied,)))


def test_a_filter_that_ran_before_its_records_is_in_nobody_knows_which_cycle() -> None:
    assert not is_first_cycle(history(commissioned_on=FIRST - timedelta(days=900)))


def test_a_rebuilt_filter_has_a_past_of_its_own() -> None:
    old = Geometry(valid_from=FIRST, chamber_area_m2=0.1, void_height_mm=100)
    new = Geometry(valid_from=FIRST + timedelta(days=100), chamber_area_m2=0.1, void_height_mm=150)
    assert not is_first_cycle(history(builds=(old, new)))


def test_a_doubt_that_changes_the_answer_is_said() -> None:
    fed_little = history(feedings=fed(0.4))
    said = outlook_for(fed_little.evidence, as_of=AS_OF).notes
    assert any("more than two years is rare" in note for note in said)
    assert not any("rare" in note for note in outlook_for(history(feedings=fed(20.0)).evidence, as_of=AS_OF).notes)


def test_where_the_animals_leave_the_void_may_last_for_ever() -> None:
    """A tank nearly due, whose animals go tomorrow: it is not said to be due the sooner for it."""
    stays = (StaySpan(animal="A", from_on=FIRST),)
    weights = (
        WeightSeen(animal="A", on=FIRST, mass_g=300.0),
        WeightSeen(animal="A", on=FIRST + timedelta(days=150), mass_g=300.0),
    )
    stocked = history(stays=stays, weights=weights).evidence
    leaving = PlannedMove(on=AS_OF + timedelta(days=1), text="one animal moves to P3", leaving=("A",))
    stays_on = outlook_for(stocked, as_of=AS_OF)
    emptied = outlook_for(replace(stocked, planned_moves=(leaving,)), as_of=AS_OF)
    assert dict(emptied.chance_due_within)[365] <= dict(stays_on.chance_due_within)[365]
    assert emptied.due_on
    assert emptied.due_on.p90 is None
