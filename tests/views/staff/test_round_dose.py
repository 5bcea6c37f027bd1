"""A dose at its stop: one tap, questions before a second one, retries, the tablet's queue, other days, and its own form."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest

from enclosures.models import Dose, Treatment
from tests.boards.courses import day, dosed, prescribed
from tests.boards.walk import settle_in
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of

PATH = "/round/P1/doses/BL-104-t1/"
OWN = "/animals/BL-104/treatments/BL-104-t1/doses/"
AM = {"planned": "2025-10-04.am", "slot": "am"}


@pytest.fixture
def course(pond: Any) -> Treatment:
    settle_in(pond, "BL-104", "BL-106")
    return prescribed("BL-104", from_on=day(-1), n_doses=5, handling="Gloves.")


def test_given_as_prescribed_is_one_tap_and_answers_with_its_line(course: Treatment, keeper: Any, post: Any) -> None:
    entry = str(uuid.uuid4())
    answer = post(keeper, PATH, {**AM, "outcome": "given", "entry": entry})
    assert (answer.status_code, answer.headers["X-Entry"]) == (201, entry)
    html = answer.content.decode()
    assert '<li class="stop dose is-done is-new" id="dose-BL-104-t1"' in html
    assert "given, 0.5 mL, 10:30" in words_of(html).replace("\u00a0", " ")
    assert 'id="left-to-do" hx-swap-oob="true"' in html
    dose = Dose.objects.get()
    assert (dose.outcome, dose.amount, dose.unit, dose.how, dose.entered_by) == ("given", 0.5, "mL", "round", "K1")
    assert (str(dose.for_on), dose.for_part, dose.enclosure.code) == ("2025-10-04", "am", "P1")


def test_a_retry_doubles_nothing_and_other_content_is_a_conflict(course: Treatment, keeper: Any, post: Any) -> None:
    said = {**AM, "entry": str(uuid.uuid4()), "device_at": "2025-10-04T08:20:00Z", "sent_at": "2025-10-04T08:30:00Z"}
    assert [post(keeper, PATH, said).status_code for _ in range(2)] == [201, 200]
    assert post(keeper, PATH, said | {"amount": "0.4"}).status_code == 409
    assert Dose.objects.get().amount == 0.5


def test_a_second_dose_is_asked_about_before_it_is_saved_and_not_refused(
    course: Treatment, keeper: Any, post: Any
) -> None:
    first = dosed(course, TODAY)
    asked = post(keeper, PATH, AM)
    html = asked.content.decode()
    assert asked.status_code == 422
    assert "Given at 07:44 by K2. A second dose?" in html
    assert Dose.objects.count() == 1
    button = f"again|keep|{first.entry}"
    assert f'value="{button}"' in html
    assert post(keeper, PATH, AM | {"answer": button}).status_code == 201
    assert Dose.objects.count() == 2
    assert not any(dose.flags for dose in Dose.objects.all())


def test_a_question_answered_from_the_opened_line_needs_no_other_word(
    course: Treatment, keeper: Any, post: Any
) -> None:
    post(keeper, PATH, {**AM, "outcome": "given"})
    asked = post(keeper, f"{PATH}?for=2025-10-04.am", {**AM, "outcome": "given", "entry": str(uuid.uuid4())})
    button = re.search(r'name="answer" value="([^"]+)"', asked.content.decode())
    assert button is not None
    answer = post(keeper, f"{PATH}?changed=1", AM | {"answer": button[1], "entry": str(uuid.uuid4())})
    assert answer.status_code == 201
    assert Dose.objects.count() == 2


def test_what_lay_on_a_tablet_is_kept_and_flagged_instead(course: Treatment, keeper: Any, post: Any) -> None:
    dosed(course, TODAY)
    said = {**AM, "queued": "1", "device_at": "2025-10-04T05:50:00Z", "sent_at": "2025-10-04T08:30:00Z"}
    assert post(keeper, PATH, said).status_code == 201
    assert "DBL" in Dose.objects.get(entered_by="K1").flags


def test_one_soon_after_the_last_is_asked_about(course: Treatment, keeper: Any, post: Any) -> None:
    """Yesterday's was given late in the evening: six hours are less than half of the 24 ordered."""
    late = dosed(course, day(-1), hour=22)
    late_html = post(
        keeper, PATH, AM | {"when": "earlier", "when_on": "2025-10-04", "when_at": "05:00"}
    ).content.decode()
    assert "The last one was given six hours before, at 22:44." in late_html
    assert Dose.objects.get().pk == late.pk


def test_not_given_needs_its_reason_and_keeps_it(course: Treatment, keeper: Any, post: Any) -> None:
    wrong = post(keeper, PATH, AM | {"outcome": "not_given"})
    assert "Say why it was not given." in wrong.content.decode()
    assert post(keeper, PATH, AM | {"why_not": "could not be caught"}).status_code == 201
    dose = Dose.objects.get()
    assert (dose.outcome, dose.why_not, dose.amount, dose.unit) == ("not_given", "could not be caught", None, "")


def test_opened_to_say_it_was_not_given_and_saved_without_a_word_is_no_dose_given(
    course: Treatment, keeper: Any, post: Any
) -> None:
    asked = post(keeper, f"{PATH}?for=2025-10-04.am&changed=1", AM | {"note": "Hid under the bark"})
    assert asked.status_code == 422
    assert not Dose.objects.exists()
    html = asked.content.decode()
    assert "Was it given? Say why not, or how much." in html
    assert 'value="Hid under the bark"' in html
    assert 'name="outcome" value="given">Given as prescribed' in html, "and a tap says that it was"
    assert post(keeper, f"{PATH}?changed=1", AM | {"outcome": "given"}).status_code == 201
    assert Dose.objects.get().amount == 0.5


def test_ten_times_the_ordered_amount_is_asked_about(course: Treatment, keeper: Any, post: Any) -> None:
    asked = post(keeper, PATH, AM | {"amount": "5", "note": "All of it"})
    html = asked.content.decode().replace("\u00a0", " ")
    assert asked.status_code == 422
    assert "Ordered are 0.5 mL. Were 5 mL given?" in html
    assert 'value="All of it"' in html
    button = re.search(r'name="answer" value="(amount\|keep\|[^"]+)"', html)
    assert button is not None
    assert post(keeper, PATH, AM | {"amount": "5", "answer": button[1]}).status_code == 201
    assert (Dose.objects.get().amount, Dose.objects.get().flags) == (5, ["OUT"])


def test_undo_makes_the_dose_due_again(course: Treatment, keeper: Any, other_keeper: Any, post: Any) -> None:
    html = post(keeper, PATH, AM).content.decode()
    undo = re.findall(r'name="undo" value="([^"]+)"', html)
    assert len(undo) == 1
    assert post(other_keeper, f"{PATH}undo/", {"undo": undo[0]}).status_code == 422
    back = post(keeper, f"{PATH}undo/", {"undo": undo[0], "slot": "am"})
    assert back.status_code == 200
    assert "Given as prescribed" in back.content.decode()
    assert not Dose.objects.exists()
    for wrong in ("x", str(uuid.uuid4()), ""):
        assert post(keeper, f"{PATH}undo/", {"undo": wrong}).status_code == 404


def test_the_round_shows_the_dose_its_order_and_the_caution(
    course: Treatment, keeper: Any, supervisor: Any, look: Any
) -> None:
    html = look(keeper, "/round/")
    words = words_of(html).replace("\u00a0", " ")
    assert "Antiseptic paste A thin layer, 0.5 mL, on the plastron" in words
    assert "Not noted: yesterday morning" in words
    assert "Dr Vale ordered it: shell lesions." in words
    assert "A veterinarian decides, not this page." in words
    assert "1 to go, 1 dose due" in words
    assert_reads_well(html)
    assert "Dose: Antiseptic paste" in words_of(look(keeper, "/round/sheet/"))


def test_yesterdays_sheet_is_typed_in_for_that_days_dose(course: Treatment, keeper: Any, post: Any, look: Any) -> None:
    html = look(keeper, "/round/?day=2025-10-03&slot=am")
    assert 'name="planned" value="2025-10-03.am"' in html
    typed = {"planned": "2025-10-03.am", "slot": "am", "when": "earlier", "when_on": "2025-10-03", "recall": "paper"}
    assert post(keeper, PATH, typed).status_code == 201
    dose = Dose.objects.get()
    assert (str(dose.occurred_on), dose.precision, dose.how) == ("2025-10-03", "day", "paper")


def test_without_script_the_line_is_a_plain_form(course: Treatment, keeper: Any, post: Any) -> None:
    answer = post(keeper, PATH, AM, plain=True)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/round/?slot=am#dose-BL-104-t1")
    wrong = post(keeper, PATH, AM | {"outcome": "not_given", "note": "Hid"}, plain=True)
    assert wrong.status_code == 422
    assert "<h1>Today’s round</h1>" in wrong.content.decode()


@pytest.mark.parametrize("planned", ["tomorrow", "2025-13-01.am", "2025-10-04.noon"])
def test_a_line_that_is_out_of_date_is_refused_in_a_sentence(
    course: Treatment, keeper: Any, post: Any, planned: str
) -> None:
    answer = post(keeper, PATH, {"planned": planned, "slot": "am"})
    assert answer.status_code == 422
    assert "Reload it." in answer.content.decode()


def test_the_form_of_its_own_takes_late_and_extra_doses_and_puts_right(
    course: Treatment, keeper: Any, veterinarian: Any, post: Any, look: Any
) -> None:
    html = look(keeper, OWN)
    assert "yesterday morning" in words_of(html)
    assert re.search(r'value="2025-10-04.am"[^>]*checked', html)
    assert_reads_well(html)
    said = {"outcome": "given", "planned": "", "amount": "0.4"}
    assert post(veterinarian, OWN, said).status_code == 201
    dose = Dose.objects.get()
    assert (dose.for_on, dose.amount) == (None, 0.4)
    put_right = {"outcome": "given", "planned": "2025-10-04.am", "amount": "0.4", "reason": "it was the planned one"}
    assert post(veterinarian, f"/entries/doses/{dose.entry}/correct/", put_right).status_code == 201
    assert Dose.objects.get().for_part == "am"
    assert "BL-104: antiseptic paste given" in words_of(look(keeper, "/enclosures/P1/")).replace("\u00a0", " ")


def test_who_may_note_a_dose(course: Treatment, reader: Any, coordinator: Any, veterinarian: Any, post: Any) -> None:
    for user in (reader, coordinator):
        assert post(user, PATH, AM).status_code == 403
        assert post(user, OWN, AM).status_code == 403
    assert post(veterinarian, PATH, AM).status_code == 403  # the round is the keepers'
    assert post(veterinarian, OWN, AM | {"outcome": "given"}).status_code == 201


def test_a_dose_of_a_stopped_course_is_asked_about_and_kept(
    course: Treatment, keeper: Any, supervisor: Any, post: Any
) -> None:
    stop = {"act": "stop", "treatment": course.code, "stop_reason": "healed"}
    assert post(supervisor, "/animals/BL-104/treatments/", stop, plain=True).status_code == 302
    asked = post(keeper, PATH, AM)
    assert "SUP stopped this course on 4 Oct. Was it given all the same?" in asked.content.decode().replace(
        "\u00a0", " "
    )
    assert post(keeper, PATH, AM | {"queued": "1"}).status_code == 201
