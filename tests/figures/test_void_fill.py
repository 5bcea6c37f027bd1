from __future__ import annotations

from datetime import date, timedelta

import pytest

from enclosures.figures.void_fill import ReadingMark, void_fill, void_fill_description, void_fill_rows
from tests.figures.charts import CLEANOUTS, READINGS, RESTS, TODAY, by_meta, trace

FIGURE = void_fill(trace(), readings=READINGS, cleanouts=CLEANOUTS, rests=RESTS, today=TODAY)


def named(shapes: list[dict], name: str) -> list[dict]:
    return [shape for shape in shapes if shape.get("name") == name]


def test_median_line_is_cut_at_the_cleanout_and_at_today():
    behind, ahead = by_meta(FIGURE, "sludge"), by_meta(FIGURE, "sludge ahead")
    assert len(behind) == 2
    assert len(ahead) == 1
    assert behind[0]["x"][-1] == "2024-08-24"
    assert ahead[0]["x"][0] == behind[1]["x"][-1]  # joined at today
    assert ahead[0]["line"]["dash"] != "solid"


def test_line_before_a_cleanout_never_falls_and_the_drop_is_drawn_apart():
    for line in by_meta(FIGURE, "sludge"):
        assert line["y"] == sorted(line["y"])
    (drop,) = by_meta(FIGURE, "emptied")
    assert drop["x"] == ["2024-08-24", "2024-08-24"]
    assert drop["y"][0] > 0.9 > drop["y"][1]


def test_band_encloses_the_line():
    band, line = by_meta(FIGURE, "band")[0], by_meta(FIGURE, "sludge")[0]
    n = len(line["x"])
    upper, lower = band["y"][:n], band["y"][n:][::-1]
    assert band["x"][:n] == line["x"]
    assert all(low <= mid <= high for low, mid, high in zip(lower, line["y"], upper, strict=True))


def test_band_ahead_is_paler_than_the_one_behind():
    assert by_meta(FIGURE, "band ahead")[0]["opacity"] < by_meta(FIGURE, "band")[0]["opacity"]


def test_soundings_are_dots_and_a_rod_at_the_grid_an_open_triangle():
    (dots,) = by_meta(FIGURE, "reading")
    assert dots["x"] == ["2023-09-16", "2024-06-29", "2025-05-03", "2025-08-30"]
    assert dots["text"] == ["50", "93", "52", "80"]
    (grid,) = by_meta(FIGURE, "reading at grid")
    assert grid["marker"]["symbol"] == "triangle-up-open"
    assert grid["customdata"] == ["24 Aug 2024: ≥ 150 mm, full or more"]


def test_a_disputed_reading_is_shown_apart_and_said_not_to_be_learnt_from():
    (disputed,) = by_meta(FIGURE, "reading disputed")
    assert disputed["x"] == ["2025-06-20"]
    assert disputed["customdata"][0].endswith("signals disagreed, not learnt from")


def test_due_full_today_and_winter_rests_are_marked():
    shapes = FIGURE["layout"]["shapes"]
    (due,) = named(shapes, "due")
    assert (due["y0"], due["y1"]) == (0.7, 0.7)
    (full,) = named(shapes, "full")
    assert full["y0"] == 1
    (today,) = named(shapes, "today")
    assert today["x0"] == "2025-10-04"
    assert [rest["x0"] for rest in named(shapes, "rest")] == ["2023-11-05", "2024-11-02"]


def test_due_line_follows_the_filter():
    figure = void_fill(trace(), due_fill=0.55, today=TODAY)
    assert named(figure["layout"]["shapes"], "due")[0]["y0"] == 0.55
    assert any(note["text"] == "due 55 %" for note in figure["layout"]["annotations"])


def test_only_the_coming_year_is_shown_of_a_forecast_of_three():
    assert max(by_meta(FIGURE, "sludge ahead")[0]["x"]) <= (TODAY + timedelta(days=365)).isoformat()


def test_many_readings_lose_their_figures_but_not_their_dots():
    many = [ReadingMark(on=date(2024, 1, 1) + timedelta(days=20 * i), fill=0.4, depth_mm=60) for i in range(20)]
    (dots,) = by_meta(void_fill(trace(), readings=many, today=TODAY), "reading")
    assert dots["mode"] == "markers"
    assert len(dots["x"]) == 20


def test_rows_say_the_same_newest_first():
    rows = void_fill_rows(READINGS, CLEANOUTS)
    assert [(row.on.isoformat(), row.what, row.depth, row.fill) for row in rows] == [
        ("2025-08-30", "sounding", "120", "80 %"),
        ("2025-06-20", "sounding, signals disagreed", "19", "13 %"),
        ("2025-05-03", "sounding", "77", "52 %"),
        ("2024-08-24", "cleanout, full: before, after", "≥ 150, 12", "full, 8 %"),
        ("2024-06-29", "sounding", "139", "93 %"),
        ("2023-09-16", "sounding", "75", "50 %"),
    ]


def test_description_says_readings_range_and_due_line():
    said = void_fill_description(trace(), READINGS, due_fill=0.7)
    assert "93 % on 29 Jun 2024" in said
    assert said.endswith("Due line at 70 %.")
    assert void_fill_description(None, (), due_fill=0.7) == "No soundings. Due line at 70 %."


@pytest.mark.parametrize("n", [0, 1])
def test_a_trace_too_short_to_draw_leaves_the_readings(n):
    figure = void_fill(trace(n_behind=2, n_ahead=0) if n else None, readings=READINGS, today=TODAY)
    assert by_meta(figure, "reading")
