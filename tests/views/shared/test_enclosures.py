from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from enclosures.models import Season
from tests.actions.station import make_enclosure
from tests.boards.pond import answer, log_some_days, make_pond, make_turtles
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

pytestmark = pytest.mark.django_db
URL = "/enclosures/"


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with on_the_day():
        yield


def page(user: Any) -> str:
    return str(signed_in(user).get(URL).content.decode())


def test_the_walk_gives_each_place_one_big_button(keeper: Any, facility: Any) -> None:
    pond = make_pond(facility)
    make_turtles(pond.enclosure)
    log_some_days(pond, n=1)
    answer(pond)
    make_enclosure(facility, "Q1", kind="quarantine", name="Quarantine rack")
    html = page(keeper)
    words = words_of(html).replace("\u00a0", " ")
    assert reverse("log-feeding", args=["P1"]) in html
    assert "European pond turtle 1.3.0 Last fed yesterday 08:01: pellet ½ scoop, all eaten" in words
    assert "88 % Overdue" in words
    assert words.index("P1") < words.index("Last, with its own tools and gloves.") < words.index("Q1")
    assert_reads_well(html)


def test_who_may_not_log_has_no_feed_button(reader: Any, facility: Any) -> None:
    make_pond(facility)
    assert "Feed" not in words_of(page(reader))


def test_a_pond_in_winter_rest_offers_no_feeding_and_its_form_says_so_first(keeper: Any, facility: Any) -> None:
    pond = make_pond(facility)
    rest = Season.objects.create(enclosure=pond.enclosure, kind="brumation", from_on=date(2025, 10, 1))
    assert reverse("log-feeding", args=["P1"]) not in page(keeper)
    form = signed_in(keeper).get(reverse("log-feeding", args=["P1"])).content.decode()
    assert "In winter rest since 1 Oct. No feeding on record." in words_of(form).replace("\u00a0", " ")
    rest.delete()
    assert reverse("log-feeding", args=["P1"]) in page(keeper)


def test_an_empty_station_says_who_begins(keeper: Any, supervisor: Any) -> None:
    assert "A supervisor or builder adds the first one." in words_of(page(keeper))
    assert reverse("set-up-enclosure") in page(supervisor)


@pytest.mark.parametrize("who", ["coordinator", "stranger"])
def test_outsiders_may_not_read_the_walk(who: str, request: Any, facility: Any) -> None:
    assert signed_in(request.getfixturevalue(who)).get(URL).status_code == 403
