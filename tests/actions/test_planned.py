"""Deciding beforehand: once, changed by a new row, settled once."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.corrections import withdraw
from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.planned import begin_planned_season, call_off, change_plan, plan_move, plan_season, tick_off
from enclosures.models import Enclosure, PlannedMove, PlannedSeason, Season
from tests.actions.station import entered_on, make_enclosure, on
from tests.boards.walk import settle_in
from tests.conftest import TODAY

MAY = date(2026, 5, 1)
NOW = entered_on(TODAY, by="SUP", hour=6)


@pytest.fixture
def tub(facility: Any) -> Enclosure:
    place = make_enclosure(facility, "T1")
    settle_in(place, "BL-120", "BL-121")
    return place


@pytest.fixture
def pond(facility: Any) -> Enclosure:
    return make_enclosure(facility, "P3")


def decide(tub: Enclosure, pond: Enclosure | None, **more: Any) -> Any:
    animals = [stay.animal for stay in tub.stays.order_by("pk")]
    said = {"animals": animals, "planned_on": MAY, "moment": on(TODAY, tub.facility), "stamp": NOW, **more}
    return plan_move(from_enclosure=tub, to_enclosure=pond, **said)


def test_sent_twice_it_is_planned_once(tub: Enclosure, pond: Enclosure) -> None:
    entry = uuid.uuid4()
    assert decide(tub, pond, entry=entry).is_new
    assert not decide(tub, pond, entry=entry).is_new
    assert PlannedMove.all_rows.count() == 1
    with pytest.raises(EntryConflict):
        decide(tub, pond, entry=entry, planned_on=MAY + timedelta(days=1))
    with pytest.raises(EntryConflict):  # the same, but for one animal
        decide(tub, pond, entry=entry, animals=[tub.stays.first().animal])  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"animals": []}, "animals"),
        ({"planned_on": TODAY - timedelta(days=1)}, "planned_on"),
        ({"animals": [], "n_animals": 0}, "animals"),
        ({"mass_g": 0.0}, "mass_g"),
    ],
)
def test_what_is_no_plan_is_refused(tub: Enclosure, pond: Enclosure, wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refused:
        decide(tub, pond, **wrong)
    assert field in refused.value.errors
    assert not PlannedMove.all_rows.exists()


def test_to_the_place_they_are_in_is_no_move(tub: Enclosure) -> None:
    with pytest.raises(Refused, match="They are there already"):
        decide(tub, tub)


def test_settled_once_and_only_one_way(tub: Enclosure, pond: Enclosure) -> None:
    plan = decide(tub, pond).record
    assert tick_off(plan, stamp=NOW).is_new
    assert not tick_off(plan, stamp=NOW).is_new
    with pytest.raises(Refused, match="ticked off already"):
        call_off(plan, stamp=NOW)
    with pytest.raises(Refused):
        change_plan(plan, changes={"planned_on": MAY}, stamp=NOW, reason="later")
    assert [row.state for row in PlannedMove.all_rows.order_by("pk")] == ["ahead", "done"]


def test_called_off_the_reason_stands_and_the_animals_with_it(tub: Enclosure, pond: Enclosure) -> None:
    row = call_off(decide(tub, pond).record, stamp=NOW, reason="the pond leaks").record
    assert (row.reason, row.state, row.planned_on) == ("the pond leaks", "off", MAY)
    assert [mover.animal.code for mover in row.movers.all()] == ["BL-120", "BL-121"]


def test_a_plan_can_be_withdrawn_like_any_entry(tub: Enclosure, pond: Enclosure) -> None:
    withdraw(decide(tub, pond).record, stamp=NOW, reason="meant for another tub")
    assert not PlannedMove.objects.exists()
    assert PlannedMove.all_rows.count() == 2


def test_a_season_already_going_on_is_not_begun_again(pond: Enclosure) -> None:
    said = {
        "enclosure": pond, "kind": "resting", "from_on": TODAY, "to_on": None, "moment": on(TODAY, pond.facility), "stamp": NOW,
    }  # fmt: skip
    plan = plan_season(**said).record
    begin_planned_season(plan, on=TODAY, stamp=NOW)
    again = plan_season(**said).record
    with pytest.raises(Refused, match="there from 2025-10-04"):
        begin_planned_season(again, on=TODAY + timedelta(days=1), stamp=NOW)
    assert Season.objects.count() == 1
    assert PlannedSeason.objects.get(entry=again.entry).state == "ahead"
