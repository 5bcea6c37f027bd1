"""What is typed and not saved: it outlives a reload, is offered and not filled in, is nobody else's, and ends with the save or the day."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import pytest

from tests.journeys.real_server import RealServer
from tests.journeys.tablet import all_gone, flow_page, flows_of, save_flow, says, sign_in, unsent

pytestmark = [pytest.mark.browser]
SETTLED_MS = 700


def typed(page: Any, flow: str) -> None:
    page.locator("[name=flow_l_per_h]").fill(flow)


def test_what_was_typed_is_offered_after_a_reload_and_after_the_tab_was_killed(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    typed(page, "1432")
    page.reload()
    page.locator(".draft", has_text="You had begun this at").wait_for()
    assert page.locator("[name=flow_l_per_h]").input_value() == "", "offered, not filled in"
    page.get_by_role("button", name="Go on").click()
    assert page.locator("[name=flow_l_per_h]").input_value() == "1432"
    assert page.locator(".draft").count() == 0
    typed(page, "1433")
    page.wait_for_timeout(SETTLED_MS)
    with suppress(Exception):  # the browser says that the page has crashed
        page.goto("chrome://crash")
    page = context.new_page()
    page.goto(f"{server.url}/filters/{place}-F/flow-checks/")
    page.get_by_role("button", name="Go on").click()
    assert page.locator("[name=flow_l_per_h]").input_value() == "1433"
    page.locator("[data-save]").click()
    page.locator("#saved").wait_for()
    page.reload()
    assert page.locator(".draft").count() == 0, "saved: nothing is left to go on with"
    assert flows_of(server, place) == [1433]


def test_a_draft_is_kept_for_its_person_and_its_place_only(tablet: Any, server: RealServer) -> None:
    here, there = server.place(), server.place()
    context = tablet()
    page = flow_page(context, server, here)
    typed(page, "1432")
    page = flow_page(context, server, there)
    assert page.locator(".draft").count() == 0
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K2")
    page = flow_page(context, server, here)
    assert page.locator(".draft").count() == 0
    assert page.locator("[name=flow_l_per_h]").input_value() == ""
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K1")
    page = flow_page(context, server, here)
    page.get_by_role("button", name="Throw away").click()
    page.reload()
    assert page.locator(".draft").count() == 0


def test_a_draft_of_the_day_before_is_gone_and_one_of_an_hour_ago_is_not(tablet: Any, server: RealServer) -> None:
    place = server.place()
    page = flow_page(tablet(), server, place)
    typed(page, "1432")
    page.wait_for_timeout(SETTLED_MS)
    older = """(hours) => { for (const key of Object.keys(localStorage)) if (key.startsWith("draft|")) {
      const draft = JSON.parse(localStorage.getItem(key)); draft.at = new Date(Date.now() - hours * 3600e3).toISOString();
      localStorage.setItem(key, JSON.stringify(draft)); } }"""
    page.evaluate(older, 23)
    page.reload()
    page.locator(".draft").wait_for()
    page.evaluate(older, 25)
    page.reload()
    assert page.locator(".draft").count() == 0
    assert page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('draft|'))") == []


def test_a_row_of_the_round_left_half_filled_is_open_again_and_saved_in_one_piece(
    tablet: Any, server: RealServer
) -> None:
    context = tablet()
    page = context.pages[0]
    page.goto(f"{server.url}/round/?slot=am")
    row = page.locator("#stop-R05")
    row.locator(".different").tap()
    row.locator("[name=given][value='0.5']").tap()
    row.locator("[name=odd]").fill("One is slow")
    page.goto(f"{server.url}/round/?slot=pm")
    assert page.locator(".draft").count() == 0, "it was begun for the morning"
    page.goto(f"{server.url}/round/?slot=am")
    row.get_by_role("button", name="Go on").tap()
    assert row.locator("[name=odd]").input_value() == "One is slow"
    row.locator(".save").tap()
    page.locator("#stop-R05.is-done").wait_for()
    assert [meal[1] for meal in server.meals("R05")] == [7.5]
    page.goto(f"{server.url}/round/?slot=am")
    assert page.locator(".draft").count() == 0


def test_a_second_meal_while_the_first_waits_is_asked_about_and_one_left_out_is_not_kept(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = tablet()
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/{place}/feedings/")
    context.set_offline(True)
    page.locator("label.chip", has_text="morning").click()
    page.locator("input[name^=amount_]").first.fill("11")
    page.locator("[data-save]").click()
    says(page, "Saved on this tablet")
    page.locator("label.chip", has_text="morning").click()
    page.locator("input[name^=amount_]").first.fill("12")
    page.locator("[data-save]").click()
    asked = page.locator("dialog", has_text=f"You already have a morning meal for {place} waiting, saved ")
    asked.get_by_role("button", name="Leave this one out").click()
    says(page, "Not saved")
    assert len(unsent(page)) == 1
    assert page.locator("input[name^=amount_]").first.input_value() == "12"
    page.locator("label.chip", has_text="evening").click()
    page.locator("[data-save]").click()
    page.locator("[data-unsent]", has_text="2 waiting").first.wait_for()
    context.set_offline(False)
    all_gone(page)
    assert [(meal[1], meal[4]) for meal in server.meals(place)] == [(11, []), (12, [])]


def test_one_persons_two_meals_from_two_tablets_are_both_kept_and_the_second_is_flagged(
    tablet: Any, server: RealServer
) -> None:
    """The second tablet knows nothing of the first, so nobody could be asked."""
    place = server.place()
    context = tablet()
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/{place}/feedings/")
    context.set_offline(True)
    page.locator("label.chip", has_text="morning").click()
    page.locator("input[name^=amount_]").first.fill("11")
    page.locator("[data-save]").click()
    says(page, "Saved on this tablet")
    (item,) = unsent(page)
    other = {**item, "entry": "6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c99"}
    del other["seq"]
    page.evaluate("(item) => outbox.add({ ...item, left: true })", other)
    page.evaluate("(entry) => outbox.mark(entry, { left: true })", item["entry"])
    context.set_offline(False)
    page.evaluate("sendOutbox.now()")
    all_gone(page)
    assert [meal[4] for meal in server.meals(place)] == [[], ["DUP"]]


def test_a_question_about_what_was_kept_reaches_the_person_and_one_tap_answers_it(
    tablet: Any, server: RealServer
) -> None:
    """77 in a field of degrees Celsius, typed where nobody could ask."""
    place = server.place()
    context = tablet()
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/{place}/water-tests/")
    context.set_offline(True)
    page.locator("[data-analyte=temperature] .with-unit input").fill("77")
    page.locator("[data-save]").click()
    says(page, "Saved on this tablet")
    context.set_offline(False)
    page.evaluate("sendOutbox.now()")
    page.locator("[data-unsent]", has_text="The server has a question about what was kept.").first.wait_for()
    page.goto(f"{server.url}/device/outbox/")
    page.locator("[data-list] li .wrong", has_text="Did you mean").wait_for()
    page.get_by_role("button", name="Use 25.0").click()
    all_gone(page)
    told = server.run(
        "import json; from enclosures.models import WaterTest as W;"
        f"print(json.dumps([[r.canonical for r in t.readings.all()] + t.flags for t in W.all_rows.filter(enclosure__code='{place}')]))"
    )
    assert told == [[pytest.approx(25.0), "UNIT"]]


def test_a_flow_kept_and_then_typed_anew_is_no_draft(tablet: Any, server: RealServer) -> None:
    """The form is blank again after a save without network, and nothing of the saved entry is offered a second time."""
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    context.set_offline(True)
    save_flow(page, 1500)
    says(page, "Saved on this tablet")
    page.wait_for_timeout(SETTLED_MS)
    context.set_offline(False)
    all_gone(page)
    page.reload()
    assert page.locator(".draft").count() == 0
