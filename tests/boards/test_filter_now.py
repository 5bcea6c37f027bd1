from __future__ import annotations

from enclosures.boards.filter_now import surprise_words
from enclosures.forecast.inputs import Quantiles
from enclosures.models import SoundingReading

STILL = Quantiles(p10=0.23, p50=0.31, p90=0.43)  # the fill of a void of 60 mm after the forecast has heard the reading


def rods(*depths_mm: float, qualifier: str = "") -> list[SoundingReading]:
    return [SoundingReading(depth_mm=depth, qualifier=qualifier) for depth in depths_mm]


def test_a_rod_that_the_forecast_does_not_follow_is_to_be_read_once_more() -> None:
    said = surprise_words(rods(41, 42, 40), STILL, void_height_mm=60).replace("\u00a0", " ")
    assert "The rod said 41 mm" in said
    assert "14–26 mm" in said
    assert "Sound once more" in said
    assert surprise_words(rods(5), STILL, void_height_mm=60), "too little is as surprising as too much"


def test_a_rod_within_the_range_or_at_the_grid_and_a_filter_without_forecast_say_nothing() -> None:
    assert surprise_words(rods(18, 22), STILL, void_height_mm=60) == ""
    assert surprise_words(rods(60, qualifier=">="), STILL, void_height_mm=60) == ""
    assert surprise_words(rods(41), None, void_height_mm=60) == ""
