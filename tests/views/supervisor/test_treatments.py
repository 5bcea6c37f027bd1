"""A course is written out by who orders it, stopped with a reason, and seen on the animal's page."""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.models import Treatment
from tests.boards.courses import day, dosed, prescribed
from tests.boards.walk import lived_in
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

PATH = "/animals/BL-104/treatments/"
COURSE = {
    "act": "prescribe", "prescribed_by": "Dr Vale", "what": "Antiseptic paste", "why": "shell lesions",
    "dose": "a thin layer", "amount": "0,5", "unit": "mL", "route": "on the plastron", "rhythm": "days",
    "every_days": "1", "slots": "am pm", "from_on": "2025-10-04", "n_doses": "10",
}  # fmt: skip


@pytest.fixture(autouse=True)
def pond(facility: Any) -> Any:
    return lived_in(facility, "P1", "BL-104", "BL-106")


def send(user: Any, data: dict[str, Any], path: str = PATH) -> Any:
    with on_the_day():
        return signed_in(user).post(path, data)


def look(user: Any, path: str) -> str:
    with on_the_day():
        return signed_in(user).get(path).content.decode()


def test_a_veterinarian_prescribes_and_it_stands_on_animal_and_round(veterinarian: Any, keeper: Any) -> None:
    assert send(veterinarian, COURSE).status_code == 302
    course = Treatment.objects.get()
    assert (course.code, course.amount, course.slots, course.n_doses) == ("BL-104-t1", 0.5, "am pm", 10)
    assert (course.prescribed_by, course.entered_by) == ("Dr Vale", "VET")
    html = look(keeper, "/animals/BL-104/")
    words = words_of(html).replace("\u00a0", " ")
    assert "Every day, morning and evening, from 4 Oct, 10 doses, the last on 8 Oct." in words
    assert "Prescribe or stop" not in words
    assert "Given as prescribed" in look(keeper, "/round/")
    assert_reads_well(html)


@pytest.mark.parametrize(
    ("rhythm", "kept", "said"),
    [
        ({"rhythm": "hours", "every_hours": "8", "first_time": "06:00"}, (8, "06:00", None, "", ""), "Every 8 hours from 06:00"),
        ({"rhythm": "weekdays", "weekdays": ["mon", "thu"], "slots": "pm"}, (None, "", None, "mon thu", "pm"),
         "Mon and Thu, evening"),
        ({"rhythm": "days", "every_days": "3", "slots": "am"}, (None, "", 3, "", "am"), "Every third day, morning"),
    ],
)  # fmt: skip
def test_the_rhythm_is_one_of_three(
    veterinarian: Any, rhythm: dict[str, Any], kept: tuple[Any, ...], said: str
) -> None:
    assert send(veterinarian, COURSE | {"n_doses": ""} | rhythm).status_code == 302
    course = Treatment.objects.get()
    found = (course.every_hours, course.first_time, course.every_days, course.weekdays, course.slots)
    assert found == kept
    assert f"{said}, from 4 Oct until it is stopped." in words_of(look(veterinarian, PATH)).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"what": ""}, "Say what is given."),
        ({"prescribed_by": ""}, "Say which veterinarian ordered it."),
        ({"rhythm": ""}, "Say how often."),
        ({"every_days": ""}, "Every how many days?"),
        ({"slots": ""}, "On which round of the day?"),
        ({"rhythm": "hours"}, "Every how many hours?"),
        ({"rhythm": "hours", "every_hours": "8"}, "At what time is the first dose?"),
        ({"rhythm": "weekdays"}, "Choose at least one day."),
        ({"unit": ""}, "In which unit?"),
        ({"amount": "much"}, "is not a number"),
        ({"from_on": "soon"}, "That is not a date"),
        ({"to_on": "2025-10-01"}, "It ends before it begins."),
    ],
)
def test_what_is_missing_is_said_and_what_was_typed_is_kept(
    veterinarian: Any, wrong: dict[str, str], sentence: str
) -> None:
    answer = send(veterinarian, COURSE | {"handling": "Gloves"} | wrong)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert "Gloves" in answer.content.decode()
    assert not Treatment.objects.exists()


def test_the_page_proposes_nothing(veterinarian: Any) -> None:
    html = look(veterinarian, PATH)
    form = html[html.index('id="prescribe"') :]
    assert "checked" not in form
    assert "<datalist" not in form
    assert "A veterinarian decides, not this page." in words_of(html)


def test_the_same_thing_twice_is_refused_while_it_runs(supervisor: Any) -> None:
    assert send(supervisor, COURSE).status_code == 302
    again = send(supervisor, COURSE | {"what": "antiseptic PASTE"})
    assert again.status_code == 422
    assert "BL-104 has this already as BL-104-t1" in again.content.decode()
    assert send(supervisor, COURSE | {"from_on": "2025-10-20"}).status_code == 302  # after it has ended


def test_a_course_is_stopped_with_a_reason_and_once(supervisor: Any, keeper: Any) -> None:
    course = prescribed("BL-104", from_on=day(-2))
    dosed(course, day(-2))
    stop = {"act": "stop", "treatment": course.code, "stop_reason": ""}
    assert "Say why it is stopped." in send(supervisor, stop).content.decode()
    assert send(supervisor, stop | {"stop_reason": "healed"}).status_code == 302
    course.refresh_from_db()
    assert (course.stopped_on, course.stopped_by, course.stop_reason) == (TODAY, "SUP", "healed")
    assert "SUP stopped it already" in send(supervisor, stop | {"stop_reason": "x"}).content.decode()
    words = words_of(look(keeper, "/animals/BL-104/")).replace("\u00a0", " ")
    assert "Stopped 4 Oct by SUP: healed." in words
    assert "One given, one not noted" in words
    assert "Given as prescribed" not in look(keeper, "/round/")
    assert send(supervisor, stop | {"treatment": "BL-106-t1"}).status_code == 404


def test_only_veterinarian_and_supervisor_prescribe(
    keeper: Any, builder: Any, reader: Any, administrator: Any, coordinator: Any
) -> None:
    for user in (keeper, builder, reader, administrator, coordinator):
        assert send(user, COURSE).status_code == 403
    assert not Treatment.objects.exists()
