"""One screen for the plans and instructions of an enclosure."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest

from enclosures.models import FeedingPlan, Instruction
from tests.actions.station import make_pellet
from tests.boards.walk import lived_in, plan
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

PATH = "/enclosures/P1/plan/"


@pytest.fixture
def pellet(facility: Any) -> Any:
    return make_pellet()


@pytest.fixture
def pond(facility: Any) -> Any:
    return lived_in(facility, "P1", "BL-104", "BL-106")


def send(user: Any, data: dict[str, Any], path: str = PATH) -> Any:
    with on_the_day():
        return signed_in(user).post(path, data)


def meal(pellet: Any, **more: Any) -> dict[str, Any]:
    return {
        "act": "plan", "slot": "am", "weekdays": ["mon", "wed", "fri"], "amount_1": "1½", "food_1": f"{pellet.pk}|scoop",
        "not_below_c": "14", "less_below_c": "66 F", "less_share": "0.5", "from_on": "2025-10-04", "pauses_in_winter": "on",
        **more,
    }  # fmt: skip


def test_a_meal_is_planned_on_one_screen(pond: Any, pellet: Any, supervisor: Any) -> None:
    assert send(supervisor, meal(pellet)).status_code == 302
    each = FeedingPlan.objects.get()
    assert (each.code, each.weekdays, each.entered_by) == ("P1-am-1", "mon wed fri", "SUP")
    assert each.less_below_c == pytest.approx(18.89, abs=0.01)  # 66 °F, exact: 18.888…
    assert each.lines.get().offered_g == 39
    with on_the_day():
        html = signed_in(supervisor).get(PATH).content.decode()
    assert "Pellet 1½ scoops" in words_of(html).replace("\u00a0", " ")
    assert_reads_well(html)


def test_a_change_holds_from_its_day_and_the_old_plan_stays(pond: Any, pellet: Any, supervisor: Any) -> None:
    old = plan(pond, pellet)
    assert send(supervisor, meal(pellet, amount_1="2"), f"{PATH}?plan={old.code}").status_code == 302
    old.refresh_from_db()
    assert str(old.to_on) == "2025-10-03"
    assert FeedingPlan.objects.exclude(pk=old.pk).get().lines.get().amount == 2


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"weekdays": []}, "Choose at least one day."),
        ({"amount_1": ""}, "How much?"),
        ({"food_1": ""}, "Of which food?"),
        ({"amount_1": "", "food_1": ""}, "Say how much of which food."),
        ({"amount_1": "lots"}, "is not a number"),
        ({"amount_1": "0"}, "More than nothing, please."),
        ({"less_below_c": "12"}, "Less food begins at a higher temperature than no food."),
        ({"not_below_c": "99"}, "No food under: from −2 to 45 °C."),
        ({"from_on": "soon"}, "That is not a date; write it as 2025-10-04."),
    ],
)
def test_bad_input_is_said_beside_the_field_and_kept(
    pond: Any, pellet: Any, supervisor: Any, wrong: dict[str, Any], sentence: str
) -> None:
    answer = send(supervisor, meal(pellet) | wrong)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert sentence in html.replace("\u00a0", " ")
    assert 'value="fri"' in html
    assert not FeedingPlan.objects.exists()


def test_one_animal_can_have_a_meal_of_its_own(pond: Any, pellet: Any, supervisor: Any) -> None:
    send(supervisor, meal(pellet, animal="BL-106", amount_1="2", food_1=f"{pellet.pk}|g"))
    each = FeedingPlan.objects.get()
    assert (each.enclosure, each.animal.code, each.code) == (None, "BL-106", "BL-106-am-1")
    assert each.lines.get().offered_g == 2


def test_a_plan_is_ended(pond: Any, pellet: Any, supervisor: Any) -> None:
    old = plan(pond, pellet)
    assert send(supervisor, {"act": "end", "plan": old.code}).status_code == 302
    old.refresh_from_db()
    assert str(old.to_on) == "2025-10-03"
    assert send(supervisor, {"act": "end", "plan": "P9-am-1"}).status_code == 404


def test_every_second_week_and_every_nth_day_are_chosen_and_said(pond: Any, pellet: Any, supervisor: Any) -> None:
    assert send(supervisor, meal(pellet, rhythm="2", weekdays=["mon", "thu"])).status_code == 302
    assert send(supervisor, meal(pellet, rhythm="days", weekdays=[], every_days="3", slot="pm")).status_code == 302
    second, third = FeedingPlan.objects.order_by("slot")
    assert (second.weekdays, second.every_weeks, second.every_days) == ("mon thu", 2, None)
    assert (third.weekdays, third.every_weeks, third.every_days) == ("", 1, 3)
    with on_the_day():
        words = words_of(signed_in(supervisor).get(PATH).content.decode()).replace("\u00a0", " ")
    assert "Morning, every second Monday and Thursday" in words
    assert "Evening, every third day" in words
    assert "Next Mon 13 Oct." in words  # 4 October 2025 is a Saturday: its week counts, the next one not


def test_a_change_of_a_rhythm_counted_from_its_first_day_keeps_in_step(pond: Any, pellet: Any, supervisor: Any) -> None:
    """The form offers the next day of the old rhythm, so that a new amount does not move the weeks."""
    old = plan(pond, pellet, weekdays="mon", every_weeks=2, from_on=date(2025, 9, 22))
    with on_the_day():
        html = signed_in(supervisor).get(f"{PATH}?plan={old.code}").content.decode()
    assert re.search(r'name="from_on" value="2025-10-06"', html)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"rhythm": "days", "every_days": ""}, "Every how many days?"),
        ({"rhythm": "days", "every_days": "0"}, "Every so many days: a whole number from 1 to 60."),
        ({"rhythm": "2", "weekdays": []}, "Choose at least one day."),
        ({"to_on": "2025-10-01"}, "It ends before it begins."),
    ],
)
def test_a_rhythm_that_cannot_be_is_said_beside_the_field(
    pond: Any, pellet: Any, supervisor: Any, wrong: dict[str, Any], sentence: str
) -> None:
    answer = send(supervisor, meal(pellet) | wrong)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_an_instruction_is_given_and_taken_off(pond: Any, supervisor: Any) -> None:
    told = {"act": "tell", "text": "Count twice", "shown_from": "2025-10-04", "shown_to": "2025-10-01"}
    assert "It ends before it begins." in send(supervisor, told).content.decode()
    assert send(supervisor, told | {"shown_to": ""}).status_code == 302
    entry = str(Instruction.objects.get().entry)
    assert send(supervisor, {"act": "take_back", "instruction": entry}).status_code == 302
    assert not Instruction.objects.exists()
    assert send(supervisor, {"act": "take_back", "instruction": "x"}).status_code == 404


def test_plans_are_not_a_keepers_to_change(pond: Any, pellet: Any, keeper: Any, reader: Any) -> None:
    for user in (keeper, reader):
        assert send(user, meal(pellet)).status_code == 403
    assert not FeedingPlan.objects.exists()
