from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from enclosures.figures.what_if_fill import what_if_description, what_if_fill
from enclosures.forecast.inputs import DayQuantiles, Quantiles
from tests.figures.charts import TODAY, by_meta, trace

NOW = trace()
LOWER = replace(
    NOW, p50=tuple(0.5 * fill if ahead else fill for fill, ahead in zip(NOW.p50, NOW.is_ahead, strict=True))
)
DUE = DayQuantiles(p10=TODAY, p50=TODAY + timedelta(days=200), p90=None)


def drawn(then=LOWER, **more):
    return what_if_fill(NOW, then, due_fill=0.7, due_on=(DUE, DUE), today=TODAY, **more)


def test_both_futures_begin_today_and_differ_in_more_than_colour() -> None:
    figure = drawn()
    (now,), (then,) = by_meta(figure, "now"), by_meta(figure, "then")
    assert now["x"][0] == then["x"][0]
    assert now["line"]["dash"] != then["line"]["dash"]
    texts = {note["text"] for note in figure["layout"]["annotations"]}
    assert {"as things stand", "with the change", "due 70 %"} <= texts


def test_a_void_made_higher_starts_lower_at_once() -> None:
    (then,) = by_meta(drawn(then_fill=Quantiles(p10=0.1, p50=0.2, p90=0.3)), "then")
    assert then["x"][0] == TODAY.isoformat()
    assert then["y"][0] == 0.2


def test_before_anything_is_tried_there_is_one_future() -> None:
    figure = drawn(None)
    assert by_meta(figure, "then") == []
    assert "with the change" not in str(figure)


def test_the_picture_reaches_as_far_as_the_later_date_and_never_past_the_horizon() -> None:
    never = DayQuantiles(p10=None, p50=None, p90=None)
    figure = what_if_fill(NOW, LOWER, due_fill=0.7, due_on=(DUE, never), today=TODAY)
    assert figure["layout"]["xaxis"]["range"][1] == (TODAY + timedelta(days=1095)).isoformat()


def test_those_who_cannot_see_it_are_told_both() -> None:
    said = what_if_description(NOW, LOWER, due_fill=0.7)
    assert "as things stand:" in said
    assert "With the change:" in said
    assert said.endswith("Due line at 70 %.")
