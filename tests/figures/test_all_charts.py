"""What every chart keeps to: SVG traces only, no upload button, colours by name, few points, plain JSON."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path

import plotly.graph_objects as go
import pytest

from enclosures.figures.feed_load import feed_load, weeks_of
from enclosures.figures.growth_curve import WeightMark, growth_curve
from enclosures.figures.theme import MOST_POINTS, date_ticks, decimated
from enclosures.figures.void_fill import void_fill
from enclosures.figures.water_tests import WaterMark, water_tests
from enclosures.figures.what_if_fill import what_if_fill
from tests.figures.charts import CLEANOUTS, READINGS, RESTS, TODAY, trace

LONG = [TODAY - timedelta(days=i) for i in range(3000, 0, -1)]
LATER = TODAY + timedelta(days=90)
FIGURES = {
    "void fill": lambda: void_fill(
        trace(n_behind=2000), readings=READINGS, cleanouts=CLEANOUTS, rests=RESTS, today=TODAY
    ),
    "void fill, nothing known": lambda: void_fill(None, today=TODAY),
    "what if": lambda: what_if_fill(trace(), trace(), due_fill=0.7, due_on=(None, None), today=TODAY, cleaned_on=LATER),
    "what if, nothing tried": lambda: what_if_fill(trace(), None, due_fill=0.7, due_on=(None, None), today=TODAY),
    "water tests": lambda: water_tests(
        [WaterMark(on=day, analyte=a, value=0.05) for day in LONG for a in ("tan", "nitrite", "ph", "temperature")],
        today=TODAY,
    ),
    "water tests, none": lambda: water_tests([], today=TODAY),
    "growth": lambda: growth_curve(
        [WeightMark(animal=a, on=day, mass_g=20.0) for a in ("A", "B", "C") for day in LONG], animal="B", today=TODAY
    ),
    "growth, none": lambda: growth_curve([], today=TODAY),
    "feed": lambda: feed_load(weeks_of((day, 12.0) for day in LONG), today=TODAY, rests=RESTS),
    "feed, none": lambda: feed_load([], today=TODAY),
}


@pytest.fixture(params=FIGURES, scope="module")
def figure(request):
    return FIGURES[request.param]()


def test_chart_is_plain_json_with_data_layout_and_config(figure):
    assert json.loads(json.dumps(figure)) == figure
    assert set(figure) == {"data", "layout", "config"}


def test_chart_says_nothing_the_charting_library_does_not_know(figure):
    """plotly's own objects check every name and value (plotly 7); the pages write plain JSON, which is much faster."""
    known = go.Figure(data=figure["data"], layout=figure["layout"])
    assert json.loads(known.to_json())["data"] == figure["data"]
    with pytest.raises(ValueError, match="Invalid property"):
        go.Figure(data=figure["data"], layout={**figure["layout"], "hieght": 1})


def test_chart_has_no_webgl_trace(figure):
    """Under a strict policy WebGL traces draw an empty box and say nothing (seen with plotly.js 4.1.1)."""
    assert {t["type"] for t in figure["data"]} <= {"scatter", "bar"}


def test_chart_offers_no_upload_and_no_logo(figure):
    """plotly.js 4 shows "Share chart…" unless told not to (plotly 7 release, seen in its own bundle)."""
    assert figure["config"]["showSendToCloud"] is False
    assert figure["config"]["displaylogo"] is False
    assert figure["config"]["plotlyServerURL"] == ""


def test_chart_stays_under_the_limit_of_points(figure):
    """Lines are thinned to the limit; a band is one outline and twice its line."""
    lines = [t for t in figure["data"] if not t["meta"].startswith("band")]
    assert sum(len(t.get("x", [])) for t in lines) < 2 * MOST_POINTS
    assert max([len(t.get("x", [])) for t in figure["data"]], default=0) < MOST_POINTS


def test_chart_colours_are_names_the_page_can_look_up(figure):
    tokens = (Path(__file__).parents[2] / "static/css/tokens.css").read_text()
    text = json.dumps(figure)
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b", text)
    for name in set(re.findall(r"var\((--[\w-]+)\)", text)):
        assert f"{name}:" in tokens, name


def test_chart_carries_no_default_template_and_no_markup_that_becomes_inline_style(figure):
    assert figure["layout"].get("template", {}) in ({}, {"data": {"scatter": [{"type": "scatter"}]}})
    assert "<b>" not in json.dumps(figure)
    assert "<span" not in json.dumps(figure)


def test_script_never_lets_a_page_turn_the_upload_back_on():
    script = (Path(__file__).parents[2] / "static/js/figures.js").read_text()
    assert re.search(r"\{ \.\.\.figure\.config, \.\.\.SAFE \}", script)
    assert "showSendToCloud: false" in script
    assert "innerHTML" not in script
    assert "eval(" not in script


def test_decimated_keeps_ends_and_extremes():
    points = [(date(2020, 1, 1) + timedelta(days=i), float(i % 97)) for i in range(2000)]
    points[777] = (points[777][0], 500.0)
    kept = decimated(points, most=200)
    assert len(kept) <= 200
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert points[777] in kept
    assert kept == sorted(kept)
    assert decimated(points[:50], most=200) == points[:50]


@pytest.mark.parametrize("days", [30, 100, 400, 1000, 4000, 12_000])
def test_date_ticks_are_few_and_say_the_year_when_it_changes(days):
    first = date(2023, 4, 1)
    ticks = date_ticks(first, first + timedelta(days=days))
    assert 1 <= len(ticks) <= 14
    assert all(day.day == 1 for day, _ in ticks)
    years = [words.split()[-1] for _, words in ticks if words.split()[-1].isdigit()]
    assert len(years) == len(set(years))
