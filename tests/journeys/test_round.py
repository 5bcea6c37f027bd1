"""The round with wet hands: taps counted, doubles refused, the network gone and back, by keyboard, without script.

Targets are those of the job: 14 feedings in two taps each, one that differs in six, buttons about 20 mm high with 5 mm between
(a study of keys on screens found 20 mm best: Colle & Hiszem 2004, cited from memory). What a pixel measures is a matter of
the glass: a 10.9-inch tablet of 820 × 1180 CSS pixels has 132 to the inch (memory), so that 76 px would be 14.6 mm there.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest

from enclosures.models import Feeding, FoodItem, RoundCheck, WaterTest
from tests.actions.station import make_pellet
from tests.boards.walk import lived_in, plan
from tests.views.pages import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
N = 14
PATH = "/round/?slot=am"
COUNT_TAPS = "window.taps = 0; addEventListener('pointerdown', () => { window.taps += 1; }, true)"
MM_PER_PX = 25.4 / 132
AS_PLANNED = ".stop:not(.is-done, .is-kept) .as-planned"


@pytest.fixture
def station(facility: Any) -> list[Any]:
    """Fourteen enclosures of four turtles, a scoop of pellets planned every morning; the last is quarantine."""
    pellet = make_pellet()
    places = []
    for n in range(1, N + 1):
        kind = "quarantine" if n == N else "tank"
        codes = [f"E{n}-{k}" for k in (101, 102, 103, 104)]
        place = lived_in(facility, f"E{n}", *codes, round_order=n, kind=kind, indoor=True)
        plan(place, pellet)
        places.append(place)
    return places


@pytest.fixture
def walk(open_page: Callable[..., Any], keeper: Any, station: list[Any]) -> Any:
    page = open_page(keeper, PATH)
    page.wait_for_function("() => window.sendOutbox !== undefined")
    page.evaluate(COUNT_TAPS)
    return page


def settled(page: Any, n: int) -> None:
    """Until so many rows are done, each answered by the server."""
    page.locator(".stop.is-done").nth(n - 1).wait_for()
    assert page.locator(".stop.is-done").count() == n


def test_fourteen_feedings_as_planned_take_fourteen_taps(walk: Any) -> None:
    for n in range(N):
        walk.locator(f"#stop-E{n + 1} .as-planned").tap()
    settled(walk, N)
    assert walk.evaluate("window.taps") == N <= 28
    assert Feeding.objects.count() == N
    assert set(Feeding.objects.values_list("outcome", "slot", "entered_by")) == {("planned", "am", "K1")}
    assert walk.locator("#tally").inner_text() == f"Morning, K1: {N} of {N} done"
    assert walk.locator("#left-to-do").inner_text() == "All done"
    assert "Salmonella" in walk.locator("#round-end").inner_text()


def test_one_that_differs_takes_five_taps(walk: Any) -> None:
    """S3: half of it, some eaten, one refused; at most six."""
    row = walk.locator("#stop-E3")
    row.locator(".different").tap()
    row.locator("[name=given][value='0.5']").tap()
    row.locator("[name=eaten][value=some]").tap()
    row.locator("[name=refused][value=E3-103]").tap()
    row.locator(".save").tap()
    settled(walk, 1)
    assert walk.evaluate("window.taps") == 5
    feeding = Feeding.objects.get()
    assert (feeding.outcome, feeding.refused) == ("changed", "E3-103")
    assert (feeding.lines.get().amount, feeding.lines.get().eaten) == (0.5, "some")


def test_a_count_and_a_temperature_take_two_taps_and_the_keys(walk: Any) -> None:
    """S4: at most three."""
    row = walk.locator("#stop-E2")
    row.locator(".different").tap()
    row.locator("[name=head_count]").tap()
    walk.keyboard.type("4")
    walk.keyboard.press("Tab")
    walk.keyboard.type("24,6")
    walk.keyboard.press("Enter")
    settled(walk, 1)
    assert walk.evaluate("window.taps") == 2
    assert (RoundCheck.objects.get().head_count, RoundCheck.objects.get().n_expected) == (4, 4)
    assert WaterTest.objects.get().readings.get().canonical == 24.6
    assert Feeding.objects.get().outcome == "planned"


def test_a_double_tap_feeds_once_and_undoes_nothing(walk: Any) -> None:
    box = walk.locator("#stop-E1 .as-planned").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for wait in (0, 120, 250):
        walk.wait_for_timeout(wait)
        walk.touchscreen.tap(x, y)
    settled(walk, 1)
    walk.wait_for_timeout(800)
    assert walk.locator("#stop-E1.is-done").count() == 1
    assert Feeding.objects.count() == 1
    assert Feeding.all_rows.count() == 1


def test_undo_is_one_tap_and_the_row_is_there_again(walk: Any) -> None:
    walk.locator("#stop-E1 .as-planned").tap()
    settled(walk, 1)
    walk.wait_for_timeout(750)  # the button sleeps for 700 ms, so that a second tap does not undo the first
    walk.locator("#stop-E1").get_by_role("button", name="Undo").tap()
    walk.locator("#stop-E1 .as-planned").wait_for()
    assert not Feeding.objects.exists()
    assert walk.locator("#tally").inner_text() == f"Morning, K1: 0 of {N} done"


def test_without_network_the_round_goes_on_and_is_sent_when_it_is_back(walk: Any) -> None:
    """F3."""
    walk.route("**/device/token/", lambda route: route.fulfill(status=200, body="Welcome to the guest network"))
    for n in (1, 2, 3):
        walk.locator(f"#stop-E{n} .as-planned").tap()
    walk.locator("#stop-E3.is-kept").wait_for()
    assert "kept on this tablet" in walk.locator("#stop-E2").inner_text()
    assert "3" in walk.locator(".waiting-line").inner_text()
    walk.locator("#stop-E2 .kept-undo").tap()
    walk.locator("#stop-E2 .as-planned").wait_for()
    walk.unroute("**/device/token/")
    walk.evaluate("sendOutbox.now()")
    settled(walk, 2)
    assert sorted(Feeding.objects.values_list("enclosure__code", flat=True)) == ["E1", "E3"]
    assert walk.locator(".stop.is-kept").count() == 0


def test_77_degrees_are_asked_about_in_the_row(walk: Any) -> None:
    row = walk.locator("#stop-E2")
    row.locator(".different").tap()
    row.locator("[name=water_temp]").fill("77")
    row.locator("[name=odd]").fill("One is slow")
    row.locator(".save").tap()
    walk.locator("#stop-E2 .ask").wait_for()
    assert walk.locator("#stop-E2 [name=odd]").input_value() == "One is slow"
    walk.locator("#stop-E2").get_by_role("button", name="Use 25.0").tap()
    settled(walk, 1)
    assert WaterTest.objects.get().readings.get().canonical == pytest.approx(25.0)
    assert walk.evaluate("outbox.list().then((items) => items.length)") == 0


def test_a_meal_logged_meanwhile_by_another_is_asked_about(walk: Any, other_keeper: Any) -> None:
    """F4: the page was open before K2 fed."""
    said = {"slot": "am", "what": "feed", "line": f"{FoodItem.objects.get().pk}|1|scoop"}
    assert signed_in(other_keeper).post("/round/E1/", said, headers={"HX-Request": "true"}).status_code == 201
    walk.locator("#stop-E1 .as-planned").tap()
    walk.locator("#stop-E1 .ask").wait_for()
    assert "by K2. Add another meal?" in walk.locator("#stop-E1 .ask").inner_text()
    assert Feeding.objects.count() == 1
    walk.locator("#stop-E1").get_by_role("button", name="Yes, another meal").tap()
    settled(walk, 1)
    assert Feeding.objects.count() == 2


def test_buttons_are_18_mm_with_5_mm_between_on_a_10_inch_tablet_and_nothing_is_under_60_px(walk: Any) -> None:
    boxes = [button.bounding_box() for button in walk.locator(AS_PLANNED).all()[:6]]
    assert min(box["height"] for box in boxes) * MM_PER_PX >= 18
    assert min(box["width"] for box in boxes) * MM_PER_PX >= 20
    gaps = [after["y"] - before["y"] - before["height"] for before, after in pairwise(boxes)]
    assert min(gaps) * MM_PER_PX >= 5
    walk.locator("#stop-E1 .different").tap()
    fields = "#stop-E1 :is(.chip span, .with-unit, .figure > input, select, button), .counter .button, .hand, .which a"
    small = """(fields) => [...document.querySelectorAll(fields)].map((el) => [el.getBoundingClientRect().height, el])
      .filter(([height]) => height && height < 60).map(([height, el]) => `${height} ${el.outerHTML.slice(0, 80)}`)"""
    assert walk.evaluate(small, fields) == []


def test_the_button_is_under_the_left_thumb_when_asked_and_stays_there(walk: Any) -> None:
    right = walk.locator("#stop-E1 .as-planned").bounding_box()["x"]
    walk.locator("#left").tap()
    left = walk.locator("#stop-E1 .as-planned").bounding_box()["x"]
    assert left < 100 < right
    walk.reload()
    assert walk.locator("#stop-E1 .as-planned").bounding_box()["x"] == left


def test_the_keyboard_walks_the_round(open_page: Any, keeper: Any, station: list[Any]) -> None:
    page = open_page(keeper, PATH, has_touch=False)
    page.wait_for_function("() => window.sendOutbox !== undefined")
    page.locator("#stop-E1 .as-planned").focus()
    page.keyboard.press("Enter")
    settled(page, 1)
    assert page.evaluate("document.activeElement.closest('.stop').id") == "stop-E2"
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Space")
    assert page.locator("#stop-E2 .differences").is_visible()
    page.keyboard.press("Space")
    assert page.locator("#stop-E2 .as-planned").is_visible()


def test_without_script_each_row_is_a_plain_form(open_page: Any, keeper: Any, station: list[Any]) -> None:
    page = open_page(keeper, PATH, java_script_enabled=False)
    page.locator("#stop-E1 .as-planned").tap()
    page.wait_for_url("**#stop-E2")
    page.locator("#stop-E2 .different").tap()
    page.locator("#stop-E2 [name=given][value='0.5']").tap()
    page.locator("#stop-E2 .save").tap()
    page.wait_for_url("**#stop-E3")
    page.locator("#stop-E1").get_by_role("button", name="Undo").tap()
    page.wait_for_url("**#stop-E1")
    assert [line.amount for feeding in Feeding.objects.all() for line in feeding.lines.all()] == [0.5]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_round_breaks_no_rule_of_the_accessibility_checker(
    open_page: Any, keeper: Any, station: list[Any], scheme: str
) -> None:
    """axe-core's WCAG 2 A and AA rules; plans and codes at 7 : 1 besides (its enhanced contrast rule)."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt").Axe()
    page = open_page(keeper, PATH, color_scheme=scheme)
    page.wait_for_function("() => window.sendOutbox !== undefined")
    page.locator("#stop-E1 .as-planned").tap()
    settled(page, 1)
    page.locator("#stop-E2 .different").tap()
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    found = axe.run(page, options=rules).response["violations"]
    assert not found, [(wrong["id"], wrong["nodes"][0]["html"][:160]) for wrong in found]
    enhanced = {"runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}}
    faint = axe.run(page, context=".stops", options=enhanced).response["violations"]
    assert not faint, [node["html"][:120] for wrong in faint for node in wrong["nodes"]]


def test_the_round_fits_a_small_phone(open_page: Any, keeper: Any, station: list[Any]) -> None:
    page = open_page(keeper, PATH, viewport={"width": 320, "height": 700})
    page.locator("#stop-E1 .different").tap()
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
