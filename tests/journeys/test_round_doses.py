"""Doses on the round with wet hands: taps counted, the second one asked about, the network gone and back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from enclosures.models import Dose, Feeding
from tests.actions.station import make_pellet
from tests.boards.courses import prescribed
from tests.boards.walk import lived_in, plan
from tests.views.pages import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
COUNT_TAPS = "window.taps = 0; addEventListener('pointerdown', () => { window.taps += 1; }, true)"
DOSE = "#dose-E2-101-t1"


@pytest.fixture
def walk(open_page: Callable[..., Any], facility: Any, keeper: Any) -> Any:
    """Two enclosures; the second is quarantine, and one in it gets a paste on both rounds of the day."""
    pellet = make_pellet()
    for n, kind in ((1, "tank"), (2, "quarantine")):
        place = lived_in(facility, f"E{n}", f"E{n}-101", f"E{n}-102", round_order=n, kind=kind, indoor=True)
        plan(place, pellet)
    prescribed("E2-101", from_on=timezone.localdate(), every_days=1, slots="am pm", handling="Gloves.")
    page = open_page(keeper, "/round/")
    page.wait_for_function("() => window.sendOutbox !== undefined")
    page.evaluate(COUNT_TAPS)
    return page


def test_a_dose_as_prescribed_takes_one_tap_and_closes_no_other_row(walk: Any) -> None:
    assert walk.locator(f"{DOSE} .asked").is_visible()  # as instructions are, by the same class
    walk.locator("#stop-E2 .different").tap()
    walk.locator("#stop-E2 [name=odd]").fill("Sheds")
    walk.locator(f"{DOSE} .as-planned").tap()
    walk.locator(f"{DOSE}.is-done").wait_for()
    assert walk.evaluate("window.taps") == 2  # one of them opened the other row
    assert "given, 0.5" in walk.locator(DOSE).inner_text()
    assert walk.locator("#stop-E2 [name=odd]").input_value() == "Sheds"
    assert "dose" not in walk.locator("#left-to-do").inner_text()
    assert list(Dose.objects.values_list("outcome", "amount", "entered_by")) == [("given", 0.5, "K1")]
    assert not Feeding.objects.exists()


def test_not_given_takes_three_taps(walk: Any) -> None:
    walk.locator(f"{DOSE} .different").tap()
    walk.locator(f"{DOSE} [name=why_not][value='could not be caught']").tap()
    walk.locator(f"{DOSE} .save").tap()
    walk.locator(f"{DOSE}.is-done").wait_for()
    assert walk.evaluate("window.taps") == 3
    assert (Dose.objects.get().outcome, Dose.objects.get().why_not) == ("not_given", "could not be caught")


def test_a_double_tap_gives_one_dose(walk: Any) -> None:
    box = walk.locator(f"{DOSE} .as-planned").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for wait in (0, 120, 250):
        walk.wait_for_timeout(wait)
        walk.touchscreen.tap(x, y)
    walk.locator(f"{DOSE}.is-done").wait_for()
    walk.wait_for_timeout(800)
    assert Dose.all_rows.count() == 1


def test_without_network_the_dose_is_kept_and_sent_once(walk: Any) -> None:
    walk.route("**/device/token/", lambda route: route.fulfill(status=200, body="Welcome to the guest network"))
    walk.locator(f"{DOSE} .as-planned").tap()
    walk.locator(f"{DOSE}.is-kept").wait_for()
    assert "kept on this tablet" in walk.locator(DOSE).inner_text()
    assert not walk.locator(f"{DOSE} .as-planned").is_visible()
    assert Dose.all_rows.count() == 0
    walk.unroute("**/device/token/")
    walk.evaluate("sendOutbox.now()")
    walk.locator(f"{DOSE}.is-done").wait_for()
    walk.evaluate("sendOutbox.now()")
    assert walk.evaluate("outbox.list().then((items) => items.length)") == 0
    assert Dose.all_rows.count() == 1


def test_a_dose_noted_meanwhile_by_another_is_asked_about(walk: Any, other_keeper: Any) -> None:
    planned = walk.locator(f"{DOSE} form.quick [name=planned]").input_value()
    said = {"planned": planned, "slot": planned[-2:]}
    path = "/round/E2/doses/E2-101-t1/"
    assert signed_in(other_keeper).post(path, said, headers={"HX-Request": "true"}).status_code == 201
    walk.locator(f"{DOSE} .as-planned").tap()
    walk.locator(f"{DOSE} .ask").wait_for()
    assert "by K2. A second dose?" in walk.locator(f"{DOSE} .ask").inner_text()
    assert Dose.objects.count() == 1
    walk.locator(DOSE).get_by_role("link", name="No, leave it").tap()
    walk.locator(f"{DOSE}.is-done").wait_for()
    assert Dose.all_rows.count() == 1
    walk.wait_for_function("() => window.outbox !== undefined")
    assert walk.evaluate("outbox.list().then((items) => items.length)") == 0


def test_the_second_dose_is_saved_when_it_was_given(walk: Any, other_keeper: Any) -> None:
    planned = walk.locator(f"{DOSE} form.quick [name=planned]").input_value()
    said = {"planned": planned, "slot": planned[-2:]}
    signed_in(other_keeper).post("/round/E2/doses/E2-101-t1/", said, headers={"HX-Request": "true"})
    walk.locator(f"{DOSE} .as-planned").tap()
    walk.locator(DOSE).get_by_role("button", name="Yes, a second dose was given").tap()
    walk.locator(f"{DOSE}.is-done").wait_for()
    assert Dose.objects.count() == 2


def test_nothing_to_hit_is_under_60_px_and_it_fits_a_phone(walk: Any) -> None:
    walk.locator(f"{DOSE} .different").tap()
    fields = f"{DOSE} :is(.chip span, .with-unit, .figure > input, button)"
    small = """(fields) => [...document.querySelectorAll(fields)].map((el) => [el.getBoundingClientRect().height, el])
      .filter(([height]) => height && height < 60).map(([height, el]) => `${height} ${el.outerHTML.slice(0, 80)}`)"""
    assert walk.evaluate(small, fields) == []
    walk.set_viewport_size({"width": 320, "height": 700})
    assert walk.evaluate("document.documentElement.scrollWidth") <= 320
