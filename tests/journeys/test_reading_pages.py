"""The reading pages in a browser: drawn under the policy, reachable by keyboard and thumb, readable at 320 px, by axe's rules, on paper."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from tests.boards.pond import answer, log_some_days, make_pond, make_turtles

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGES = ("/filters/", "/enclosures/", "/enclosures/P1/")
THUMB_PX = 44
SMALL_TARGETS = """() => [...document.querySelectorAll('a[href], button, summary')]
  .filter(e => { const r = e.getBoundingClientRect(); const cover = parseFloat(getComputedStyle(e, '::after').height) || 0;
                 return r.width && r.top > 0 && Math.max(r.height, cover) < %d; })
  .map(e => `${e.textContent.trim()} ${Math.round(e.getBoundingClientRect().height)}`)"""


@pytest.fixture
def pond(facility: Any) -> Any:
    each = make_pond(facility)
    make_turtles(each.enclosure)
    log_some_days(each, until=timezone.localdate())
    answer(each)
    return each


@pytest.mark.usefixtures("pond")
@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_break_no_rule_of_the_accessibility_checker(
    open_page: Any, supervisor: Any, path: str, scheme: str
) -> None:
    """axe-core's WCAG 2 A and AA rules, target size of 2.2 included."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="it is in tests/requirements.txt").Axe()
    page = open_page(supervisor, path, color_scheme=scheme)
    page.wait_for_load_state("networkidle")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    found = axe.run(page, options=rules).response["violations"]
    assert not found, [(wrong["id"], wrong["nodes"][0]["html"][:120]) for wrong in found]


@pytest.mark.usefixtures("pond")
@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_too_small_for_a_thumb_or_too_wide_for_a_phone(open_page: Any, keeper: Any, path: str) -> None:
    page = open_page(keeper, path)
    page.wait_for_load_state("networkidle")
    assert page.evaluate(SMALL_TARGETS % THUMB_PX) == []
    page.set_viewport_size({"width": 320, "height": 700})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.usefixtures("pond")
def test_the_chart_is_drawn_and_offers_no_upload(open_page: Any, keeper: Any) -> None:
    page = open_page(keeper, "/enclosures/P1/")
    page.locator("[data-figure][data-drawn=true]").wait_for()
    assert page.locator(".chart svg.main-svg").count() > 0
    assert "Share" not in page.inner_text("body")
    assert page.locator(".modebar-btn").count() == 0


@pytest.mark.usefixtures("pond")
def test_parts_come_when_asked_for_without_leaving_the_page(open_page: Any, keeper: Any) -> None:
    page = open_page(keeper, "/enclosures/P1/")
    before = page.locator("#entries-list li").count()
    page.get_by_role("link", name="Earlier entries").click()
    page.locator(f"#entries-list li:nth-child({before + 1})").wait_for()
    page.get_by_role("link", name="Draw the twelve months").click()
    page.locator("[data-figure=water-figure][data-drawn=true]").wait_for()
    page.get_by_role("link", name="Every reading, as it was read").click()
    page.get_by_text("> 8 mg/L as NH₃", exact=True).first.wait_for()


@pytest.mark.usefixtures("pond")
def test_the_list_can_be_walked_with_the_keyboard(open_page: Any, supervisor: Any) -> None:
    page = open_page(supervisor, "/filters/", has_touch=False)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the page"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Coming changes"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "P1"
    page.keyboard.press("Enter")
    page.wait_for_url("**/enclosures/P1/")


@pytest.mark.usefixtures("pond")
def test_the_list_looks_again_and_changes_when_an_answer_does(open_page: Any, supervisor: Any, pond: Any) -> None:
    page = open_page(supervisor, "/filters/")
    row = page.locator("#filters-rows")
    assert "Something was entered since" not in row.inner_text()
    answer(pond, is_stale=True)
    page.evaluate("htmx.trigger(document.getElementById('filters-rows'), 'look-again')")
    page.get_by_text("Something was entered since").wait_for()


@pytest.mark.usefixtures("pond")
def test_paper_carries_the_list_on_one_sheet_with_a_line_to_sign(open_page: Any, supervisor: Any) -> None:
    page = open_page(supervisor, "/filters/")
    page.emulate_media(media="print")
    assert page.locator("nav").first.is_hidden()
    assert page.get_by_text("Sign out").is_hidden()
    assert page.get_by_text("as known then. Seen by").is_visible()
    assert page.pdf(format="A4").count(b"/Type /Page\n") == 1
