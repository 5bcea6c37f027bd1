from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from enclosures.boards.filters_that_need_you import build_filters_that_need_you
from enclosures.boards.reading_first import ReadingFirst
from enclosures.models import FilterOutlook
from tests.boards.kept import WHAT_IT_IS_WORTH
from tests.boards.pond import answer, make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def pond(facility: Any, code: str, *, counted: float = 60, last: int | None = None, **more: Any) -> None:
    """A pond whose answer says what one sounding is worth, in counted days, and how long ago the last one was."""
    worth = {key: more.pop(key) for key in list(more) if key in {*WHAT_IT_IS_WORTH, "waits_for"}}
    row = answer(make_pond(facility, code), **more)
    row.detail["narrowing"] = {
        **WHAT_IT_IS_WORTH,
        "filter": f"{code}-F",
        "counted_now": 100,
        "counted_then": 100 - counted,
        "waits_for": "",
        **worth,
    }
    row.detail["last_sounding_on"] = None if last is None else (TODAY - timedelta(days=last)).isoformat()
    row.save()


def first_of(facility: Any) -> ReadingFirst:
    found = build_filters_that_need_you(facility=facility, today=TODAY).read_first
    assert found is not None
    return found


def labels(first: ReadingFirst) -> list[str]:
    return [pipe.label for pipe in first.pipes]


def test_the_pipe_that_tells_most_comes_first_and_three_are_named(facility: Any) -> None:
    for code, counted in (("P1", 30), ("P2", 80), ("P3", 50), ("P4", 20)):
        pond(facility, code, counted=counted)
    first = first_of(facility)
    assert labels(first) == ["P2", "P3", "P1"]
    assert first.pipes[0].gain == "narrows its due date from 9\u00a0months wide to about 4"
    assert first.notes == ()


def test_a_pipe_read_within_the_fortnight_is_not_asked_for_again(facility: Any) -> None:
    pond(facility, "P1", last=3)
    pond(facility, "P2", counted=20, last=14)
    assert labels(first_of(facility)) == ["P2"]


def test_what_rests_or_lies_in_cold_water_waits_and_is_said_to(facility: Any) -> None:
    pond(facility, "P1", waits_for="winter rest")
    pond(facility, "P2", waits_for="winter rest")
    pond(facility, "P3", counted=20)
    first = first_of(facility)
    assert labels(first) == ["P3"]
    assert first.notes == ("P1 and P2 would tell much too, after the winter rest.",)


def test_signals_that_disagree_are_settled_before_the_rod(facility: Any) -> None:
    pond(facility, "P3", pinned="Signals disagree: rod says 13 %, but flow is 38 % of baseline.")
    first = first_of(facility)
    assert labels(first) == []
    assert first.notes[1] == "P3: its signals disagree; settle that before the rod is believed."


def test_a_reading_that_would_change_nothing_is_not_sent_for(facility: Any) -> None:
    pond(facility, "P1", counted=2)
    pond(facility, "P2", due_days_then=270)
    first = first_of(facility)
    assert labels(first) == []
    assert first.notes[0].startswith("No single sounding that can be taken today")


def test_a_range_without_an_end_is_wider_than_can_be_told(facility: Any) -> None:
    pond(facility, "P1")
    stored = FilterOutlook.objects.get()
    stored.answer["due_on"]["p90"] = None
    stored.save()
    assert first_of(facility).pipes[0].gain == "narrows its due date from over 9\u00a0months wide to about 4"


def test_nothing_is_said_before_anything_is_known(facility: Any) -> None:
    answer(make_pond(facility, "P1"))
    assert build_filters_that_need_you(facility=facility, today=TODAY).read_first is None
