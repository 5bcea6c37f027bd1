"""Doses on the round: due once, told when late, gone when noted, back when taken back. TODAY is Saturday 4 October 2025."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from enclosures.actions.corrections import withdraw
from enclosures.actions.stays import move_animals
from enclosures.actions.treatments import stop_treatment
from tests.actions.station import at, make_enclosure, stamp
from tests.boards.courses import day, dosed, prescribed
from tests.boards.walk import lived_in, plain, row, the_round
from tests.conftest import NOW, TODAY


@pytest.fixture
def rack(facility: Any) -> Any:
    return lived_in(facility, "Q1", "BL-104", "BL-106", kind="quarantine")


def doses(facility: Any, code: str = "Q1", **more: Any) -> list[tuple[str, str]]:
    found = the_round(facility, **more).row(code)
    return [(each.animal, "done" if each.done else "due") for each in (found.doses if found else ())]


def test_a_dose_is_due_at_the_animals_place_and_done_when_it_was_given(facility: Any, rack: Any) -> None:
    course = prescribed("BL-104", from_on=day(-2), n_doses=10)
    dosed(course, day(-2))
    dosed(course, day(-1))
    lived_in(facility, "P1")
    assert doses(facility) == [("BL-104", "due")]
    assert doses(facility, "P1") == []
    (due,) = row(facility, "Q1").doses
    assert plain(due.when) == "Dose 3 of 10, every day, morning"
    assert due.late == ""
    assert plain(due.how) == "A thin layer, 0.5 mL, on the plastron"
    dosed(course, TODAY)
    (done,) = row(facility, "Q1").doses
    assert plain(done.done) == "given, 0.5 mL, 07:44"
    assert the_round(facility).doses_left == ()


def test_late_doses_are_said_in_words(facility: Any, rack: Any) -> None:
    course = prescribed("BL-104", from_on=day(-3))
    dosed(course, day(-3))
    (due,) = row(facility, "Q1").doses
    assert plain(due.late) == "Not noted: Thu 2 Oct, morning and yesterday morning"
    (evening,) = row(facility, "Q1", slot="pm", now=NOW + timedelta(hours=7)).doses
    assert evening.is_overdue
    assert plain(evening.late).startswith("Overdue since this morning.")


def test_a_place_without_an_evening_meal_is_on_the_evening_round_for_its_dose(facility: Any, rack: Any) -> None:
    assert the_round(facility, slot="pm").row("Q1") is None
    prescribed("BL-104", every_days=1, slots="pm")
    board = the_round(facility, slot="pm")
    assert [each.code for each in board.quarantine] == ["Q1"]
    assert [code for code, _ in board.doses_left] == ["Q1"]


def test_a_withdrawn_dose_is_due_again(facility: Any, rack: Any) -> None:
    given = dosed(prescribed("BL-104"), TODAY)
    withdraw(given, stamp=stamp(by="SUP"), reason="another animal")
    assert doses(facility) == [("BL-104", "due")]


def test_a_stopped_course_is_off_the_round(facility: Any, rack: Any) -> None:
    stop_treatment(prescribed("BL-104"), on=TODAY, reason="healed", stamp=stamp(by="SUP"))
    assert doses(facility) == []


def test_the_dose_goes_where_the_animal_goes(facility: Any, rack: Any) -> None:
    prescribed("BL-104")
    move_to = make_enclosure(facility, "P9")
    from enclosures.models import Animal

    move_animals(
        animals=[Animal.objects.get(code="BL-104")], to=move_to, moment=at(TODAY, 9, 0, facility), stamp=stamp(),
        reason="routine",
    )  # fmt: skip
    assert doses(facility) == []
    assert doses(facility, "P9") == [("BL-104", "due")]


def test_the_number_of_queries_does_not_grow_with_courses(facility: Any, rack: Any) -> None:
    dosed(prescribed("BL-104", from_on=day(-1)), day(-1))
    with CaptureQueriesContext(
        connection,
    ) as few:
        the_round(facility)
    for n in range(6):
        lived_in(facility, f"E{n}", f"E{n}-A")
        dosed(prescribed(f"E{n}-A", from_on=day(-1)), day(-1))
    with CaptureQueriesContext(connection) as many:
        the_round(facility)
    assert len(many) == len(few)
