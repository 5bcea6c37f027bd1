"""A shared tablet changes hands where no PIN can be checked: a name is picked, and nothing goes under it before that person says so."""

from __future__ import annotations

from typing import Any

import pytest

from tests.journeys.real_server import RealServer
from tests.journeys.tablet import all_gone, flow_page, kept_pages, save_flow, says, sign_in, unsent

pytestmark = [pytest.mark.browser]
PIN_OF_K2 = "4711"
WCAG = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}


def enrolled(tablet: Any, server: RealServer) -> Any:
    """A shared tablet at which K1 is signed in, with its pages kept."""
    context = tablet("SUP", service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/device/enrol/")
    page.get_by_label("What is this tablet called?").fill("Tablet by the ponds")
    page.get_by_role("button", name="Enrol this tablet").click()
    page.get_by_text("This is now the shared tablet").wait_for()
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K1")
    page.goto(f"{server.url}/enclosures/")
    kept_pages(page, f"{server.url}/device/person/")
    return context


def keep_page(page: Any, server: RealServer, place: str) -> str:
    """Until the flow form of this tank is kept, as K1's page."""
    url = f"{server.url}/filters/{place}-F/flow-checks/"
    page.goto(url)
    kept_pages(page, url)
    return url


def take_over(page: Any, server: RealServer, initials: str) -> None:
    """The ordinary way to change person leads there when the server is not reached."""
    page.locator(".change-person").click()
    page.get_by_role("heading", name="Change person without network").wait_for()
    page.locator(f"[data-take={initials}]").click()


def save_as_k2_without_network(context: Any, server: RealServer, place: str, *flows: int) -> Any:
    page = context.pages[0]
    url = keep_page(page, server, place)
    kept_pages(page, f"{server.url}/round/")
    context.set_offline(True)
    save_flow(page, 1500)
    says(page, "Saved on this tablet")
    take_over(page, server, "K2")
    page.locator(".acting", has_text="K2 is at this tablet; the name is not yet confirmed").wait_for()
    page.goto(url)
    assert page.locator(".masthead [data-me]").inner_text() == "K2"
    for flow in flows:
        save_flow(page, flow)
        says(page, "It is sent once K2 has confirmed the name.")
        page.evaluate("document.querySelector('[data-status]').replaceChildren()")
    return page


def test_what_was_kept_under_a_name_without_a_pin_goes_only_once_that_person_has_confirmed_it(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = enrolled(tablet, server)
    page = save_as_k2_without_network(context, server, place, 1600, 1700)
    context.set_offline(False)
    page.goto(f"{server.url}/device/outbox/")
    page.locator("[data-list] li", has_text="picked without a PIN. It waits until K2 confirms it").nth(1).wait_for()
    for _ in range(50):
        if len(unsent(page)) == 2:
            break
        page.wait_for_timeout(100)
    assert [row[1:4] for row in server.flows(place)] == [[1500, "K1", ""]], "K1's own has gone, K2's have not"
    assert page.locator("[data-do=mine]").count() == 0, "K1 cannot say that they are K2's"
    page.locator("[data-unsent]", has_text="Waits for K2 to confirm the name").first.wait_for()

    page.get_by_role("link", name="K2: confirm with the PIN").first.click()
    page.get_by_label("PIN", exact=True).fill(PIN_OF_K2)
    page.get_by_role("button", name="Take over").click()
    page.get_by_role("heading", name="Unsent entries").wait_for()
    assert page.locator(".acting").count() == 0, "who signs in ends it"
    page.locator("[data-unsent]", has_text="2 kept under your name without a PIN").first.wait_for()
    assert len(server.flows(place)) == 1, "signed in, and not yet asked whether they are K2's"
    page.get_by_role("button", name="All 2 under my name are mine, send them").click()
    all_gone(page)
    assert [row[1:4] for row in server.flows(place)] == [[1500, "K1", ""], [1600, "K2", ""], [1700, "K2", ""]]


def test_who_says_not_mine_leaves_it_to_a_supervisor_who_sees_it_and_vouches_or_not(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = enrolled(tablet, server)
    page = save_as_k2_without_network(context, server, place, 1600)
    context.set_offline(False)
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K2")
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_role("button", name="Not mine").click()
    page.get_by_text("K2 says that this is not theirs: a supervisor settles it.").wait_for()
    assert page.get_by_role("button", name="It is mine, send it").count() == 0
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "SUP")
    page.goto(f"{server.url}/device/enrol/")
    assert "Names not yet confirmed" in page.locator("main").inner_text()
    assert "as K2" in page.locator("main").inner_text()
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_role("button", name="Send it as K2’s: I vouch").click()
    all_gone(page)
    assert [row[1:3] for row in server.flows(place)] == [[1500, "K1"], [1600, "K2"]]
    assert server.flows(place)[1][3] == "SUP"  # type: ignore[index]
    page.wait_for_timeout(500)
    page.goto(f"{server.url}/device/enrol/")
    assert "Names not yet confirmed" not in page.locator("main").inner_text(), "told again, since it has changed"


def test_a_name_picked_without_network_outlives_the_tablet_and_ends_with_the_next_sign_in(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = enrolled(tablet, server)
    page = save_as_k2_without_network(context, server, place, 1600)
    context = tablet(None, service_workers="allow")  # switched off and on
    context.set_offline(True)
    page = flow_page(context, server, place)
    page.locator(".acting", has_text="K2 is at this tablet").wait_for()
    save_flow(page, 1650)
    says(page, "It is sent once K2 has confirmed the name.")
    context.set_offline(False)
    sign_in(context, server, "K1")
    page = flow_page(context, server, place)
    save_flow(page, 1900)
    page.locator("#saved").wait_for()
    assert page.locator(".acting").count() == 0
    assert [row[1:3] for row in server.flows(place)] == [[1500, "K1"], [1900, "K1"]]
    assert [(item["author"], item["unconfirmed"]) for item in unsent(page)] == [("K2", True), ("K2", True)]


def test_nothing_on_the_tablet_helps_to_guess_a_pin_and_the_pages_read_well_to_a_screen_reader(
    tablet: Any, server: RealServer
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt").Axe()
    place = server.place()
    context = enrolled(tablet, server)
    page = context.pages[0]
    html = page.evaluate("caches.match('/device/person/', { ignoreVary: true }).then((kept) => kept.text())")
    kept = html + page.evaluate("JSON.stringify(localStorage)")
    assert "pbkdf2" not in kept
    assert PIN_OF_K2 not in kept
    assert "sessionid" not in kept
    page.goto(f"{server.url}/device/person/")
    assert axe.run(page, options=WCAG).response["violations"] == []
    page = save_as_k2_without_network(context, server, place, 1600)
    page.goto(f"{server.url}/device/outbox/")
    page.locator("[data-list] li").nth(1).wait_for()
    assert axe.run(page, options=WCAG).response["violations"] == []
