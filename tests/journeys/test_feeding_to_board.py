"""The whole path: a keeper logs with wet hands, and the supervisor's answer changes. In a real browser, at the tablet's size."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from enclosures.models import Enclosure, Feeding, Filter, FilterOutlook, Sounding, WaterTest

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tank(facility: Any) -> Enclosure:
    """A tank filled for eight months, never sounded: a forecast from feed alone."""
    from enclosures.imports.importing import import_tables

    now = datetime.now(UTC)
    first = (now - timedelta(days=240)).date()
    days = [first + timedelta(days=n) for n in range(0, 238, 2)]
    tables = {
        "enclosures": [
            {"enclosure": "B9", "name": "Mud turtles", "kind": "tank", "indoor": "true", "water_volume_l": "400", "surface_m2": "1.3"}
        ],
        "filters": [{"filter": "B9-F", "enclosure": "B9", "kind": "upflow"}],
        "filter_builds": [
            {"filter": "B9-F", "valid_from": first.isoformat(), "chamber_area_m2": "0.12", "void_height_mm": "100"}
        ],
        "food_items": [
            {"food_item": "pellet", "name": "Adult pellet", "food_class": "pellet",
             "moisture_percent": "8", "protein_percent": "40", "units": "scoop=26"}
        ],
        "feedings": [
            {"enclosure": "B9", "occurred_at": day.isoformat(), "food_item": "pellet", "offered_g": "6", "eaten": "all"} for day in days
        ],
    }  # fmt: skip
    report = import_tables(tables, now=now)
    assert report.is_good, report.lines()
    return Enclosure.objects.get(code="B9")


def figure(page: Any) -> tuple[int, int, int]:
    """Likely fill and its range, as the dashboard says them."""
    likely = int(re.sub(r"\D", "", page.locator(".verdict .figure strong").inner_text()))
    low, high = map(int, re.findall(r"\d+", page.locator(".verdict .figure p").inner_text().split("likely")[-1])[:2])
    return likely, low, high


def feed_words(page: Any) -> str:
    return page.locator("section[aria-labelledby=load]").inner_text()


def test_what_a_keeper_logs_changes_fill_range_and_bioload(
    open_page: Callable[..., Any], keeper: Any, tank: Enclosure
) -> None:
    page = open_page(keeper, "/enclosures/B9/")
    before, feed_before = figure(page), feed_words(page)
    assert before[2] - before[1] >= 15, "from feed alone the range must be wide"

    # a meal of five scoops: the bioload rises
    page.goto(page.url + "feedings/")
    page.locator("input[name^=amount_]").first.fill("5")
    page.locator("label.chip", has_text="scoop").first.click()
    page.locator("label.chip:has([name=eaten])").first.click()
    page.get_by_role("button", name="Save the meal").click()
    page.locator("#saved").wait_for()
    assert Feeding.objects.filter(lines__offered_g=130).count() == 1
    assert FilterOutlook.objects.get(filter__code="B9-F").is_stale, "a feeding only marks the outlook stale"

    # three readings of the rod: the answer is there at once
    page.goto(page.url.split("/enclosures/")[0] + "/filters/B9-F/soundings/")
    for number, depth in enumerate(("58", "60", "62"), 1):
        page.locator(f"[name=depth_{number}]").click()
        for key in depth:
            page.locator(f"[data-key='{key}']").click()
    assert "60 %" in page.locator("[data-say=fill]").inner_text().replace("\u00a0", " ")
    page.get_by_role("button", name="Save the sounding").click()
    page.locator("#saved").wait_for()
    assert [row.depth_mm for row in Sounding.objects.get().readings.all()] == [58, 60, 62]

    # a water test with its kit's basis said
    page.goto(page.url.split("/filters/")[0] + "/enclosures/B9/water-tests/")
    tan = page.locator("[data-analyte=tan]")
    tan.locator("input[inputmode]").first.fill("0.6")
    tan.locator("label.chip", has_text=re.compile("another kit, as N$")).click()
    page.get_by_role("button", name="Save the test").click()
    page.locator("#saved").wait_for()
    reading = WaterTest.objects.get().readings.get(analyte="tan")
    assert (reading.value, reading.expressed_as, reading.canonical) == (0.6, "N", 0.6)

    page.goto(page.url.split("/water-tests/")[0] + "/")
    after = figure(page)
    assert abs(after[0] - 60) <= 12, f"the rod read 60 %, the page says {after}"
    assert after[2] - after[1] < before[2] - before[1], "a sounding narrows the range"
    assert feed_words(page) != feed_before
    assert "0.60" in page.locator("section[aria-labelledby=water]").inner_text()


def test_a_sounding_too_deep_for_the_void_offers_the_slip_and_saves_only_what_can_be(
    open_page: Callable[..., Any], keeper: Any, tank: Enclosure
) -> None:
    page = open_page(keeper, "/filters/B9-F/soundings/")
    page.locator("[name=depth_1]").fill("610")
    ask = page.locator("[data-ask]")
    ask.wait_for(state="visible")
    ask.get_by_role("button").first.click()
    page.get_by_role("button", name="Save the sounding").click()
    page.locator("#saved").wait_for()
    assert Sounding.objects.get().readings.get().depth_mm == 61


def test_everything_is_reached_and_done_by_keyboard_alone(
    open_page: Callable[..., Any], keeper: Any, tank: Enclosure
) -> None:
    page = open_page(keeper, "/enclosures/B9/feedings/")
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('input[name^=amount_]')"):
            break
    else:
        pytest.fail("Tab never reached the amount")
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    page.locator("#saved").wait_for()
    assert Feeding.objects.filter(entered_by="K1").exists()


def test_the_supervisors_board_reads_the_new_answer(
    open_page: Callable[..., Any], supervisor: Any, tank: Enclosure
) -> None:
    page = open_page(supervisor, "/enclosures/B9/", has_touch=False, viewport={"width": 1440, "height": 900})
    likely = figure(page)[0]
    page.goto(page.url.split("/enclosures/")[0] + "/filters/")
    row = page.locator(".filter").filter(has_text="B9").inner_text()
    assert f"{likely}\u00a0%" in row or f"{likely} %" in row
    assert "Sure:" in row
    assert Filter.objects.get().code == "B9-F"
