from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.actions.events import begin_season
from enclosures.boards.enclosures import build_enclosures
from enclosures.models import Filter
from tests.actions.station import entered_on, make_enclosure
from tests.boards.pond import answer, log_some_days, make_pond, make_turtles
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def test_the_walk_goes_by_its_order_with_quarantine_last(facility: Any) -> None:
    make_enclosure(facility, "Q1", kind="quarantine", round_order=1)
    make_enclosure(facility, "P1", round_order=20)
    make_enclosure(facility, "T1", kind="tub", round_order=10)
    board = build_enclosures(today=TODAY)
    assert [row.code for row in board.on_the_walk] == ["T1", "P1"]
    assert [row.code for row in board.quarantine] == ["Q1"]


def test_a_row_says_who_lives_there_what_they_last_had_and_how_full_the_void_is(facility: Any) -> None:
    pond = make_pond(facility)
    make_turtles(pond.enclosure)
    log_some_days(pond, n=1)
    answer(pond)
    (row,) = build_enclosures(today=TODAY).on_the_walk
    assert row.who == "European pond turtle 1.3.0"
    assert row.last_fed.replace("\u00a0", " ") == "Last fed yesterday 08:01: pellet ½ scoop, all eaten"
    assert [(void.likely, void.band.slug) for void in row.voids] == [("88\u00a0%", "overdue")]
    assert row.may_feed


def test_a_place_in_winter_rest_says_so(facility: Any) -> None:
    pond = make_pond(facility)
    make_turtles(pond.enclosure)
    begin_season(
        enclosure=pond.enclosure, kind="brumation", from_on=date(2025, 10, 1), stamp=entered_on(date(2025, 10, 1))
    )
    (row,) = build_enclosures(today=TODAY).on_the_walk
    assert row.rest == "In winter rest since 1\u00a0Oct"
    assert not row.may_feed


def test_a_sponge_and_a_closed_place_are_said_as_they_are(facility: Any) -> None:
    Filter.objects.create(code="G1-S", enclosure=make_enclosure(facility, "G1", kind="tub"), kind="sponge")
    make_enclosure(facility, "X9", name="Old tub", closed_on=date(2025, 1, 1))
    board = build_enclosures(today=TODAY)
    (row,) = board.on_the_walk
    assert (row.filter_words, row.voids, row.last_fed) == ("sponge", (), "No feeding on record")
    assert board.closed == ("X9 Old tub",)


def test_the_number_of_queries_does_not_depend_on_the_number_of_enclosures(
    facility: Any, django_assert_max_num_queries: Any
) -> None:
    make_turtles(make_pond(facility, "P0").enclosure)
    with django_assert_max_num_queries(9):
        build_enclosures(today=TODAY)
    for number in range(1, 8):
        pond = make_pond(facility, f"P{number}")
        make_turtles(pond.enclosure)
        answer(pond)
    with django_assert_max_num_queries(9):
        assert len(build_enclosures(today=TODAY).on_the_walk) == 8
