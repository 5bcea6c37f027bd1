from __future__ import annotations

from typing import Any

import pytest

from enclosures.models import FlowCheck
from tests.helpers import words_of

PATH = "/filters/P1-F/flow-checks/"


def text(answer: Any) -> str:
    return words_of(answer.content.decode()).replace("\u00a0", " ").replace("\u202f", " ")


def test_a_bucket_and_a_watch_give_the_flow_and_its_share_of_the_baseline(
    pond_filter: Any, keeper: Any, post: Any
) -> None:
    """10 L in 20 s is 1 800 L/h, 75 % of 2 400."""
    answer = post(keeper, PATH, {"litres": "10", "seconds": "20"})
    assert answer.status_code == 201
    check = FlowCheck.objects.get()
    assert (check.litres, check.seconds, check.flow_l_per_h) == (10, 20, 1800)
    assert "75 % of the baseline, 2 400 L/h." in text(answer)


def test_the_bucket_is_remembered(pond_filter: Any, keeper: Any, post: Any, look: Any) -> None:
    post(keeper, PATH, {"litres": "12", "seconds": "20"})
    assert 'name="litres" value="12"' in look(keeper, PATH)


def test_a_remembered_bucket_alone_is_no_reading(pond_filter: Any, keeper: Any, post: Any) -> None:
    post(keeper, PATH, {"litres": "12", "flow_l_per_h": "1900"})
    check = FlowCheck.objects.get()
    assert (check.litres, check.flow_l_per_h) == (None, 1900)
    assert "Enter at least one figure." in text(post(keeper, PATH, {"litres": "12"}))
    assert "How big is the bucket?" in text(post(keeper, PATH, {"seconds": "20"}))


@pytest.mark.parametrize(
    ("typed", "flow"), [("1 900", 1900), ("30 L/min", 1800), ("1.9 m3/h", 1900), ("500 us gal/h", 1893)]
)
def test_flow_in_other_units_is_converted_and_told(
    pond_filter: Any, keeper: Any, post: Any, typed: str, flow: float
) -> None:
    """A US gallon is 3.785411784 L exactly."""
    assert post(keeper, PATH, {"flow_l_per_h": typed}).status_code == 201
    check = FlowCheck.objects.get()
    assert check.flow_l_per_h == pytest.approx(flow, rel=1e-3)
    assert ("UNIT" in check.flags) == (not typed.startswith("1 900"))


def test_gallons_without_saying_which_are_asked_about(pond_filter: Any, keeper: Any, post: Any) -> None:
    page = post(keeper, PATH, {"flow_l_per_h": "500 gph"}).content.decode()
    assert 'value="flow_l_per_h|use|500 us gal/h"' in page
    assert 'value="flow_l_per_h|use|500 imp gal/h"' in page


def test_a_flow_far_from_the_last_is_asked_about(pond_filter: Any, keeper: Any, post: Any) -> None:
    post(keeper, PATH, {"flow_l_per_h": "2300", "when": "earlier", "when_on": "2025-09-27"})
    asked = post(keeper, PATH, {"flow_l_per_h": "230"})
    assert asked.status_code == 422
    assert "Did you mean 2 300 L/h?" in text(asked)
    bucket = post(keeper, PATH, {"litres": "10", "seconds": "150"})
    assert bucket.status_code == 422
    page = bucket.content.decode()
    assert "seconds|keep|150" in page
    assert "seconds|use" not in page, "a flow is not what the field of seconds means"


def test_levels_may_be_below_the_mark_and_a_bad_smell_is_answered(pond_filter: Any, keeper: Any, post: Any) -> None:
    answer = post(
        keeper, PATH, {"level_over_media_mm": "−7", "head_difference_mm": "22", "odour": "3", "return_water": "bits"}
    )
    assert answer.status_code == 201
    check = FlowCheck.objects.get()
    assert (check.level_over_media_mm, check.head_difference_mm, check.odour, check.return_water) == (-7, 22, 3, "bits")
    assert "Step back and air it" in text(answer)


@pytest.mark.parametrize(
    "data", [{"flow_l_per_h": "-5"}, {"litres": "10", "seconds": "0"}, {"head_difference_mm": "9999"}]
)
def test_what_cannot_flow_is_refused(pond_filter: Any, keeper: Any, post: Any, data: dict[str, str]) -> None:
    assert post(keeper, PATH, data).status_code == 422
    assert FlowCheck.all_rows.count() == 0
