from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from enclosures.figures.section import Baffle, DrawnLayer, FilterSection, section_svg
from enclosures.forecast.inputs import Quantiles
from tests.figures.filters_drawn import DEMO, SVG, description, ids, parsed, words

SIZES = ("thumb", "card", "print", "pipe")
P1 = DEMO[0]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("section", DEMO, ids=lambda f: f.code)
def test_section_is_valid_xml_with_title_and_description(section, size):
    svg = section_svg(section, size)
    root = parsed(svg)
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.attrib["aria-labelledby"].split() == [title.attrib["id"], desc.attrib["id"]]
    assert title.text == f"{section.code}, side section"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("section", DEMO, ids=lambda f: f.code)
def test_section_has_no_style_attribute_and_every_reference_has_its_target(section, size):
    svg = section_svg(section, size)
    assert "style=" not in svg
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids(svg))


def test_section_stays_small_enough_to_repeat_on_a_list():
    assert all(len(section_svg(section, "thumb")) < 3500 for section in DEMO)
    assert all(len(section_svg(section, "print")) < 12_000 for section in DEMO)


def test_section_draws_the_same_filter_with_the_same_stones():
    assert section_svg(P1, "print") == section_svg(replace(P1), "print")


def test_section_prefix_keeps_ids_apart_on_one_page():
    first, second = ids(section_svg(P1, "card")), ids(section_svg(P1, "card", prefix="before-"))
    assert set(first).isdisjoint(second)
    assert len(first) == len(set(first))


def test_section_codes_that_differ_only_in_odd_characters_get_different_ids():
    assert set(ids(section_svg(replace(P1, code="P 1"), "card"))).isdisjoint(
        ids(section_svg(replace(P1, code="P-1"), "card"))
    )


def test_section_escapes_names_and_drops_what_xml_forbids():
    svg = section_svg(replace(P1, code="A<&\"'\x00\x0bB"), "card")
    assert parsed(svg).find(f"{SVG}title").text == "A<&\"'B, side section"


def test_section_says_range_and_due_line_in_its_description():
    assert description(section_svg(P1, "print")).endswith(
        "Sludge about 132 mm deep, 88 % of the void, likely between 75 % and 103 %; due at 70 %."
    )


def test_section_draws_both_axes_to_one_scale():
    """900 mm wide and 150 mm high must stay 6 : 1 on the sheet."""
    void = next(r for r in parsed(section_svg(P1, "print")).iter(f"{SVG}rect") if r.attrib.get("class") == "s-void")
    assert float(void.attrib["width"]) / float(void.attrib["height"]) == pytest.approx(900 / 150, rel=0.01)


def test_section_draws_due_line_and_sludge_at_their_share_of_the_void():
    root = parsed(section_svg(replace(P1, sludge=Quantiles(p10=0.5, p50=0.5, p90=0.5)), "print"))
    by_class = {e.attrib.get("class"): e for e in root.iter()}
    void = by_class["s-void"]
    top, height = float(void.attrib["y"]), float(void.attrib["height"])
    due_y = float(re.match(r"M[\d.]+ ([\d.]+)H", by_class["s-due"].attrib["d"])[1])
    assert (top + height - due_y) / height == pytest.approx(0.70, abs=0.01)
    sludge_y = float(re.match(r"M[\d.]+ ([\d.]+)", by_class["s-sludge"].attrib["d"])[1])
    assert (top + height - sludge_y) / height == pytest.approx(0.50, abs=0.02)


def test_section_with_unknown_depth_draws_open_water_and_says_so():
    svg = section_svg(replace(P1, sludge=None), "print")
    assert "s-sludge" not in svg
    assert "depth not known" in words(svg)
    assert "is not known" in description(svg)


def test_section_without_media_on_record_draws_an_empty_bed_and_says_so():
    svg = section_svg(replace(P1, layers=()), "print")
    assert "media not recorded" in words(svg)
    assert "s-fine" not in svg
    assert "s-coarse" not in svg


def test_section_without_a_pipe_on_record_draws_none():
    svg = section_svg(replace(P1, pipe_bore_mm=None), "print")
    assert 's-pipe"' not in svg
    assert "cleanout pipe" not in words(svg)
    assert "No cleanout pipe is recorded." in description(svg)


def test_section_width_comes_from_the_area_when_not_recorded_and_is_called_about():
    """A chamber of 0.45 m2 (900 x 500 mm, the invented P1): sqrt x 1.3 is 872 mm."""
    svg = section_svg(FilterSection(code="N", void_height_mm=150, chamber_area_m2=0.45), "print")
    assert "about 872 mm" in words(svg)


def test_section_fill_over_one_rises_into_the_grid_but_not_through_the_bed():
    root = parsed(section_svg(replace(P1, sludge=Quantiles(p10=2.0, p50=3.0, p90=5.0)), "print"))
    by_class = {e.attrib.get("class"): e for e in root.iter()}
    void, sludge = by_class["s-void"], by_class["s-sludge"]
    over = float(void.attrib["y"]) - float(sludge.attrib["y"])
    assert 0 < over < 0.2 * float(void.attrib["height"])


def test_section_measured_depth_is_drawn_dark_throughout():
    svg = section_svg(replace(P1, sludge=Quantiles(p10=0.8, p50=0.8, p90=0.8)), "print")
    assert "-h)" not in svg  # no hatching
    assert "sludge 120 mm, measured" in words(svg)


def test_section_pipe_view_carries_what_a_script_needs_to_move_the_rod():
    root = parsed(section_svg(P1, "pipe"))
    assert float(root.attrib["data-void"]) == 150
    assert float(root.attrib["data-due"]) == 0.7
    assert float(root.attrib["data-scale"]) > 0
    assert sum("data-rod" in e.attrib for e in root.iter()) == 1
    assert sum("data-sludge" in e.attrib for e in root.iter()) == 1


def test_section_draws_baffles_and_leaves_out_a_weir_that_is_not_there():
    with_baffle = section_svg(replace(P1, baffles=(Baffle(at=0.1, from_mm=0, to_mm=500),)), "print")
    assert "s-baffle" in with_baffle
    assert "baffle" in words(with_baffle)
    assert "weir" not in words(section_svg(replace(P1, has_weir=False), "print"))


def test_section_labels_do_not_touch_each_other():
    layers = tuple(DrawnLayer(depth_mm=30, grade_mm=(5, 10), material="gravel") for _ in range(12))
    root = parsed(section_svg(replace(P1, width_mm=6000, layers=layers), "print"))
    left = max(float(t.attrib["x"]) for t in root.iter(f"{SVG}text"))
    heights = sorted(float(t.attrib["y"]) for t in root.iter(f"{SVG}text") if float(t.attrib["x"]) == left)
    assert min(b - a for a, b in pairwise(heights)) >= 15.5


length = st.floats(min_value=0.5, max_value=20_000, allow_nan=False)
share = st.floats(min_value=0.05, max_value=1.0)
fill = st.floats(min_value=-0.2, max_value=4.0)
layers = st.builds(
    DrawnLayer,
    depth_mm=length,
    grade_mm=st.none() | st.tuples(st.floats(0.1, 500), st.floats(0.1, 500)),
    material=st.sampled_from(["lava", "gravel", "plastic", "mat", "soil", "sand", "other", "π & <b>"]),
)
sections = st.builds(
    FilterSection,
    code=st.text(min_size=1, max_size=12),
    void_height_mm=length,
    width_mm=st.none() | length,
    chamber_area_m2=st.none() | st.floats(0.005, 50),
    layers=st.lists(layers, max_size=4).map(tuple),
    water_over_mm=st.none() | st.floats(0, 3000),
    pipe_bore_mm=st.none() | st.floats(5, 600),
    pipe_top_mm=st.none() | st.floats(0, 3000),
    head_mm=st.none() | st.floats(-50, 2000),
    due_fill=st.floats(0.3, 1.0),
    sludge=st.none() | st.builds(Quantiles, p10=fill, p50=fill, p90=fill),
    pipe_at=share,
    has_weir=st.booleans(),
    returns_to=st.text(max_size=12),
    baffles=st.lists(st.builds(Baffle, at=share, from_mm=length, to_mm=length), max_size=2).map(tuple),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(section=sections, size=st.sampled_from(SIZES))
def test_section_never_fails_for_positive_geometry_and_is_always_well_formed(section, size):
    svg = section_svg(section, size)
    root = parsed(svg)
    found = ids(svg)
    assert len(found) == len(set(found))
    assert "style" not in {name for element in root.iter() for name in element.attrib}
    assert "nan" not in re.sub(r"<(title|desc|text)[^>]*>[^<]*</\1>", "", svg.lower())
    for rect in root.iter(f"{SVG}rect"):
        assert float(rect.attrib["width"]) >= 0
        assert float(rect.attrib["height"]) >= 0
