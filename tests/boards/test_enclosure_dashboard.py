"""One enclosure's page costs the same however long the records are."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.db.models.signals import post_init
from django.test.utils import CaptureQueriesContext

from enclosures.boards.enclosure_dashboard import build_enclosure_dashboard, filters_of
from tests.boards.pond import answer, log_some_days, make_pond, make_turtles
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def cost_of(enclosure: Any) -> tuple[int, Counter[str]]:
    """Queries asked, and objects made of rows, by model."""
    made: Counter[str] = Counter()

    def count(sender: Any, **_: Any) -> None:
        made[sender.__name__] += 1

    post_init.connect(count)
    try:
        with CaptureQueriesContext(connection) as asked:
            board = build_enclosure_dashboard(
                enclosure=enclosure, filters=filters_of(enclosure, today=TODAY), today=TODAY
            )
    finally:
        post_init.disconnect(count)
    assert board.entries.lines
    assert board.load.is_fed
    return len(asked), made


def test_neither_queries_nor_rows_grow_with_the_records(facility: Any) -> None:
    pond = make_pond(facility)
    answer(pond)
    make_turtles(pond.enclosure)
    log_some_days(pond, n=30)
    few, made_of_few = cost_of(pond.enclosure)
    log_some_days(pond, n=90, until=TODAY - timedelta(days=30))
    many, made_of_many = cost_of(pond.enclosure)
    assert many == few <= 45
    assert (
        made_of_many.total() <= made_of_few.total() + 5
    )  # a second sounding and flow check, no meal and no water test
