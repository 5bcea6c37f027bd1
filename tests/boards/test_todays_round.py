"""What the round asks at each stop, and when it asks nothing. TODAY is Saturday 4 October 2025."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from enclosures.actions.events import begin_season
from enclosures.actions.feedings import LineGiven
from enclosures.actions.plans import give_instruction, save_feeding_plan
from enclosures.actions.rounds import MealGiven, log_round_stop
from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import FoodItem, FoodUnit
from tests.actions.station import at, entered_on, make_enclosure, make_filter, make_pellet, on, stamp
from tests.boards.walk import feed, lived_in, plain, plan, row, the_round, water
from tests.conftest import NOW, TODAY

DAY = timedelta(days=1)


@pytest.fixture
def pellet(facility: Any) -> FoodItem:
    return make_pellet()


@pytest.fixture
def pond(facility: Any) -> Any:
    return lived_in(facility, "P1", "BL-104", "BL-106", "BL-107")


def test_enclosures_stand_in_walking_order_and_quarantine_comes_last(facility: Any) -> None:
    for code, order, kind in (("Q1", 1, "quarantine"), ("B1", 20, "tank"), ("T1", 10, "tub")):
        lived_in(facility, code, round_order=order, kind=kind)
    board = the_round(facility)
    assert [each.code for each in board.walk] == ["T1", "B1"]
    assert [each.code for each in board.quarantine] == ["Q1"]
    assert board.left == ("T1", "B1", "Q1")


def test_the_plan_of_the_day_is_filled_in(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet, amount=1.5, weekdays="tue sat")
    each = row(facility, "P1")
    assert (each.what, each.plan) == ("feed", "Pellet 1½ scoops")
    assert [food.value for food in each.foods] == [f"{pellet.pk}|1.5|scoop"]
    assert each.who.startswith("Three European pond turtles")
    assert [short for _, short in each.animals] == ["104", "106", "107"]


def test_every_second_week_the_meal_is_there_and_in_between_it_is_not(
    facility: Any, pond: Any, pellet: FoodItem
) -> None:
    """TODAY is a Saturday; the plan counts from the week before."""
    plan(pond, pellet, weekdays="sat", every_weeks=2, from_on=TODAY - 7 * DAY)
    each = row(facility, "P1")
    assert (each.what, each.plan) == ("look", "No food this morning")
    assert "Next on Sat 11 Oct" in each.who
    plan(pond, pellet, amount=2, weekdays="sat", every_weeks=2, from_on=TODAY)
    assert row(facility, "P1").plan == "Pellet 2 scoops"


def test_on_another_weekday_it_is_a_look_and_says_when_the_next_meal_is(
    facility: Any, pond: Any, pellet: FoodItem
) -> None:
    plan(pond, pellet, weekdays="mon wed")
    each = row(facility, "P1")
    assert (each.what, each.plan) == ("look", "No food this morning")
    assert "Next on Mon" in each.who
    assert each.foods == ()


def test_of_two_plans_for_one_meal_the_later_one_counts(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet, amount=1)
    plan(pond, pellet, amount=2, from_on=TODAY - DAY)
    assert row(facility, "P1").plan == "Pellet 2 scoops"


@pytest.mark.parametrize(
    ("temp_c", "what", "words"),
    [
        (13.9, "hold", "No food: water under 14 °C"),
        (14.0, "feed", "Pellet ½ scoop"),
        (18.9, "feed", "Pellet ½ scoop"),
        (19.0, "feed", "Pellet 1 scoop"),
    ],
)
def test_the_waters_temperature_holds_a_meal_back_or_makes_it_less(
    facility: Any, pond: Any, pellet: FoodItem, temp_c: float, what: str, words: str
) -> None:
    plan(pond, pellet, not_below_c=14.0, less_below_c=19.0, less_share=0.5)
    water(pond, temp_c)
    each = row(facility, "P1")
    assert (each.what, each.plan) == (what, words)
    assert ("Less food" in each.who) is (temp_c in (14.0, 18.9))


def test_an_old_temperature_holds_nothing_back_but_asks_for_a_new_one(
    facility: Any, pond: Any, pellet: FoodItem
) -> None:
    plan(pond, pellet, not_below_c=14.0, less_below_c=19.0)
    water(pond, 9, day=TODAY - 9 * DAY)
    each = row(facility, "P1")
    assert each.what == "feed"
    assert "measure first" in each.who


def test_less_is_given_in_steps_a_keeper_can_give(facility: Any, pond: Any, pellet: FoodItem) -> None:
    FoodUnit.objects.create(food_item=pellet, name="piece", grams=0.4)
    plan(pond, pellet, amount=7, unit="piece", less_below_c=19.0, less_share=0.33)
    water(pond, 15)
    assert row(facility, "P1").plan == "Pellet 2 pieces"  # 7 × 0.33 = 2.31


@pytest.mark.parametrize("kind", ["brumation", "drained"])
def test_nothing_is_asked_in_winter_rest_but_a_look(facility: Any, pond: Any, pellet: FoodItem, kind: str) -> None:
    """F21: no feeding prompt, and no other job either."""
    plan(pond, pellet)
    for weeks in range(1, 6):
        day = TODAY - 7 * weeks * DAY
        reading = ReadingGiven(analyte="ph", value=7.5, unit="pH")
        log_water_test(enclosure=pond, moment=on(day, facility), readings=[reading], stamp=entered_on(day))
    assert [job.label for job in row(facility, "P1").due] == ["Water test"]
    begin_season(enclosure=pond, kind=kind, from_on=TODAY - DAY, stamp=entered_on(TODAY))
    each = row(facility, "P1")
    assert each.what == "look"
    assert each.plan.startswith("No food: ")
    assert each.due == ()
    assert the_round(facility, slot="pm").rows == ()


def test_a_void_nobody_sounded_for_two_months_is_due_though_that_was_never_a_habit(facility: Any, pond: Any) -> None:
    make_filter(pond)
    (job,) = row(facility, "P1").due
    assert (job.label, job.code, job.since) == ("Sounding", "P1-F", "not in the last half year")
    filter = pond.filters.get()
    sound = {"filter": filter, "depths": [DepthGiven(depth_mm=40)]}
    log_sounding(**sound, moment=on(TODAY - 60 * DAY, facility), stamp=entered_on(TODAY - 60 * DAY))
    (job,) = row(facility, "P1").due
    assert plain(job.since) == "last 5 Aug"
    log_sounding(**sound, moment=on(TODAY - 59 * DAY, facility), stamp=entered_on(TODAY - 59 * DAY))
    assert row(facility, "P1").due == ()


def test_without_a_plan_it_is_the_same_as_last_time_on_a_usual_day(facility: Any, pond: Any, pellet: FoodItem) -> None:
    for weeks in (1, 2, 3):
        feed(pond, pellet, TODAY - 7 * weeks * DAY)
    each = row(facility, "P1")
    assert (each.what, each.plan) == ("feed", "Pellet 1 scoop")
    assert "No plan: as on Sat 27 Sep" in each.who
    assert "all eaten" in each.who


def test_without_a_plan_nothing_is_proposed_on_an_unusual_day_or_without_a_past(
    facility: Any, pond: Any, pellet: FoodItem
) -> None:
    assert row(facility, "P1").plan == "No plan yet"
    for weeks in (1, 2, 3):
        feed(pond, pellet, TODAY - (7 * weeks - 2) * DAY)  # Mondays
    assert row(facility, "P1").what == "look"


def test_cold_water_holds_back_without_a_plan_too(facility: Any, pond: Any, pellet: FoodItem) -> None:
    for weeks in (1, 2, 3):
        feed(pond, pellet, TODAY - 7 * weeks * DAY)
    water(pond, 12)
    assert (row(facility, "P1").what, row(facility, "P1").why) == ("hold", "water too cold")


def test_an_animals_own_meal_comes_along_wherever_it_lives(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    animal = pond.stays.get(animal__code="BL-106").animal
    save_feeding_plan(
        animal=animal, lines=[LineGiven(food_item=pellet, offered_g=2)], from_on=TODAY, stamp=stamp(by="SUP"), slot="am"
    )
    each = row(facility, "P1")
    assert each.plan == "Pellet 1 scoop, for BL-106: pellet 2 g"
    assert len(each.foods) == 2


def test_in_the_evening_only_those_with_an_evening_meal_are_walked_to(facility: Any, pellet: FoodItem) -> None:
    morning, evening = lived_in(facility, "P1"), lived_in(facility, "P4")
    plan(morning, pellet)
    plan(evening, pellet, slot="pm")
    board = the_round(facility, slot="pm")
    assert [each.code for each in board.rows] == ["P4"]
    assert board.apart == "No evening meal: P1."
    assert "Evening meal today" in row(facility, "P4").who


def test_the_evening_row_knows_what_was_eaten_this_morning(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    plan(pond, pellet, slot="pm")
    feed(pond, pellet, TODAY - DAY)
    assert "Last fed yesterday 07:44" in row(facility, "P1", slot="pm").who
    feed(pond, pellet, TODAY)
    assert "Last fed today 07:44, all eaten" in row(facility, "P1", slot="pm").who


def test_empty_places_are_named_apart(facility: Any, pond: Any) -> None:
    dry = make_enclosure(facility, "T1")
    begin_season(enclosure=dry, kind="drained", from_on=TODAY - 9 * DAY, stamp=entered_on(TODAY))
    board = the_round(facility)
    assert [each.code for each in board.rows] == ["P1"]
    assert plain(board.apart) == "No animals: T1, drained since 25 Sep."


def test_a_logged_meal_settles_the_stop_and_says_who_and_when(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    feed(pond, pellet, TODAY, by="K2", outcome="planned")
    done = row(facility, "P1").done
    assert done is not None
    assert (done.words, done.by, done.undo) == ("as planned, 07:44", "K2", ())


def test_a_look_does_not_settle_a_meal_that_is_still_to_come(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    log_round_stop(
        enclosure=pond, moment=at(TODAY, 7, 30, facility), stamp=stamp(), slot="am", head_count=3, n_expected=3
    )
    assert row(facility, "P1").done is None


def test_own_entries_can_be_undone_for_ten_minutes_only(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    line = LineGiven(food_item=pellet, amount=1, unit="scoop")
    log_round_stop(
        enclosure=pond, moment=at(TODAY, 10, 25, facility), stamp=stamp(), slot="am", head_count=2, n_expected=3,
        meal=MealGiven(lines=[line], outcome="planned"), odd="One at the bottom.",
        water=ReadingGiven(analyte="temperature", value=14.2, unit="degC"),
    )  # fmt: skip
    done = row(facility, "P1").done
    assert done is not None
    assert plain(done.words) == "as planned, water 14.2 °C, counted 2 of 3; odd: One at the bottom, 10:25"
    assert sorted(each.partition("|")[0] for each in done.undo) == ["feeding", "roundcheck", "watertest"]
    assert the_round(facility).odd == (("P1", "One at the bottom."),)
    for more in ({"initials": "K2"}, {"now": NOW + timedelta(minutes=11)}):
        late = row(facility, "P1", **more).done
        assert late is not None
        assert late.undo == ()


def test_a_skip_is_told_with_its_reason(facility: Any, pond: Any, pellet: FoodItem) -> None:
    plan(pond, pellet)
    log_round_stop(
        enclosure=pond, moment=at(TODAY, 7, 30, facility), stamp=stamp(), slot="am", skip_cause="cannot get in"
    )
    board = the_round(facility)
    assert [(each.code, each.done.words) for each in board.skipped if each.done] == [
        ("P1", "skipped: cannot get in, 07:30")
    ]
    assert board.left == ()


def test_yesterdays_meals_that_nobody_logged_are_named(facility: Any, pellet: FoodItem) -> None:
    """F2: the missed slot shows; a skip or a meal held back is no gap."""
    for code in ("P1", "P2", "P3"):
        plan(lived_in(facility, code), pellet, slot="pm" if code == "P3" else "am")
    places = {each.code: each for each in facility.enclosures.all()}
    feed(places["P2"], pellet, TODAY - DAY)
    assert the_round(facility).missed == ("P1 morning", "P3 evening")
    log_round_stop(
        enclosure=places["P1"], moment=at(TODAY - DAY, 8, 0, facility), stamp=stamp(), slot="am", skip_cause="no time"
    )
    assert the_round(facility).missed == ("P3 evening",)


def test_an_instruction_stands_in_its_row(facility: Any, pond: Any) -> None:
    give_instruction(
        enclosure=pond, text="Look for the leak", from_on=TODAY, moment=on(TODAY, facility), stamp=stamp(by="SUP")
    )
    assert [text for _, text in row(facility, "P1").instructions] == ["Look for the leak"]
    assert row(facility, "P1", day=TODAY - DAY).instructions == ()


def test_the_next_stop_is_the_next_one_not_done(facility: Any, pellet: FoodItem) -> None:
    for code in ("A1", "B1", "C1"):
        lived_in(facility, code)
    log_round_stop(
        enclosure=facility.enclosures.get(code="B1"), moment=at(TODAY, 7, 30, facility), stamp=stamp(), slot="am"
    )
    board = the_round(facility)
    assert [board.after(code) for code in ("A1", "C1", "")] == ["C1", "A1", "A1"]


def test_the_round_costs_the_same_queries_however_many_enclosures(facility: Any, pellet: FoodItem) -> None:
    def grow(codes: list[str]) -> int:
        for code in codes:
            place = lived_in(facility, code)
            plan(place, pellet)
            feed(place, pellet, TODAY - DAY)
            water(place, 20)
            log_round_stop(enclosure=place, moment=at(TODAY, 7, 30, facility), stamp=stamp(), slot="am")
        with CaptureQueriesContext(connection) as asked:
            the_round(facility)
        return len(asked)

    assert grow(["A1"]) == grow([f"B{n}" for n in range(8)])
