from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.models import FilterOutlook, Sounding
from tests.actions.station import make_enclosure, make_filter
from tests.conftest import TODAY
from tests.helpers import words_of

PATH = "/filters/P1-F/soundings/"


def text(answer: Any) -> str:
    return words_of(answer.content.decode()).replace("\u00a0", " ")


def test_three_readings_are_saved_and_the_answer_shows_the_new_fill_at_once(
    pond_filter: Any, keeper: Any, post: Any
) -> None:
    data = {"depth_1": "131", "depth_2": "134", "depth_3": "129", "odour": "2", "pump_off_min": "10", "method": "rod"}
    answer = post(keeper, PATH, data)
    assert answer.status_code == 201
    sounding = Sounding.objects.get()
    assert [reading.depth_mm for reading in sounding.readings.all()] == [131, 134, 129]
    assert (sounding.odour, sounding.pump_off_min, sounding.method) == (2, 10, "rod")
    outlook = FilterOutlook.objects.get(filter=pond_filter)
    assert (outlook.as_of, outlook.is_stale) == (TODAY, False)
    page = text(answer)
    assert "Sounding 131, 134, 129 mm; 88 % of the void" in page
    assert f"{outlook.fill_p50 * 100:.0f} %" in page or f"{outlook.fill_p50 * 100 + 0.5:.0f} %" in page
    assert "likely" in page


def test_a_reading_deeper_than_the_void_asks_for_a_tenth_or_the_grid(pond_filter: Any, keeper: Any, post: Any) -> None:
    data = {"depth_1": "300", "depth_2": "31", "entry": str(uuid.uuid4())}
    asked = post(keeper, PATH, data)
    page = asked.content.decode()
    assert asked.status_code == 422
    assert "300 mm is more than the void, which is 150 mm high. Did you mean 30 mm?" in text(asked)
    assert 'value="depth_1|use|30"' in page
    assert 'value="depth_1|use|≥ 150"' in page
    assert "depth_1|keep" not in page, "a rod cannot go through the grid"
    assert 'value="300"' in page
    assert 'value="31"' in page
    assert Sounding.all_rows.count() == 0
    assert post(keeper, PATH, data | {"answer": "depth_1|use|30"}).status_code == 201
    sounding = Sounding.objects.get()
    assert [reading.depth_mm for reading in sounding.readings.all()] == [30, 31]
    assert sounding.flags == ["UNIT"]
    assert "typed 300" in sounding.note


@pytest.mark.parametrize("typed", ["≥ 150", ">= 150", "> 150", "≥150"])
def test_a_rod_at_the_grid_is_a_reading_of_its_own(pond_filter: Any, keeper: Any, post: Any, typed: str) -> None:
    answer = post(keeper, PATH, {"depth_1": typed})
    assert answer.status_code == 201
    reading = Sounding.objects.get().readings.get()
    assert (reading.depth_mm, reading.qualifier) == (150, ">=")
    assert "full or more" in text(answer)


def test_below_the_mark_is_a_reading_of_its_own(pond_filter: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, {"depth_1": "≤ 20"}).status_code == 201
    reading = Sounding.objects.get().readings.get()
    assert (reading.depth_mm, reading.qualifier) == (20, "<=")


def test_a_reading_as_deep_as_the_void_is_asked_about(pond_filter: Any, keeper: Any, post: Any) -> None:
    asked = post(keeper, PATH, {"depth_1": "150"})
    assert asked.status_code == 422
    assert "Did the rod stop at the grid?" in text(asked)
    kept = post(keeper, PATH, {"depth_1": "150", "answer": "depth_1|keep|150"})
    assert kept.status_code == 201
    assert Sounding.objects.get().readings.get().qualifier == ""


def test_a_reading_in_centimetres_is_turned_into_millimetres_and_told(pond_filter: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, {"depth_1": "8.3 cm"}).status_code == 201
    sounding = Sounding.objects.get()
    assert sounding.readings.get().depth_mm == 83
    assert sounding.flags == ["UNIT"]
    assert "8.3 cm" in sounding.note


def test_a_reading_far_from_the_last_is_asked_about_unless_it_was_emptied_since(
    pond_filter: Any, keeper: Any, post: Any
) -> None:
    earlier = {"when": "earlier", "when_on": "2025-08-30"}
    assert post(keeper, PATH, {"depth_1": "120", **earlier}).status_code == 201
    asked = post(keeper, PATH, {"depth_1": "20"})
    assert asked.status_code == 422
    assert "Last time it was 120 mm." in text(asked)
    kept = {"depth_1": "20", "answer": "depth_1|keep|20"}
    assert post(keeper, PATH, kept).status_code == 201
    assert Sounding.objects.get(occurred_on=TODAY).flags == ["OUT"]


def test_the_form_shows_the_void_to_scale_and_the_last_time(
    pond_filter: Any, keeper: Any, post: Any, look: Any
) -> None:
    post(keeper, PATH, {"depth_1": "120", "pump_off_min": "10", "when": "earlier", "when_on": "2025-08-30"})
    page = look(keeper, PATH)
    assert 'data-void="150"' in page
    assert 'data-due="0.7"' in page
    assert "Last time 120 mm, on 30 Aug." in words_of(page).replace("\u00a0", " ")
    assert "Pump off 10 min, as last time" in words_of(page).replace("\u00a0", " ")
    assert "Unplug first" in page


def test_a_sounding_before_the_filter_was_built_has_no_void_to_be_of(pond_filter: Any, keeper: Any, post: Any) -> None:
    answer = post(keeper, PATH, {"depth_1": "50", "when": "earlier", "when_on": "2023-12-31"})
    assert answer.status_code == 422
    assert "first built on" in text(answer)
    assert 'value="50"' in answer.content.decode()


def test_no_reading_at_all_is_asked_for(pond_filter: Any, keeper: Any, post: Any) -> None:
    assert "Enter at least one reading." in post(keeper, PATH, {"odour": "1"}).content.decode()


def test_a_depth_that_cannot_be_is_refused(pond_filter: Any, keeper: Any, post: Any) -> None:
    for depth in ("-5", "twelve", "1e3"):
        answer = post(keeper, PATH, {"depth_1": depth})
        assert answer.status_code == 422, depth
        assert f'value="{depth}"' in answer.content.decode()


def test_a_filter_without_a_void_says_so(facility: Any, keeper: Any, look: Any, post: Any) -> None:
    filter = make_filter(make_enclosure(facility, "Q1"))
    filter.builds.all().delete()
    assert "No void is on record yet" in look(keeper, "/filters/Q1-F/soundings/")
    assert "no as-built figures" in text(post(keeper, "/filters/Q1-F/soundings/", {"depth_1": "20"}))
