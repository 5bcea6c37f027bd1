from __future__ import annotations

from datetime import date, timedelta

from enclosures.figures.feed_load import feed_load, feed_rows, weeks_of
from enclosures.figures.growth_curve import WeightMark, growth_curve, growth_rows
from tests.figures.charts import TODAY, by_meta

BATCH = [
    WeightMark(animal="BL-120", on=date(2023, 9, 16), mass_g=3.6),
    WeightMark(animal="BL-120", on=date(2023, 12, 20), mass_g=7.9),
    WeightMark(animal="BL-124", on=date(2023, 9, 16), mass_g=3.2),
    WeightMark(animal="BL-124", on=date(2023, 12, 20), mass_g=5.1, scl_mm=29.5),
    WeightMark(animal="BL-124", on=date(2024, 3, 20), mass_g=8.8),
]


def test_one_animal_stands_before_its_batch():
    figure = growth_curve(BATCH, animal="BL-124", today=TODAY)
    (main,) = by_meta(figure, "animal")
    assert main["y"] == [3.2, 5.1, 8.8]
    assert figure["data"][-1] is main
    assert by_meta(figure, "batch")[0]["y"] == [3.6, 7.9]


def test_by_age_leaves_out_animals_without_a_hatch_day():
    figure = growth_curve(BATCH, animal="BL-124", today=TODAY, hatched_on={"BL-124": date(2023, 8, 12)})
    (only,) = figure["data"]
    assert only["x"] == [35, 130, 221]


def test_growth_rows_say_the_change_from_the_weight_before():
    rows = growth_rows([mark for mark in BATCH if mark.animal == "BL-124"])
    assert [(row.mass, row.change, row.scl) for row in rows] == [
        ("8.8", "+73 %", "–"),
        ("5.1", "+59 %", "29.5"),
        ("3.2", "–", "–"),
    ]


def test_weeks_run_monday_to_sunday_and_silent_weeks_are_nought():
    monday = date(2025, 9, 1)
    weeks = weeks_of([(monday, 10.0), (monday + timedelta(days=6), 5.0), (monday + timedelta(days=14), 2.0)])
    assert [(week.from_on, week.dry_g) for week in weeks] == [
        (monday, 15.0),
        (monday + timedelta(days=7), 0.0),
        (monday + timedelta(days=14), 2.0),
    ]
    assert weeks_of([]) == ()


def test_guessed_feed_stands_apart_from_what_was_logged():
    monday = date(2025, 9, 1)
    weeks = weeks_of([(monday, 10.0), (monday + timedelta(days=1), 4.0)], guessed_on=[monday + timedelta(days=1)])
    figure = feed_load(weeks, today=TODAY, cleanouts_on=[date(2025, 9, 20)])
    assert by_meta(figure, "feed")[0]["y"] == [10.0]
    assert by_meta(figure, "feed filled in")[0]["y"] == [4.0]
    assert [shape["name"] for shape in figure["layout"]["shapes"]] == ["emptied"]
    assert feed_rows(weeks) == ((monday, "14"),)


def test_bars_start_at_zero():
    figure = feed_load(weeks_of([(date(2025, 9, 1), 10.0)]), today=TODAY)
    assert figure["layout"]["yaxis"]["rangemode"] == "tozero"
