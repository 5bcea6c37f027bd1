from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.urls import reverse

from enclosures.models import Filter
from enclosures.verdicts.words import Band
from tests.actions.station import make_enclosure
from tests.boards.pond import answer, make_pond
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import HTMX, on_the_day, signed_in

pytestmark = pytest.mark.django_db
URL = "/filters/"


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with on_the_day():
        yield


def page(user: Any) -> str:
    answer_ = signed_in(user).get(URL)
    assert answer_.status_code == 200
    return str(answer_.content.decode())


@pytest.fixture
def station(facility: Any) -> None:
    answer(make_pond(facility, "P1"), season="Water is 15 °C and falling: about twelve days are left, else April.")
    answer(make_pond(facility, "P4"), fill=(0.49, 0.64, 0.85), band=Band.SOON, score=25,
           due="Between now and 2 May, most likely 24 Nov.", sentence="Never emptied.")  # fmt: skip
    answer(make_pond(facility, "P2"), fill=(0.3, 0.4, 0.52), band=Band.FINE, score=0,
           due="Between Jun and Oct 2026, most likely Aug.", sentence="Filling as expected.")  # fmt: skip
    Filter.objects.create(code="G1-S", enclosure=make_enclosure(facility, "G1", kind="tub"), kind="sponge")


@pytest.mark.usefixtures("station")
def test_filters_that_need_you_is_read_in_one_look(supervisor: Any) -> None:
    html = page(supervisor)
    words = words_of(html).replace("\u00a0", " ")
    assert "Two of three. At P1 water is 15 °C and falling" in words
    assert words.index("P1") < words.index("P4") < words.index("Fine") < words.index("Between Jun and Oct 2026")
    assert "88 % 75–103 %" in words
    assert "Between now and 2 May, most likely 24 Nov" in words
    assert "Forecasts are estimates; a rod is better." in words
    assert "G1 runs on a sponge" in words
    assert_reads_well(html)


@pytest.mark.usefixtures("station")
def test_every_figure_has_its_range_and_every_band_its_word_and_shape(supervisor: Any) -> None:
    html = page(supervisor)
    for row in re.findall(r'<li class="filter">.*?</li>', html, re.S):
        words = words_of(row)
        assert re.search(r"\d+\s%\s+\d+–\d+\s%", words), words
        assert re.search(r"Act now|Overdue|Due|Unknown|Soon|Fine", words)
        assert '<use href="#' in row
        assert re.search(r"Sure: (none|rough|fair|good)", words)


@pytest.mark.usefixtures("station")
def test_signals_that_disagree_stand_above_the_list(supervisor: Any, facility: Any) -> None:
    answer(make_pond(facility, "P3"), band=Band.ACT, pinned="Signals disagree: rod says 13 %. Look at pump and bed.")
    html = page(supervisor)
    assert html.index("Signals disagree") < html.index("filters-list")
    assert "Rod says 13\u00a0%. Look at pump and bed." in html
    row = next(row for row in re.findall(r'<li class="filter">.*?</li>', html, re.S) if 'id="open-p3-f"' in row)
    assert "Log the cleanout" not in row


@pytest.mark.usefixtures("station")
def test_only_those_who_may_log_are_offered_work(supervisor: Any, reader: Any) -> None:
    assert reverse("log-cleanout", args=["P1-F"]) in page(supervisor)
    assert "Log the cleanout" not in page(reader)
    assert "Take a sounding" not in page(reader)


@pytest.mark.usefixtures("station")
@pytest.mark.parametrize("who", ["keeper", "supervisor", "builder", "veterinarian", "administrator", "reader"])
def test_people_inside_may_read_the_list(who: str, request: Any) -> None:
    assert "Filters that need you" in page(request.getfixturevalue(who))


@pytest.mark.parametrize("who", ["coordinator", "stranger"])
def test_outsiders_may_not_read_the_list(who: str, request: Any, facility: Any) -> None:
    assert signed_in(request.getfixturevalue(who)).get(URL).status_code == 403


def test_a_visitor_is_asked_to_sign_in(client: Any) -> None:
    assert client.get(URL).status_code == 302


def test_an_empty_station_says_what_to_do_next(supervisor: Any) -> None:
    words = words_of(page(supervisor))
    assert "No filters yet, so none needs you." in words
    assert "Add the first enclosure" in words
    assert_reads_well(page(supervisor))


def test_an_empty_station_offers_a_reader_no_button(reader: Any) -> None:
    assert "Add the first enclosure" not in page(reader)


@pytest.mark.usefixtures("station")
def test_the_minutely_look_gets_the_list_alone_or_nothing_new(supervisor: Any) -> None:
    client = signed_in(supervisor)
    whole = client.get(URL).content.decode()
    asked = re.search(r'hx-get="([^"]+)"', whole)
    assert asked is not None
    assert client.get(asked[1], headers=HTMX).status_code == 204
    Filter.objects.get(code="P1-F").outlook.__class__.objects.update(is_stale=True)
    part = client.get(asked[1], headers=HTMX)
    assert part.status_code == 200
    assert part.content.decode().lstrip().startswith('<div id="filters-rows"')
    assert "<html" not in part.content.decode()
    assert "Something was entered since" in part.content.decode()


@pytest.mark.usefixtures("station")
def test_the_list_reads_no_records(supervisor: Any, django_assert_max_num_queries: Any) -> None:
    client = signed_in(supervisor)
    with django_assert_max_num_queries(9) as asked:  # session, person, facility, role, and four for the list
        client.get(URL)
    assert not [q for q in asked.captured_queries if "feeding" in q["sql"] or '"trace"' in q["sql"]]
