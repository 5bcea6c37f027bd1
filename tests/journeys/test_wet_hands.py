"""What a keeper with wet hands would wince at: keys under the bar, figures that fade in the sun, states nobody looked at."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from enclosures.models import TestKit
from tests.actions.station import make_pellet
from tests.boards.pond import make_pond, make_turtles

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
UPRIGHT, LYING, PHONE = (
    {"width": 820, "height": 1180}, {"width": 1180, "height": 820}, {"width": 390, "height": 844},
)  # fmt: skip
WCAG = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SUN = {"runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}}  # 7 : 1, large figures 4.5 : 1
FORMS = [
    "/enclosures/P1/feedings/",
    "/enclosures/P1/water-tests/",
    "/enclosures/P1/weights/",
    "/filters/P1-F/soundings/",
    "/filters/P1-F/flow-checks/",
]
SAME_ID = "crypto.randomUUID = () => '6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c77'"


@pytest.fixture
def pond(facility: Any) -> Any:
    pond = make_pond(facility)
    make_turtles(pond.enclosure)
    make_pellet()
    TestKit.objects.create(code="A", name="Drops", analyte="tan", reports_as="N", steps=[0, 0.5, 1], upper=1)
    return pond


@pytest.fixture
def axe() -> Callable[..., None]:
    module = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt")
    program = module.Axe()

    def holds(page: Any, rules: dict[str, Any], *, within: str = "body", n_held: int = 0) -> None:
        told = program.run(page, context=within, options=rules).response
        found = told["violations"]
        assert sum(len(rule["nodes"]) for rule in told["passes"]) >= n_held, "it looked at something"
        assert not found, [(wrong["id"], node["html"][:140]) for wrong in found for node in wrong["nodes"]]

    return holds


@pytest.mark.parametrize("viewport", [UPRIGHT, LYING, PHONE], ids=["upright", "lying", "phone"])
@pytest.mark.parametrize("path", ["/enclosures/P1/weights/", "/filters/P1-F/soundings/"])
def test_all_keys_stand_above_the_bar_as_the_page_opens(
    open_page: Callable[..., Any], keeper: Any, pond: Any, path: str, viewport: dict[str, int]
) -> None:
    page = open_page(keeper, path, viewport=viewport)
    page.locator("[data-unsent] a").first.wait_for()
    page.wait_for_timeout(200)
    bar = page.locator(".counter").bounding_box()["y"]
    keys = [key.bounding_box() for key in page.locator("[data-keys] button").all()]
    assert max(key["y"] + key["height"] for key in keys) <= bar
    assert min(key["height"] for key in keys) >= 60
    field = page.locator("[data-keyed]").first.bounding_box()
    assert field["y"] + field["height"] <= min(key["y"] for key in keys), "the field is not under the keys"
    assert page.evaluate("scrollY") == 0


def test_the_animal_being_weighed_stays_above_the_keys(
    open_page: Callable[..., Any], keeper: Any, facility: Any
) -> None:
    from tests.boards.walk import lived_in

    lived_in(facility, "H1", *(f"HB-{n:02d}" for n in range(1, 16)))
    page = open_page(keeper, "/enclosures/H1/weights/")
    for _ in range(12):
        page.locator("[data-key=next]").tap()
    keys = page.locator("[data-keys]").bounding_box()["y"]
    marked = page.locator(".is-next").bounding_box()
    assert marked["y"] + marked["height"] <= keys


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_figures_and_words_of_the_entry_forms_hold_in_the_sun(
    open_page: Callable[..., Any], keeper: Any, pond: Any, axe: Any, scheme: str
) -> None:
    """7 : 1 (the enhanced contrast of WCAG 2.2, 1.4.6) for all that is read or tapped on the forms of a round and in their bar."""
    page = open_page(keeper, FORMS[0], color_scheme=scheme)
    for path in FORMS:
        page.goto(page.url.split("/", 3)[0] + "//" + page.url.split("/", 3)[2] + path)
        page.locator("[data-unsent] a").first.wait_for()
        axe(page, SUN, within=".log", n_held=15)


def test_a_conflict_a_refusal_a_draft_and_a_question_break_no_rule_either(
    open_page: Callable[..., Any], keeper: Any, pond: Any, axe: Any
) -> None:
    page = open_page(keeper, "/filters/P1-F/flow-checks/")
    page.evaluate(SAME_ID)
    page.locator("[name=flow_l_per_h]").fill("1900")
    page.locator("[data-save]").tap()
    page.locator("#saved").wait_for()
    axe(page, WCAG)
    page.reload()
    page.evaluate(SAME_ID)
    page.locator("[name=flow_l_per_h]").fill("1700")
    page.locator("[data-save]").tap()
    page.locator("#entry-conflict").wait_for()
    axe(page, WCAG)
    page.get_by_role("link", name="Leave it").tap()
    page.wait_for_url("**/enclosures/P1/")

    page.goto(page.url + "water-tests/")
    page.locator("[data-analyte=temperature] .with-unit input").fill("77")
    page.locator("[data-analyte=tan] .with-unit input").fill("abc")
    page.locator("[data-save]").tap()
    page.locator(".ask").first.wait_for()
    page.locator(".wrong").first.wait_for()
    axe(page, WCAG)

    page.goto(page.url.replace("water-tests", "feedings"))
    page.locator("input[name^=amount_]").first.fill("12")
    page.reload()
    page.locator(".draft").wait_for()
    axe(page, WCAG)
    page.get_by_role("button", name="Go on").tap()
    page.route("**/device/token/", lambda route: route.fulfill(status=200, body="Welcome to the guest network"))
    page.locator("[data-save]").tap()
    page.locator("[data-status]", has_text="Saved on this tablet").wait_for()
    page.locator("input[name^=amount_]").first.fill("12")
    page.locator("[data-save]").tap()
    page.get_by_role("button", name="Keep both").wait_for()
    axe(page, WCAG)
