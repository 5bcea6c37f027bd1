"""One stop of the round: all of it once, whatever the network does, and all of it back."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest

from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.feedings import LineGiven
from enclosures.actions.plans import end_feeding_plan, give_instruction, save_feeding_plan, take_back_instruction
from enclosures.actions.rounds import MealGiven, instruction_done, log_round_stop, undo_round_stop
from enclosures.actions.water import ReadingGiven
from enclosures.models import Feeding, FeedingPlan, FoodItem, Instruction, RoundCheck, RoundSkip, WaterTest
from tests.actions.station import at, make_enclosure, make_pellet, on, stamp
from tests.conftest import NOW, TODAY

ALL = (Feeding, WaterTest, RoundCheck, RoundSkip)


@pytest.fixture
def pond(facility: Any) -> Any:
    return make_enclosure(facility)


@pytest.fixture
def pellet(facility: Any) -> FoodItem:
    return make_pellet()


@pytest.fixture
def meal(pellet: FoodItem) -> MealGiven:
    return MealGiven(lines=[LineGiven(food_item=pellet, amount=0.5, unit="scoop", eaten="some")], outcome="changed")


def stop(pond: Any, facility: Any, **more: Any) -> Any:
    values = {"moment": at(TODAY, 7, 44, facility), "stamp": stamp(how="round"), "slot": "am", **more}
    return log_round_stop(enclosure=pond, **values)


def counts() -> list[int]:
    return [model.objects.count() for model in ALL]


def test_a_stop_writes_meal_water_and_count_in_one_act(facility: Any, pond: Any, meal: MealGiven) -> None:
    water = ReadingGiven(analyte="temperature", value=14.2, unit="degC")
    done = stop(pond, facility, meal=meal, water=water, head_count=3, n_expected=4, odd="One is slow.")
    assert done.is_new
    assert counts() == [1, 1, 1, 0]
    assert Feeding.objects.get().lines.get().offered_g == 13  # half of a 26 g scoop
    assert WaterTest.objects.get().readings.get().canonical == 14.2
    check = RoundCheck.objects.get()
    assert (check.head_count, check.n_expected, check.odd) == (3, 4, "One is slow.")
    assert {record.how for record in done.records} == {"round"}


def test_the_same_entry_again_doubles_nothing(facility: Any, pond: Any, meal: MealGiven) -> None:
    entry = uuid.uuid4()
    said = {"entry": entry, "meal": meal, "head_count": 4, "n_expected": 4}
    first = stop(pond, facility, **said)
    again = stop(pond, facility, **said, stamp=stamp(NOW + timedelta(minutes=5), how="round"))
    assert (first.is_new, again.is_new) == (True, False)
    assert counts() == [1, 0, 1, 0]
    assert [r.pk for r in first.records] == [r.pk for r in again.records]


def test_the_same_entry_with_other_content_is_a_conflict_and_changes_nothing(
    facility: Any, pond: Any, meal: MealGiven
) -> None:
    entry = uuid.uuid4()
    stop(pond, facility, entry=entry, meal=meal)
    for other in (
        {"meal": meal, "head_count": 4},
        {"skip_cause": "no time"},
        {"meal": MealGiven(not_fed_reason="ill")},
    ):
        with pytest.raises(EntryConflict):
            stop(pond, facility, entry=entry, **other)
    assert counts() == [1, 0, 0, 0]


def test_a_stop_without_anything_is_a_look(facility: Any, pond: Any) -> None:
    stop(pond, facility)
    assert counts() == [0, 0, 1, 0]
    assert RoundCheck.objects.get().odd == ""


def test_a_skip_brings_nothing_else(facility: Any, pond: Any, meal: MealGiven) -> None:
    stop(pond, facility, skip_cause="cannot get in")
    assert counts() == [0, 0, 0, 1]
    with pytest.raises(Refused, match="Skipped, or looked at"):
        stop(pond, facility, skip_cause="no time", meal=meal)


def test_what_one_record_refuses_takes_the_others_back(facility: Any, pond: Any, meal: MealGiven) -> None:
    with pytest.raises(Refused, match="cannot be"):
        stop(pond, facility, meal=meal, water=ReadingGiven(analyte="temperature", value=80, unit="degC"))
    assert counts() == [0, 0, 0, 0]


def test_undo_takes_back_all_of_a_stop_once(facility: Any, pond: Any, meal: MealGiven) -> None:
    done = stop(pond, facility, meal=meal, head_count=4)
    soon = stamp(NOW + timedelta(minutes=3))
    assert undo_round_stop(done.records, stamp=soon) == 2
    assert undo_round_stop(done.records, stamp=soon) == 0
    assert counts() == [0, 0, 0, 0]
    assert Feeding.all_rows.count() == 2  # nothing is erased


@pytest.mark.parametrize(
    ("by", "minutes", "sentence"), [("K2", 1, "Only the person who made"), ("K1", 11, "Undo works for 10 minutes")]
)
def test_undo_is_for_the_maker_and_for_ten_minutes(
    facility: Any, pond: Any, meal: MealGiven, by: str, minutes: int, sentence: str
) -> None:
    done = stop(pond, facility, meal=meal, head_count=4)
    with pytest.raises(Refused, match=sentence):
        undo_round_stop(done.records, stamp=stamp(NOW + timedelta(minutes=minutes), by=by))
    assert counts() == [1, 0, 1, 0]


def test_a_changed_plan_ends_the_old_one_the_day_before(facility: Any, pond: Any, pellet: FoodItem) -> None:
    begun = TODAY - timedelta(days=30)
    line = LineGiven(food_item=pellet, amount=1, unit="scoop")
    old = save_feeding_plan(enclosure=pond, lines=[line], from_on=begun, stamp=stamp(), slot="am", weekdays="mon fri")
    more = LineGiven(food_item=pellet, amount=2, unit="scoop")
    new = save_feeding_plan(enclosure=pond, lines=[more], from_on=TODAY, stamp=stamp(), replaces=old, slot="am")
    old.refresh_from_db()
    assert (old.code, new.code) == ("P1-am-1", "P1-am-2")
    assert old.to_on == TODAY - timedelta(days=1)
    assert [plan.code for plan in FeedingPlan.objects.in_force_on(begun)] == ["P1-am-1"]
    assert new.lines.get().offered_g == 52
    assert old.days == {0, 4}
    assert new.days == set(range(7))


def test_a_plan_changed_on_its_first_day_is_rewritten(facility: Any, pond: Any, pellet: FoodItem) -> None:
    line = LineGiven(food_item=pellet, offered_g=10)
    first = save_feeding_plan(enclosure=pond, lines=[line], from_on=TODAY, stamp=stamp(), slot="am")
    other = LineGiven(food_item=pellet, offered_g=12)
    save_feeding_plan(enclosure=pond, lines=[other], from_on=TODAY, stamp=stamp(), replaces=first, slot="pm")
    plan = FeedingPlan.objects.get()
    assert (plan.slot, plan.lines.get().offered_g) == ("pm", 12)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ({"weekdays": "mon funday"}, "Write days like"),
        ({"not_below_c": 20.0, "less_below_c": 14.0}, "Less food begins at a higher temperature"),
        ({"not_below_c": 300.0}, "at most 45"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(
    facility: Any, pond: Any, pellet: FoodItem, rules: dict[str, Any], sentence: str
) -> None:
    line = LineGiven(food_item=pellet, offered_g=10)
    with pytest.raises(Refused, match=sentence):
        save_feeding_plan(enclosure=pond, lines=[line], from_on=TODAY, stamp=stamp(), slot="am", **rules)
    assert not FeedingPlan.objects.exists()


def test_a_plan_without_food_or_with_an_unknown_unit_is_refused(facility: Any, pond: Any, pellet: FoodItem) -> None:
    with pytest.raises(Refused, match="Say how much"):
        save_feeding_plan(enclosure=pond, lines=[], from_on=TODAY, stamp=stamp(), slot="am")
    with pytest.raises(Refused, match="is not a unit"):
        line = LineGiven(food_item=pellet, amount=1, unit="cube")
        save_feeding_plan(enclosure=pond, lines=[line], from_on=TODAY, stamp=stamp(), slot="am")


def test_a_plan_is_ended_and_what_never_began_goes(facility: Any, pond: Any, pellet: FoodItem) -> None:
    line = LineGiven(food_item=pellet, offered_g=10)
    old = save_feeding_plan(enclosure=pond, lines=[line], from_on=TODAY - timedelta(days=9), stamp=stamp(), slot="am")
    new = save_feeding_plan(enclosure=pond, lines=[line], from_on=TODAY, stamp=stamp(), slot="pm")
    for plan in (old, new):
        end_feeding_plan(plan, last_on=TODAY - timedelta(days=1))
    assert not FeedingPlan.objects.in_force_on(TODAY).exists()
    assert FeedingPlan.objects.get().code == "P1-am-1"


def test_an_instruction_is_shown_until_it_is_done(facility: Any, pond: Any) -> None:
    told = give_instruction(
        enclosure=pond, text="Look for the leak", from_on=TODAY, moment=on(TODAY, facility), stamp=stamp(by="SUP")
    ).record
    assert Instruction.objects.to_follow_on(TODAY).count() == 1
    assert Instruction.objects.to_follow_on(TODAY - timedelta(days=1)).count() == 0
    assert instruction_done(told, stamp=stamp()) is not None
    assert Instruction.objects.to_follow_on(TODAY).count() == 0
    told.refresh_from_db()
    assert instruction_done(Instruction.all_rows.get(pk=told.pk), stamp=stamp(by="K2")) is None
    assert Instruction.objects.get().entered_by == "K1"


def test_an_instruction_can_be_taken_off_the_round(facility: Any, pond: Any) -> None:
    told = give_instruction(
        enclosure=pond, text="Wait", from_on=TODAY, moment=on(TODAY, facility), stamp=stamp(by="SUP")
    ).record
    take_back_instruction(told, stamp=stamp(by="SUP"))
    assert not Instruction.objects.exists()
