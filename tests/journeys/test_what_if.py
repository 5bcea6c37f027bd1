"""From the enclosure's page to a tried change and back, on the tablet with a keyboard alone."""

from __future__ import annotations

import re
from typing import Any

import pytest

from enclosures.models import Enclosure, Filter, FilterOutlook
from tests.boards.pond import log_some_days, make_pond, make_turtles

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def tank(facility: Any) -> Filter:
    from django.utils import timezone

    today = timezone.localdate()
    each = make_pond(facility, indoor=True)
    Enclosure.objects.filter(pk=each.enclosure_id).update(litter_level="none")
    make_turtles(each.enclosure)
    log_some_days(each, n=30, until=today)
    return each


def typed_into(page: Any, label: str, text: str, *, most: int = 60) -> None:
    """Tab until the field with this label has the focus, then type."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.labels?.[0]?.textContent.trim()") == label:
            page.keyboard.type(text)
            return
    raise AssertionError(f"no Tab leads to {label}")


def reached(page: Any, name: str, *, most: int = 80) -> None:
    """Tab until what has the focus says this."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()").startswith(name):
            return
    raise AssertionError(f"no Tab leads to {name}")


def test_a_change_is_tried_with_the_keyboard_alone(open_page: Any, supervisor: Any, tank: Filter) -> None:
    page = open_page(supervisor, "/enclosures/P1/")
    assert page.get_by_text("Sludge per kg of dry feed").first.is_hidden()
    reached(page, "The numbers behind it")
    page.keyboard.press("Enter")
    page.get_by_text("Sludge per kg of dry feed").first.wait_for()
    page.evaluate("document.activeElement.blur()")
    reached(page, "Try a change")
    page.keyboard.press("Enter")
    page.wait_for_url("**/filters/P1-F/what-if/")
    kept = list(FilterOutlook.objects.values())

    typed_into(page, "Ration", "x2")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("ration_percent=x2"))
    assert page.evaluate("document.activeElement.className") == "problem"  # the focus is where it is told
    reached(page, "Ration")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.name") == "ration_percent"
    assert page.locator("[name=ration_percent]").input_value() == "x2"
    page.keyboard.press("Control+a")
    page.keyboard.type("50")
    page.keyboard.press("Enter")

    page.wait_for_url(re.compile("ration_percent=50"))
    assert page.locator(".what-if-lead").inner_text().endswith(("later.", "change.", "little.", "it."))
    page.locator("[data-figure=what-if-fill][data-drawn=true]").wait_for()
    assert page.locator(".future").count() == 2
    page.reload()  # the address holds it
    assert page.locator("[name=ration_percent]").input_value() == "50"
    assert list(FilterOutlook.objects.values()) == kept
    reached(page, "Back to P1")
    page.keyboard.press("Enter")
    page.wait_for_url("**/enclosures/P1/")
