"""A tablet at a plain http address of the local network: no worker and no promise there, and each entry goes straight to the server.

Chromium takes 127.0.0.1 for secure; a name or number of the local network, led to this machine by its resolver rules, it does not.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.browsing import FLAGS
from tests.journeys.conftest import TABLET
from tests.journeys.real_server import LAN_NAME, RealServer
from tests.journeys.tablet import flows_of, save_flow, says, unsent

pytestmark = [pytest.mark.browser]


@pytest.fixture
def page(browser_driver: Any, chromium_program: str, server: RealServer) -> Any:
    rules = f"--host-resolver-rules=MAP {LAN_NAME} 127.0.0.1"
    browser = browser_driver.chromium.launch(executable_path=chromium_program, args=[*FLAGS, rules])
    context = browser.new_context(viewport=TABLET, has_touch=True, base_url=f"http://{LAN_NAME}:{server.port}")
    context.add_cookies([{"name": "sessionid", "value": server.session("K1"), "domain": LAN_NAME, "path": "/"}])
    yield context.new_page()
    browser.close()


def test_on_plain_http_the_page_says_what_does_not_work_and_why_and_entries_still_arrive(
    page: Any, server: RealServer
) -> None:
    place = server.place()
    page.goto(f"/filters/{place}-F/flow-checks/")
    assert page.evaluate("isSecureContext") is False
    assert page.evaluate("navigator.serviceWorker === undefined")
    counter = page.locator("[data-unsent]", has_text="Online only").first
    counter.wait_for()
    assert counter.is_visible()
    words = " ".join(counter.inner_text().split())
    assert "without network" in words
    assert "because the address is not https" in words
    save_flow(page, 1480)
    page.locator("#saved").wait_for()
    assert flows_of(server, place) == [1480]
    assert unsent(page) == []
    page.locator("[data-unsent] a").first.click()
    page.get_by_role("heading", name="A secure address").wait_for()
    assert LAN_NAME in page.locator("main").inner_text()


def test_on_plain_http_a_page_that_is_open_holds_an_entry_until_the_server_answers(
    page: Any, server: RealServer
) -> None:
    """The network goes between the page and the save: the open page still loses nothing."""
    place = server.place()
    page.goto(f"/filters/{place}-F/flow-checks/")
    page.context.set_offline(True)
    save_flow(page, 1481)
    says(page, "Saved on this tablet")
    page.context.set_offline(False)
    page.evaluate("sendOutbox.now()")
    page.locator("[data-unsent]", has_text="1 sent").first.wait_for()
    assert flows_of(server, place) == [1481]
