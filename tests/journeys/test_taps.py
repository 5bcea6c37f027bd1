"""Taps and screens of the work of a round, counted with touch in a real browser, from the round page to saved and shown.

Every finger counts: chips, keys of the page's own pad, and keys of the tablet's keyboard where a form still needs it. The most allowed
is what the job asks (S3: six) or what this form took when it was last made better, so that nobody adds a tap unawares. `-rP` prints them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import Feeding, Measurement, Sounding, TestKit, WaterTest
from tests.actions.station import at, entered_on
from tests.boards.pond import make_pond
from tests.boards.walk import plan, settle_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
COUNT = "sessionStorage.taps ??= 0; addEventListener('pointerdown', () => { sessionStorage.taps++; }, true)"
STEPS = {"ph": [6, 6.5, 7, 7.5, 8], "tan": [0, 0.5, 1, 8], "nitrite": [0, 0.1, 0.5], "nitrate": [0, 10, 50]}
BASIS = {"ph": "", "tan": "NH3", "nitrite": "NO2", "nitrate": "NO3"}


@pytest.fixture
def pond(facility: Any) -> Any:
    """A pond with turtles and a plan, whose sounding and water test come again today; kits with colour steps."""
    pond = make_pond(facility)
    settle_in(pond.enclosure, *(f"BL-{n}" for n in range(101, 106)))
    plan(pond.enclosure, make_pellet_once(), from_on=timezone.localdate() - timedelta(days=30))
    for analyte, steps in STEPS.items():
        TestKit.objects.create(
            code=f"D-{analyte}", name="Drops", analyte=analyte, reports_as=BASIS[analyte], steps=steps, upper=steps[-1]
        )
    for days in (120, 80, 40):
        day = timezone.localdate() - timedelta(days=days)
        depths = [DepthGiven(depth_mm=30 - days / 10)]
        log_sounding(filter=pond, moment=at(day, 9, 0, facility), depths=depths, stamp=entered_on(day))
    for days in (21, 14, 7):
        day = timezone.localdate() - timedelta(days=days)
        ph = [ReadingGiven(analyte="ph", value=7.5, unit="pH")]
        log_water_test(enclosure=pond.enclosure, moment=at(day, 9, 0, facility), readings=ph, stamp=entered_on(day))
    return pond


def make_pellet_once() -> Any:
    from enclosures.models import FoodItem
    from tests.actions.station import make_pellet

    return FoodItem.objects.first() or make_pellet()


@dataclass
class Hand:
    """A finger on a tablet, which remembers how often it came down and how many screens it saw."""

    page: Any
    screens: int = 1
    typed: int = 0

    def tap(self, where: str, *, within: Any = None) -> None:
        (within or self.page).locator(where).first.tap()

    def keys(self, text: str) -> None:
        """On the page's own pad."""
        for key in text:
            self.tap(f"[data-key='{key}']")

    def type(self, text: str) -> None:
        """On the tablet's keyboard: each key is a tap that the page does not see."""
        self.page.keyboard.type(text)
        self.typed += len(text)

    def open(self, where: str) -> None:
        self.tap(where)
        self.page.locator("#form").wait_for()
        self.page.wait_for_load_state("networkidle")
        self.screens += 1

    def told(self, what: str) -> int:
        taps = int(self.page.evaluate("Number(sessionStorage.taps)")) + self.typed
        print(f"\n{what}: {taps} taps on {self.screens} screen{'s' if self.screens > 1 else ''}")
        return taps


@pytest.fixture
def hand(open_page: Callable[..., Any], keeper: Any, pond: Any) -> Hand:
    page = open_page(keeper, "/enclosures/")
    page.context.add_init_script(COUNT)
    page.goto(page.url.replace("/enclosures/", "/round/?slot=am"))
    page.wait_for_load_state("networkidle")
    return Hand(page)


def test_a_feeding_that_differs_takes_six_taps_at_most_and_no_other_screen(hand: Hand) -> None:
    """S3: half of it, some eaten, one refused."""
    row = hand.page.locator("#stop-P1")
    hand.tap(".different", within=row)
    hand.tap("[name=given][value='0.5']", within=row)
    hand.tap("[name=eaten][value=some]", within=row)
    hand.tap("[name=refused][value='BL-103']", within=row)
    hand.tap(".save", within=row)
    hand.page.locator("#stop-P1.is-done", has_text="BL-103").wait_for()
    assert hand.told("A feeding that differs") <= 5
    assert hand.screens == 1
    assert (Feeding.objects.get().refused, Feeding.objects.get().lines.get().eaten) == ("BL-103", "some")


def read_four(hand: Hand) -> None:
    for analyte, step in (("ph", "7.5"), ("tan", "> 8"), ("nitrite", "0.1"), ("nitrate", "10")):
        hand.tap(f"[data-analyte={analyte}] .steps [value='{step}']")


def test_four_analytes_by_colour_steps_take_one_tap_each(hand: Hand) -> None:
    """S5. The first time of a device the kits are chosen too; after that they are remembered."""
    hand.open("#stop-P1 .stop-acts a:has-text('Water test')")
    for analyte in STEPS:
        if hand.page.locator(f"[data-analyte={analyte}] .source:not([open])").count():
            hand.tap(f"[data-analyte={analyte}] summary")
        hand.tap(f"[data-analyte={analyte}] .source label:has-text('Drops')")
    read_four(hand)
    hand.tap("[data-save]")
    hand.page.locator("#saved").wait_for()
    assert hand.told("A water test of four analytes, kits chosen for the first time") <= 11
    words = hand.page.locator("#saved").inner_text()
    assert all(text in words for text in ("TAN", "NH₃", "Nitrate"))
    assert WaterTest.objects.get(readings__analyte="tan").readings.get(analyte="tan").qualifier == ">"

    hand.page.evaluate("sessionStorage.taps = 0")
    hand.screens = 1
    hand.page.goto(hand.page.url)
    read_four(hand)
    hand.tap("[data-save]")
    hand.page.locator("#saved").wait_for()
    assert hand.told("A water test of four analytes, kits known (from the form)") <= 5


def test_a_sounding_of_three_readings_needs_no_key_between_them(hand: Hand) -> None:
    """S7: two digits each; no third can follow, since the void is 150 mm."""
    hand.open("#stop-P1 .stop-acts a:has-text('Sounding')")
    hand.keys("585961")
    assert [field.input_value() for field in hand.page.locator("[data-keyed]").all()] == ["58", "59", "61"]
    assert "40 %" in hand.page.locator("[data-say=fill]").inner_text().replace("\u00a0", " "), "the fill at once"
    hand.tap("[data-save]")
    hand.page.locator("#saved").wait_for()
    assert hand.told("A sounding of three readings") <= 8
    assert hand.screens == 2
    assert [row.depth_mm for row in Sounding.objects.latest().readings.all()] == [58, 59, 61]


def test_three_digits_a_point_and_a_rubbed_out_key_go_where_they_are_meant(hand: Hand) -> None:
    hand.open("#stop-P1 .stop-acts a:has-text('Sounding')")
    fields = hand.page.locator("[data-keyed]")
    hand.keys("116")
    hand.keys("58")
    hand.tap("[data-key=back]")  # it was 57
    hand.keys("7")
    hand.keys("59.5")
    assert [field.input_value() for field in fields.all()] == ["116", "57", "59.5"]
    hand.tap("[data-key=next]")
    hand.tap("[data-key=clear]")
    hand.keys("58.5")
    assert [field.input_value() for field in fields.all()] == ["58.5", "57", "59.5"]


def test_next_after_a_jump_or_after_the_last_reading_spoils_none(hand: Hand) -> None:
    """A thumb that is used to Next taps it though the page has gone on by itself."""
    hand.open("#stop-P1 .stop-acts a:has-text('Sounding')")
    fields = hand.page.locator("[data-keyed]")
    for depth in ("58", "59", "61"):
        hand.keys(depth)
        hand.tap("[data-key=next]")
    assert [field.input_value() for field in fields.all()] == ["58", "59", "61"]
    hand.keys("57")
    assert [field.input_value() for field in fields.all()] == ["57", "59", "61"], "a figure that stands is begun anew"


def test_a_second_reading_of_two_digits_in_a_deep_void_still_has_its_next_key(hand: Hand) -> None:
    """12 may become 120 in a void of 150 mm, so nothing jumps."""
    hand.open("#stop-P1 .stop-acts a:has-text('Sounding')")
    hand.keys("12")
    hand.tap("[data-key=next]")
    hand.keys("13")
    assert [field.input_value() for field in hand.page.locator("[data-keyed]").all()] == ["12", "13", ""]


def test_five_animals_are_weighed_with_their_digits_and_one_next_each(hand: Hand) -> None:
    """S6: the keys and Next, nothing else; each shows its last mass and its change."""
    page = hand.page
    page.goto(page.url.split("/round/")[0] + "/enclosures/P1/weights/")
    page.evaluate("sessionStorage.taps = 0")
    for n, mass in enumerate(("238", "241", "229", "250", "233")):
        if n:
            hand.tap("[data-key=next]")
        hand.keys(mass)
    hand.tap("[data-save]")
    page.locator("#saved").wait_for()
    assert hand.told("Five animals weighed (from the form)") <= 5 * 3 + 4 + 1
    assert sorted(Measurement.objects.values_list("mass_g", flat=True)) == [229, 233, 238, 241, 250]
