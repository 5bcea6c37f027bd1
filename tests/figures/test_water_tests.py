from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from enclosures.figures.water_tests import WaterMark, water_test_rows, water_tests
from tests.figures.charts import TODAY, by_meta

D = date(2024, 8, 19)
MARKS = [
    WaterMark(on=D - timedelta(days=7), analyte="tan", value=2.8),
    WaterMark(on=D, analyte="tan", value=8.0, qualifier=">"),
    WaterMark(on=D + timedelta(days=7), analyte="tan", value=0.05, qualifier="<"),
    WaterMark(on=D, analyte="ph", value=7.5),
    WaterMark(on=D, analyte="temperature", value=25.0),
]


def test_each_analyte_has_its_own_strip_in_the_order_of_the_table():
    figure = water_tests(MARKS, today=TODAY)
    titles = [note["text"] for note in figure["layout"]["annotations"] if note["name"] == "title"]
    assert titles == ["Water, °C", "pH", "TAN, mg/L as N"]
    domains = [figure["layout"][axis]["domain"] for axis in ("yaxis", "yaxis2", "yaxis3")]
    assert all(upper[0] > lower[1] for upper, lower in pairwise(domains))


def test_readings_beyond_the_kit_are_open_arrows():
    figure = water_tests(MARKS, today=TODAY)
    (over,) = by_meta(figure, "water reading beyond kit")
    assert over["marker"]["symbol"] == "triangle-up-open"
    assert over["text"] == ["19 Aug 2024: > 8.00 mg/L as N"]
    (under,) = by_meta(figure, "water reading below kit")
    assert under["marker"]["symbol"] == "triangle-down-open"


def test_look_lines_stand_in_their_strip_and_ponds_have_none_for_temperature():
    indoors = water_tests(MARKS, today=TODAY)["layout"]["shapes"]
    assert [(line["yref"], line["y0"]) for line in indoors] == [
        ("y", 18), ("y", 30), ("y2", 6.5), ("y2", 8.5), ("y3", 0.5)
    ]  # fmt: skip
    outdoors = water_tests(MARKS, today=TODAY, is_indoor=False)["layout"]["shapes"]
    assert [line["yref"] for line in outdoors] == ["y2", "y2", "y3"]


def test_rows_keep_qualifiers_and_stand_newest_first():
    rows = water_test_rows(MARKS)
    assert [row.on for row in rows] == [D + timedelta(days=7), D, D - timedelta(days=7)]
    assert rows[0].values == {"tan": "< 0.05"}
    assert rows[1].values == {"tan": "> 8.00", "ph": "7.5", "temperature": "25.0"}
