from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from tests.boards.kept import keep
from tests.boards.pond import answer, make_pond
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

pytestmark = pytest.mark.django_db
URL = "/filters/record/"


def page(user: Any, url: str = URL) -> str:
    with on_the_day():
        answered = signed_in(user).get(url)
    assert answered.status_code == 200
    return str(answered.content.decode())


def keep_twelve(facility: Any) -> None:
    for number in range(12):
        if number % 4 == 0:
            pond = make_pond(facility, f"P{number // 4 + 1}")
        keep(pond, date(2021, 1, 1) + timedelta(days=300 * (number % 4)), came=95 + 15 * number)


def test_a_supervisor_reads_counts_a_verdict_and_every_forecast(facility: Any, supervisor: Any) -> None:
    keep_twelve(facility)
    html = page(supervisor)
    assert_reads_well(html)
    words = words_of(html)
    assert "Of the 12 times we said 8 in 10, it was 10; 10 would be right." in words
    assert html.count('class="said-and-came"') == 9
    assert words.count("4 past forecasts") == 3
    assert "by the readings up to the cleanout" in words


def test_an_empty_facility_and_too_few_are_said_plainly(facility: Any, supervisor: Any) -> None:
    assert "No past forecast is kept yet" in words_of(page(supervisor))
    keep(make_pond(facility), date(2024, 1, 1), came=200)
    html = page(supervisor)
    assert "One past forecast: too few to judge." in words_of(html)
    assert "said-and-came" not in html


def test_a_coordinator_from_outside_may_not_enter(facility: Any, coordinator: Any) -> None:
    with on_the_day():
        assert signed_in(coordinator).get(URL).status_code == 403


def test_the_line_stands_on_the_list_and_on_the_dashboard_with_the_way_to_the_rest(
    facility: Any, supervisor: Any
) -> None:
    pond = make_pond(facility)
    answer(pond)
    keep(pond, date(2024, 1, 1), came=200)
    for url in ("/filters/", "/enclosures/P1/"):
        html = page(supervisor, url)
        assert "The last forecast was 20 days early." in words_of(html).replace("\u00a0", " ")
        assert f'href="{URL}' in html
