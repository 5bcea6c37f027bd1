"""Entries made with wet hands and no network: none lost, none doubled, whatever breaks. Each fault is tried on a real server and browser.

ROUNDS (environment) tries each fault that many times; three without it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.conftest import TABLET
from tests.journeys.real_server import STOPS, RealServer
from tests.journeys.tablet import (
    ROUNDS,
    all_gone,
    flow_page,
    flows_of,
    kept_pages,
    kill_browser,
    save_flow,
    says,
    sign_in,
    unsent,
)  # fmt: skip

pytestmark = [pytest.mark.browser]


def test_an_entry_with_network_takes_the_same_road_and_is_answered_as_before(tablet: Any, server: RealServer) -> None:
    place = server.place()
    page = flow_page(tablet(), server, place)
    save_flow(page, 1900)
    page.locator("#saved").wait_for()
    assert unsent(page) == []
    page.get_by_text("All sent").first.wait_for()
    assert flows_of(server, place) == [1900]


def test_meals_logged_without_network_arrive_once_each_and_in_order(tablet: Any, server: RealServer) -> None:
    for _ in range(ROUNDS):
        place = server.place()
        context = tablet()
        page = context.pages[0]
        page.goto(f"{server.url}/enclosures/{place}/feedings/")
        context.set_offline(True)
        amounts = [11, 12, 13, 14, 15]
        for n, amount in enumerate(amounts, 1):
            assert page.locator("input[name^=amount_]").first.input_value() == "", "nothing of the last meal is left"
            page.locator("input[name^=amount_]").first.fill(str(amount))
            page.locator("[data-save]").click()
            if n > 1:
                page.get_by_role("button", name="Keep both").click()
            page.locator("[data-unsent]", has_text=f"{n} waiting to send").first.wait_for()
            says(page, "Saved on this tablet")
        assert server.meals(place) == []
        kept = [item["entry"] for item in unsent(page)]
        context.set_offline(False)
        all_gone(page)
        arrived = server.meals(place)
        assert [row[0] for row in arrived] == kept
        assert [row[1] for row in arrived] == amounts
        assert {row[2] for row in arrived} == {"K1"}
        assert [row[4] for row in arrived] == [[]] * 5, "each was said to be one more"


def cut_after_saving(lost: list[int]) -> Callable[[Any], None]:
    """The server gets the post and answers; the answer never reaches the tablet."""

    def cut(route: Any) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().status)
            route.abort("connectionreset")
        else:
            route.continue_()

    return cut


def fail_twice(failed: list[int], *, status: int) -> Callable[[Any], None]:
    def fail(route: Any) -> None:
        if route.request.method == "POST" and len(failed) < 2:
            failed.append(status)
            route.fulfill(status=status, body="<p>Welcome to the harbour café</p>", content_type="text/html")
        else:
            route.continue_()

    return fail


def test_an_answer_lost_after_the_server_had_saved_makes_no_second_entry(tablet: Any, server: RealServer) -> None:
    context = tablet()
    for n in range(ROUNDS):
        place = server.place()
        page = flow_page(context, server, place)
        lost: list[int] = []
        page.route("**/flow-checks/", cut_after_saving(lost))
        save_flow(page, 1900 + n)
        says(page, "Saved on this tablet")
        assert lost == [201]
        assert len(unsent(page)) == 1
        page.evaluate("sendOutbox.now()")
        all_gone(page)
        page.unroute("**/flow-checks/")
        assert flows_of(server, place) == [1900 + n]


def test_the_browser_killed_with_a_full_queue_has_everything_when_it_comes_back(
    tablet: Any, server: RealServer, tmp_path: Path
) -> None:
    for _ in range(ROUNDS):
        place = server.place()
        context = tablet()
        page = flow_page(context, server, place)
        context.set_offline(True)
        for flow in (1700, 1800, 1900):
            save_flow(page, flow)
            says(page, "Saved on this tablet")
            page.evaluate("document.querySelector('[data-status]').replaceChildren()")
        kill_browser(tmp_path / "profile")
        context = tablet()
        page = flow_page(context, server, place)
        all_gone(page)
        assert flows_of(server, place) == [1700, 1800, 1900]


def note_posts(posts: list[str]) -> Callable[[Any], None]:
    return lambda request: posts.append(request.url) if request.method == "POST" else None


def test_two_tabs_that_come_back_together_send_each_entry_once(tablet: Any, server: RealServer) -> None:
    context = tablet()
    for _ in range(ROUNDS):
        place = server.place()
        page = flow_page(context, server, place)
        other = context.new_page()
        other.goto(page.url)
        posts: list[str] = []
        context.on("request", note_posts(posts))
        context.set_offline(True)
        for flow in (1700, 1800):
            save_flow(page, flow)
            says(page, "Saved on this tablet")
            page.evaluate("document.querySelector('[data-status]').replaceChildren()")
        save_flow(other, 1900)
        says(other, "Saved on this tablet")
        page.wait_for_timeout(300)
        posts.clear()
        context.set_offline(False)
        page.evaluate("sendOutbox.now()")
        other.evaluate("sendOutbox.now()")
        all_gone(page)
        other.close()
        assert flows_of(server, place) == [1700, 1800, 1900]
        assert len(posts) == 3, "no entry was sent by both"


def test_a_sign_in_that_has_run_out_keeps_everything_and_says_so(tablet: Any, server: RealServer) -> None:
    context = tablet()
    for n in range(ROUNDS):
        place = server.place()
        page = flow_page(context, server, place)
        context.clear_cookies(name="sessionid")
        save_flow(page, 1500 + n)
        page.locator("[data-unsent]", has_text="Sign in to send").first.wait_for()
        assert len(unsent(page)) == 1
        assert flows_of(server, place) == []
        sign_in(context, server, "K2")
        page.evaluate("sendOutbox.now()")
        page.locator("[data-unsent]", has_text="Waits for K1").first.wait_for()
        assert len(unsent(page)) == 1, "another person's sign-in does not send it from a tablet that is not enrolled"
        context.clear_cookies(name="sessionid")
        sign_in(context, server, "K1")
        page.evaluate("sendOutbox.now()")
        all_gone(page)
        (row,) = server.flows(place)
        assert (row[1], row[2], row[3]) == (1500 + n, "K1", "")  # type: ignore[index]


@pytest.mark.parametrize("status", [500, 502, 503, 200])
def test_a_server_that_fails_first_gets_it_later(tablet: Any, server: RealServer, status: int) -> None:
    """200 is a page that is not ours: a captive portal says yes to everything."""
    context = tablet()
    for n in range(ROUNDS):
        place = server.place() if n == 0 else place  # noqa: F821
        page = flow_page(context, server, place)
        failed: list[int] = []
        page.route("**/flow-checks/", fail_twice(failed, status=status))
        save_flow(page, 1400 + n)
        says(page, "Saved on this tablet")
        page.evaluate("sendOutbox.now()")
        page.evaluate("sendOutbox.now()")
        all_gone(page)
        page.unroute("**/flow-checks/")
        assert len(failed) == 2
    assert flows_of(server, place) == [1400 + n for n in range(ROUNDS)]


def test_an_entry_the_server_never_takes_lets_the_others_pass_and_needs_a_person(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    context.set_offline(True)
    for flow in (1, 2, 3):
        save_flow(page, 1000 + flow)
        says(page, "Saved on this tablet")
        page.evaluate("document.querySelector('[data-status]').replaceChildren()")
    poisoned = unsent(page)[0]["entry"]

    def fail(route: Any) -> None:
        is_it = poisoned in (route.request.post_data or "")
        route.fulfill(status=500, body="broken") if is_it else route.continue_()

    page.route("**/flow-checks/", fail)
    context.set_offline(False)
    for _ in range(6):
        page.evaluate("sendOutbox.now()")
    page.locator("[data-unsent]", has_text="1 needs you").first.wait_for()
    assert flows_of(server, place) == [1002, 1003]
    page.unroute("**/flow-checks/")
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_text("The server could not take it (500)").wait_for()
    page.get_by_role("button", name="Send now").click()
    page.get_by_text("Sent.", exact=True).wait_for()
    assert sorted(flows_of(server, place)) == [1001, 1002, 1003]


def test_a_browser_that_keeps_nothing_says_so_and_posts_at_once(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    context.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('The operation is insecure.', 'SecurityError'); };"
    )
    page = flow_page(context, server, place)
    page.locator("[data-unsent]", has_text="This browser keeps nothing").first.wait_for()
    context.set_offline(True)
    save_flow(page, 1234)
    says(page, "Not saved")
    assert page.locator("[name=flow_l_per_h]").input_value() == "1234"
    context.set_offline(False)
    page.locator("[data-save]").click()
    page.locator("#saved").wait_for()
    assert flows_of(server, place) == [1234]


def test_a_full_disk_is_said_and_the_entry_posted_at_once(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    page.evaluate("() => { IDBObjectStore.prototype.put = function () { this.transaction.abort(); }; }")
    save_flow(page, 1235)
    page.locator("#saved").wait_for()
    assert flows_of(server, place) == [1235]


def test_the_store_closed_under_the_page_is_opened_anew(tablet: Any, server: RealServer) -> None:
    """Another tab may ask for the store's next version, and a browser may close it at will; the page's connection is then dead."""
    context = tablet()
    for n in range(ROUNDS):
        place = server.place() if n == 0 else place  # noqa: F821
        page = flow_page(context, server, place)
        context.set_offline(True)
        save_flow(page, 1600 + 2 * n)
        says(page, "Saved on this tablet")
        # every connection of this page is closed behind its back, as the browser does when it clears memory
        page.evaluate(
            """() => { const open = IDBDatabase.prototype.transaction;
                 IDBDatabase.prototype.transaction = function (...words) {
                   IDBDatabase.prototype.transaction = open; this.close(); return open.apply(this, words); }; }"""
        )
        page.evaluate("document.querySelector('[data-status]').replaceChildren()")
        save_flow(page, 1601 + 2 * n)
        says(page, "Saved on this tablet")
        # and once more by a version change in another connection
        page.evaluate(
            """() => new Promise((done) => { const wish = indexedDB.open("outbox", 1);
                 wish.onsuccess = () => { wish.result.close(); done(); }; })"""
        )
        assert len(unsent(page)) == 2
        context.set_offline(False)
        page.evaluate("sendOutbox.now()")
        all_gone(page)
    assert flows_of(server, place) == [1600 + n for n in range(2 * ROUNDS)]


def test_the_same_id_with_the_same_words_is_answered_as_before_and_with_others_is_settled_by_a_person(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    context.set_offline(True)
    save_flow(page, 1900)
    says(page, "Saved on this tablet")
    (item,) = unsent(page)
    context.set_offline(False)
    all_gone(page)
    del item["seq"]
    page.evaluate("(item) => outbox.add(item).then(() => sendOutbox.now())", item)
    all_gone(page)
    assert flows_of(server, place) == [1900]

    changed = [[name, "1700" if name == "flow_l_per_h" else value] for name, value in item["fields"]]
    page.evaluate(
        "(item) => outbox.add(item).then(() => sendOutbox.now())", item | {"fields": changed, "said": "Flow 1700"}
    )
    page.locator("[data-unsent]", has_text="1 needs you").first.wait_for()
    page.goto(f"{server.url}/device/outbox/")
    row = page.locator("[data-list] li")
    words = row.inner_text().replace("\u202f", " ").replace("\u00a0", " ")
    assert "Flow 1700" in words, "what lies here"
    assert "1 900 L/h" in words, "what is on record"
    assert flows_of(server, place) == [1900]

    with page.expect_download() as copy:
        page.on("dialog", lambda dialog: dialog.accept())
        row.get_by_role("button", name="Discard").click()
    assert item["entry"] in Path(copy.value.path()).read_text()
    page.get_by_text("Nothing waits on this tablet").wait_for()
    assert flows_of(server, place) == [1900]


def test_what_is_refused_days_later_can_be_changed_and_sent(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    context.set_offline(True)
    page.locator("[name=flow_l_per_h]").fill("abc")
    page.locator("[data-save]").click()
    says(page, "Saved on this tablet")
    context.set_offline(False)
    page.locator("[data-unsent]", has_text="1 needs you").first.wait_for()
    page.goto(f"{server.url}/device/outbox/")
    page.get_by_text("“abc” is not a number.").wait_for()
    page.get_by_role("link", name="Change").click()
    field = page.locator("[name=flow_l_per_h]")
    field.wait_for()
    page.locator("[data-status]", has_text="Opened to be changed").wait_for()
    assert field.input_value() == "abc"
    field.fill("1950")
    page.locator("[data-save]").click()
    page.locator("#saved").wait_for()
    assert unsent(page) == []
    assert flows_of(server, place) == [1950]


def test_a_refused_form_with_the_person_before_it_keeps_its_id_and_is_saved_once(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    page = flow_page(tablet(), server, place)
    page.locator("[name=flow_l_per_h]").fill("abc")
    page.locator("[data-save]").click()
    page.locator(".problem").first.wait_for()
    (item,) = unsent(page)
    page.locator("[name=flow_l_per_h]").fill("1950")
    page.locator("[data-save]").click()
    page.locator("#saved").wait_for()
    assert unsent(page) == []
    assert [row[0] for row in server.flows(place)] == [item["entry"]]  # type: ignore[index]


def test_an_enrolled_tablet_sends_what_its_people_logged_under_their_names(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet("SUP")
    page = context.pages[0]
    page.goto(f"{server.url}/device/enrol/")
    page.get_by_label("What is this tablet called?").fill("Tablet by the ponds")
    page.get_by_role("button", name="Enrol this tablet").click()
    page.get_by_text("This is now the shared tablet").wait_for()
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "K1")
    page = flow_page(context, server, place)
    context.set_offline(True)
    save_flow(page, 1811)
    says(page, "Saved on this tablet")
    context.clear_cookies(name="sessionid")
    context.set_offline(False)
    page.goto(f"{server.url}/person/")
    page.locator("label.chip", has_text="K2").click()
    page.get_by_label("PIN", exact=True).fill("4711")
    page.get_by_role("button", name="Take over").click()
    page.locator(".masthead", has_text="K2").wait_for()
    all_gone(page)
    (row,) = server.flows(place)
    assert (row[2], row[3]) == ("K1", "K2")  # type: ignore[index]


def test_a_clock_far_off_is_said_and_put_right_and_marked(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet()
    ahead_s = 3 * 3600
    context.add_init_script(
        f"""{{ const Real = Date; const ahead = {ahead_s * 1000};
            globalThis.Date = class extends Real {{
              constructor(...words) {{ if (words.length) super(...words); else super(Real.now() + ahead); }}
              static now() {{ return Real.now() + ahead; }} }}; }}"""
    )
    page = flow_page(context, server, place)
    page.locator("[data-clock-off]", has_text="3 hours ahead").wait_for()
    context.set_offline(True)
    save_flow(page, 1777)
    says(page, "Saved on this tablet")
    page.wait_for_timeout(2000)
    context.set_offline(False)
    all_gone(page)
    (row,) = server.flows(place)
    assert "CLK" in row[4]  # type: ignore[index]
    assert row[5] == pytest.approx(ahead_s, abs=5)  # type: ignore[index]
    entered_at, occurred_at = row[7], row[6]  # type: ignore[index]
    assert 0 <= entered_at - occurred_at < 90, "when it was tapped, by the server's clock, to the minute"


def test_a_round_of_fourteen_feedings_walked_without_network_arrives_whole_and_in_order(
    tablet: Any, server: RealServer
) -> None:
    """S2 and F3: two taps a stop, no network, the tablet switched off and on in the middle; nothing lost, nothing doubled."""
    context = tablet(service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/")
    kept_pages(page, f"{server.url}/round/?slot=am")
    context.set_offline(True)
    page.goto(f"{server.url}/round/?slot=am")
    for n in range(1, STOPS + 1):
        if n == STOPS // 2:
            page.reload()
        page.locator(f"#stop-R{n:02d} .as-planned").click()
        page.locator("[data-unsent]", has_text=f"{n} waiting to send").first.wait_for()
    assert page.locator("#left-to-do").inner_text() == "All done", "what is kept here needs nobody to walk back"
    assert page.locator("#tally").inner_text().endswith(f"{STOPS} of {STOPS} done")
    assert not page.locator("#round-end dd a:visible").count()
    kept = [item["entry"] for item in unsent(page)]
    assert len(set(kept)) == STOPS
    assert [server.meals(f"R{n:02d}") for n in (1, STOPS)] == [[], []]
    context.set_offline(False)
    all_gone(page)
    page.locator(".stop.is-done").nth(STOPS - 1).wait_for()
    meals = [server.meals(f"R{n:02d}") for n in range(1, STOPS + 1)]
    assert [len(each) for each in meals] == [1] * STOPS
    assert [each[0][1] for each in meals] == [10 + n for n in range(1, STOPS + 1)]
    order = server.run(
        "import json; from enclosures.models import Feeding as F;"
        "print(json.dumps([f.enclosure.code for f in F.all_rows.filter(enclosure__code__startswith='R').order_by('pk')]))"
    )
    assert order == [f"R{n:02d}" for n in range(1, STOPS + 1)]


def test_a_round_opened_again_without_network_knows_what_was_logged_with_it(tablet: Any, server: RealServer) -> None:
    """Else the meal that was given in the morning is asked for once more, and nobody here can tell that it is the second."""
    context = tablet(service_workers="allow")
    page = context.pages[0]
    url = f"{server.url}/round/?slot=am"
    page.goto(url)
    kept_pages(page, url)
    page.reload()  # now the worker governs this page
    page.locator(".stop").first.wait_for()
    open_stops = page.locator(".stop:not(.is-done):has(.as-planned)")
    if not open_stops.count():  # others have walked it
        page.locator(".stop.is-done button", has_text="Undo").first.click()
    stop = open_stops.first
    place = stop.get_attribute("id")
    stop.locator(".as-planned").click()
    page.locator(f"#{place}.is-done").wait_for()
    for _ in range(100):  # fetched behind the answer
        if page.evaluate(
            "([url, id]) => caches.match(url, { ignoreVary: true }).then((kept) => kept.text())"
            ".then((html) => new DOMParser().parseFromString(html, 'text/html').getElementById(id).matches('.is-done'))",
            [url, place],
        ):
            break
        page.wait_for_timeout(100)
    context.set_offline(True)
    page.goto(url)
    says_age = page.locator(".kept-page", has_text="The server was not reached")
    says_age.wait_for()
    assert page.locator(f"#{place}.is-done").count() == 1


def test_a_file_downloaded_from_a_stranded_tablet_is_sent_by_a_supervisor_under_its_authors_name(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = tablet()
    page = flow_page(context, server, place)
    page.route("**/device/token/", lambda route: route.abort())
    save_flow(page, 1500)
    says(page, "Saved on this tablet")
    page.goto(f"{server.url}/device/outbox/")
    with page.expect_download() as file:
        page.get_by_role("button", name="Download unsent entries").click()
    path = Path(file.value.path())
    kept = path.with_name("unsent-entries.json")
    kept.write_bytes(path.read_bytes())
    page.evaluate("outbox.list().then((all) => Promise.all(all.map((each) => outbox.remove(each.entry))))")  # it breaks
    page.unroute("**/device/token/")
    context.clear_cookies(name="sessionid")
    sign_in(context, server, "SUP")
    page.goto(f"{server.url}/device/outbox/upload/")
    page.set_input_files("[data-upload]", kept)
    page.get_by_text("1 read, 1 sent, 0 still here.").wait_for()
    page.set_input_files("[data-upload]", [])
    page.set_input_files("[data-upload]", kept)
    page.get_by_text("1 read, 1 sent, 0 still here.").wait_for()
    (row,) = server.flows(place)
    assert (row[1], row[2], row[3]) == (1500, "K1", "SUP")  # type: ignore[index]
    page.set_input_files("[data-upload]", {"name": "x.json", "mimeType": "application/json", "buffer": b"{}"})
    page.get_by_text("This is not a file of unsent entries").wait_for()


def test_the_counter_and_the_list_break_no_rule_of_the_accessibility_checker(tablet: Any, server: RealServer) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt").Axe()
    place = server.place()
    context = tablet("SUP")
    page = flow_page(context, server, place)
    page.route("**/device/token/", lambda route: route.abort())
    save_flow(page, 1500)
    says(page, "Saved on this tablet")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    for path in (
        page.url.removeprefix(server.url),
        "/device/outbox/",
        "/device/outbox/upload/",
        "/device/secure/",
        "/filters/",
    ):
        page.goto(server.url + path)
        page.locator("[data-unsent]", has_text="1 waiting").first.wait_for()
        found = axe.run(page, options=rules).response["violations"]
        assert not found, (path, [(wrong["id"], wrong["nodes"][0]["html"][:120]) for wrong in found])
        page.set_viewport_size({"width": 320, "height": 700})
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
        page.set_viewport_size(TABLET)


# the pages themselves, without network ------------------------------------------------------------------------------------


def test_a_form_never_visited_opens_and_keeps_an_entry_without_network(tablet: Any, server: RealServer) -> None:
    place = server.place()
    context = tablet(service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/")
    kept_pages(page, f"{server.url}/filters/{place}-F/flow-checks/")
    kept_pages(page, f"{server.url}/device/outbox/")
    context.set_offline(True)
    page = flow_page(context, server, place)
    page.get_by_text("The server was not reached: this page is as it was at").wait_for()
    save_flow(page, 1888)
    says(page, "Saved on this tablet")
    page.reload()
    page.locator("[data-unsent]", has_text="1 waiting to send").first.wait_for()
    page.goto(f"{server.url}/device/outbox/")
    page.locator("[data-list] li", has_text="1888").wait_for()
    page.goto(f"{server.url}/program/")
    assert "No network here" in page.inner_text("h1")
    context.set_offline(False)
    page.goto(f"{server.url}/enclosures/")
    all_gone(page)
    assert flows_of(server, place) == [1888]


def test_kept_pages_are_one_persons_and_go_with_the_sign_out_but_the_queue_stays(
    tablet: Any, server: RealServer
) -> None:
    place = server.place()
    context = tablet(service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/")
    kept = f"{server.url}/filters/{place}-F/flow-checks/"
    kept_pages(page, kept)
    html = page.evaluate("(url) => caches.match(url, { ignoreVary: true }).then((kept) => kept.text())", kept)
    assert 'name="entry"' not in html, "an id in a kept page would be used twice"
    assert page.evaluate("caches.match('/sign-out/').then(Boolean)") is False
    page = flow_page(context, server, place)
    context.set_offline(True)
    save_flow(page, 1666)
    says(page, "Saved on this tablet")
    context.set_offline(False)
    page.route("**/device/token/", lambda route: route.abort())
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="Sign in").wait_for()
    page.wait_for_timeout(500)
    assert page.evaluate("caches.keys().then((names) => names.filter((name) => name.startsWith('pages-')))") == []
    names = page.evaluate("indexedDB.databases().then((all) => all.map((each) => each.name))")
    assert "outbox" in names
    page.unroute("**/device/token/")
    sign_in(context, server, "K1")
    page.goto(f"{server.url}/enclosures/")
    all_gone(page)
    assert flows_of(server, place) == [1666]


def test_no_chart_library_is_kept_ahead(tablet: Any, server: RealServer) -> None:
    context = tablet(service_workers="allow")
    page = context.pages[0]
    page.goto(f"{server.url}/enclosures/E00/")
    kept_pages(page, f"{server.url}/device/outbox/")
    names = page.evaluate(
        "caches.open('files').then((cache) => cache.keys()).then((keys) => keys.map((key) => key.url))"
    )
    assert any(name.endswith(".css") for name in names)
    assert not [name for name in names if "plotly" in name]
