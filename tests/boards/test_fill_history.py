from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.boards.fill_history import build_fill_history, winter_rests
from enclosures.evidence.filters import load_filters
from enclosures.forecast.inputs import SeasonSpan
from enclosures.models import Filter
from tests.actions.station import entered_on, on
from tests.boards.pond import answer, log_some_days, make_pond
from tests.conftest import TODAY


def history(each: Filter, stored: Any) -> Any:
    known = load_filters([each], as_of=TODAY, zone=each.enclosure.facility.zone)[each.pk]
    return build_fill_history(key="fill-1", code=each.code, known=known, stored=stored, due_fill=0.7, today=TODAY)


@pytest.mark.django_db
def test_the_table_says_what_the_chart_shows(facility: Any) -> None:
    pond = make_pond(facility)
    log_some_days(pond, n=1)
    log_sounding(
        filter=pond,
        moment=on(date(2025, 5, 3), facility),
        depths=[DepthGiven(depth_mm=150, qualifier=">=")],
        stamp=entered_on(date(2025, 5, 3)),
    )
    found = history(pond, answer(pond))
    assert [
        (row.when.replace("\u00a0", " "), row.depth.replace("\u00a0", " "), row.fill.replace("\u00a0", " "))
        for row in found.rows
    ] == [
        ("30 Aug", "120", "80 %"),
        ("3 May", "≥ 150", "full or more"),
    ]
    assert found.since == "2025"
    assert "Due line at 70" in found.description


@pytest.mark.django_db
def test_without_any_entry_or_answer_there_is_nothing_to_draw(facility: Any) -> None:
    pond = make_pond(facility)
    assert history(pond, None).is_empty


@pytest.mark.django_db
def test_the_picture_begins_where_the_records_do(facility: Any) -> None:
    """The trace below begins 60 days before the day; the only entry is of 30 days before it."""
    pond = make_pond(facility)
    first = TODAY - timedelta(days=30)
    log_sounding(filter=pond, moment=on(first, facility), depths=[DepthGiven(depth_mm=60)], stamp=entered_on(first))
    drawn = [day for trace in history(pond, answer(pond)).figure["data"] for day in trace["x"]]
    assert min(drawn) == first.isoformat()


def test_a_rest_still_open_is_drawn_as_long_as_the_one_before() -> None:
    before = SeasonSpan(kind="brumation", from_on=date(2024, 11, 2), to_on=date(2025, 3, 20))
    open_now = SeasonSpan(kind="brumation", from_on=date(2025, 11, 1))
    drawn = winter_rests((before, open_now), today=date(2025, 11, 25))
    assert drawn[1].to_on == date(2026, 3, 19)
    assert winter_rests((open_now,), today=date(2026, 6, 1))[0].to_on == date(2026, 6, 1)
