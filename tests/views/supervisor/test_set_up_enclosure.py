from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.models import Enclosure, Filter, FilterBuild

PLACE = {
    "code": "P5", "name": "New pond", "kind": "pond", "indoor": "0", "water_volume_l": "3000", "surface_m2": "6",
    "depth_mm": "800", "litter_level": "near", "round_order": "5",
}  # fmt: skip
BUILT = {
    "filter_kind": "upflow", "chamber_length_mm": "700", "chamber_width_mm": "450", "void_height_mm": "180",
    "usable_percent": "80", "due_percent": "70", "layer_1_material": "lava", "layer_1_from_mm": "40",
    "layer_1_to_mm": "80", "layer_1_depth_mm": "150", "baseline_flow_l_per_h": "1600", "planned_feed_g": "12",
}  # fmt: skip


def test_a_builder_sets_up_a_pond_with_its_filter_as_built(client: Any, builder: Any) -> None:
    client.force_login(builder)
    answer = client.post("/enclosures/new/", {**PLACE, **BUILT, "pump_code": "pump 9", "pump_rated_l_per_h": "2400"})
    assert answer.status_code == 302, answer.context["built"].errors
    build = FilterBuild.objects.get()
    assert build.filter.code == "P5-F"
    assert build.chamber_area_m2 == pytest.approx(0.315)
    assert build.usable_void_l == pytest.approx(0.315 * 180 * 0.8)
    assert build.layers.get().grade_max_mm == 80
    assert build.filter.pump_fittings.get().pump.code == "pump 9"
    assert not Enclosure.objects.get().indoor


def test_other_units_are_understood_where_they_are_written(client: Any, builder: Any) -> None:
    client.force_login(builder)
    client.post("/enclosures/new/", {**PLACE, **BUILT, "water_volume_l": "40 us gal", "void_height_mm": "2 in"})
    assert Enclosure.objects.get().water_volume_l == pytest.approx(151.4, abs=0.1)
    assert FilterBuild.objects.get().void_height_mm == pytest.approx(50.8)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"void_height_mm": "0"}, "0\u00a0mm cannot be; it is from 10\u00a0mm to 2\u202f000\u00a0mm."),
        ({"void_height_mm": ""}, "Give the height of the void"),
        ({"chamber_width_mm": ""}, "Give length and width, or the area"),
        ({"water_volume_l": "plenty"}, "number"),
        ({"code": "P 5"}, "no spaces"),
        ({"water_volume_l": ""}, "Say how much water it holds"),
        ({"baseline_flow_l_per_h": "600 gph"}, "“gph” can mean two things. Write “600 us gal/h” or “600 imp gal/h”."),
        ({"baseline_flow_l_per_h": "1,600"}, "“1,600” can be read two ways. Write “1600” or “1.6”."),
        ({"layer_1_depth_mm": ""}, "Say how deep layer 1 is."),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_typed_is_lost(
    client: Any, builder: Any, changed: dict[str, str], sentence: str
) -> None:
    client.force_login(builder)
    answer = client.post("/enclosures/new/", {**PLACE, **BUILT, **changed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert 'value="New pond"' in page
    assert 'value="700"' in page
    assert not Enclosure.objects.exists()
    assert not Filter.objects.exists()


def test_the_drawing_and_the_first_forecast_answer_while_typing(client: Any, builder: Any) -> None:
    client.force_login(builder)
    drawn = client.post("/filters/preview/", {**PLACE, **BUILT, "after": "12"}).content.decode()
    assert "<svg" in drawn
    assert "Usable void" in drawn
    assert "would want emptying between" in drawn
    assert "no rod has been in it yet" in drawn
    assert not Enclosure.objects.exists()


def test_half_typed_figures_leave_a_sentence_instead_of_a_broken_drawing(client: Any, builder: Any) -> None:
    client.force_login(builder)
    drawn = client.post("/filters/preview/", {**PLACE, **BUILT, "void_height_mm": "1e"}).content.decode()
    assert "<svg" not in drawn
    assert "Type the chamber" in drawn


def test_keepers_and_strangers_cannot_set_up_a_place(client: Any, keeper: Any, stranger: Any) -> None:
    for person in (keeper, stranger):
        client.force_login(person)
        assert client.get("/enclosures/new/").status_code == 403
        assert client.post("/filters/preview/", BUILT).status_code == 403


def test_a_raised_void_is_a_new_as_built_and_the_old_one_stands(client: Any, builder: Any) -> None:
    client.force_login(builder)
    client.post("/enclosures/new/", {**PLACE, **BUILT, "commissioned_on": "2024-05-01"})
    page = client.get("/filters/P5-F/builds/new/").content.decode()
    assert 'value="700"' in page
    figures = {name: value for name, value in BUILT.items() if name not in {"filter_kind"}}
    answer = client.post(
        "/filters/P5-F/builds/new/",
        {**figures, "void_height_mm": "240", "valid_from": "2025-03-29", "reason": "void raised"},
    )
    assert answer.status_code == 302
    heights = {build.valid_from: build.void_height_mm for build in FilterBuild.objects.all()}
    assert heights == {date(2024, 5, 1): 180, date(2025, 3, 29): 240}


def test_faults_of_place_and_filter_stand_in_one_list(client: Any, builder: Any) -> None:
    client.force_login(builder)
    page = client.post("/enclosures/new/", {**PLACE, **BUILT, "code": "", "void_height_mm": ""}).content.decode()
    assert page.count('class="problem"') == 1
    assert "2 things need you" in page
    assert "This field is required" not in page


def test_every_figure_of_a_layer_shows_its_unit(client: Any, builder: Any) -> None:
    client.force_login(builder)
    page = client.get("/enclosures/new/").content.decode()
    layer = page.split('aria-label="Layer 1"')[1].split('aria-label="Layer 2"')[0]
    assert layer.count('<span class="unit">mm</span>') == 3


def test_a_mistyped_as_built_of_the_same_day_is_put_right_and_says_what_it_was(client: Any, builder: Any) -> None:
    client.force_login(builder)
    client.post("/enclosures/new/", {**PLACE, **BUILT, "void_height_mm": "108", "commissioned_on": "2024-05-01"})
    figures = {name: value for name, value in BUILT.items() if name not in {"filter_kind"}}
    answer = client.post(
        "/filters/P5-F/builds/new/", {**figures, "valid_from": "2024-05-01", "reason": "digits swapped"}
    )
    assert answer.status_code == 302
    build = FilterBuild.objects.get()
    assert build.void_height_mm == 180
    assert "was 108" in build.reason
    assert "digits swapped" in build.reason
