"""A change tried out on a filter: both futures in the words of the dashboard, and no record the wiser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.urls import reverse

from enclosures.actions.outlooks import refresh_outlook
from enclosures.models import Enclosure, Filter, FilterOutlook
from tests.actions.station import make_enclosure
from tests.boards.pond import log_some_days, make_pond, make_turtles
from tests.conftest import NOW, TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with on_the_day():
        yield


@pytest.fixture
def tank(facility: Any) -> Filter:
    """A void that is not near due: indoors, fed for a month, never read but once."""
    each = make_pond(facility, indoor=True)
    Enclosure.objects.filter(pk=each.enclosure_id).update(litter_level="none")
    each.builds.update(valid_from="2025-08-01")
    Filter.objects.filter(pk=each.pk).update(commissioned_on="2025-08-01")
    make_turtles(each.enclosure)
    log_some_days(each, n=40)
    each = Filter.objects.with_place().get(pk=each.pk)
    refresh_outlook(each, today=TODAY, now=NOW)
    return each


def opened(user: Any, code: str = "P1-F", **query: Any) -> Any:
    return signed_in(user).get(reverse("what-if", args=[code]), query)


def said(got: Any) -> str:
    return words_of(got.content.decode()).replace("\u00a0", " ").replace("\u202f", " ")


def lead(got: Any) -> str:
    found = re.search(r'class="what-if-lead">([^<]+)<', got.content.decode())
    return found[1].replace("\u00a0", " ") if found else ""


def futures(got: Any) -> list[str]:
    """The words of each future: fill, range, when due."""
    parts = re.findall(r'<div class="future">(.*?)<p class="hint">', got.content.decode(), re.S)
    return [words_of(part).replace("\u00a0", " ") for part in parts]


def test_now_is_what_the_dashboard_says(tank: Filter, supervisor: Any) -> None:
    dashboard = said(signed_in(supervisor).get("/enclosures/P1/"))
    (now,) = futures(opened(supervisor))
    likely, span, due = re.fullmatch(r"As things stand (\d+ %) (.+ %) today (.+)", now).groups()  # type: ignore[union-attr]
    assert f"{likely} Act now likely {span}" in dashboard
    assert f"Due {due[0].lower()}{due[1:]}" in dashboard
    first, then = futures(opened(supervisor, ration_percent="200"))
    assert first == now
    assert then != now.replace("As things stand", "With the change")


def test_more_feed_is_sooner_and_less_is_later(tank: Filter, supervisor: Any) -> None:
    assert "sooner" in lead(opened(supervisor, ration_percent="300"))
    assert "later" in lead(opened(supervisor, ration_percent="50"))
    assert "sooner" in lead(opened(supervisor, come_n="8"))
    assert "later" in lead(opened(supervisor, leave_n="2"))


def test_a_cleanout_starts_anew_and_says_whether_it_comes_in_time(tank: Filter, supervisor: Any) -> None:
    got = opened(supervisor, empty_on="2026-04-15")
    assert lead(got).startswith("Due again ")
    assert "The chance that it is due before it is emptied on 15 Apr: " in said(got)
    at_once = opened(supervisor, empty_on=TODAY.isoformat())
    now, then = futures(at_once)
    assert int(re.search(r"(\d+) %", then)[1]) < int(re.search(r"(\d+) %", now)[1])  # type: ignore[index]


def test_several_changes_count_together_and_are_said_back(tank: Filter, supervisor: Any) -> None:
    words = said(
        opened(supervisor, leave_n="1", come_n="2", come_g="1.4 kg", ration_percent="80", void_height_mm="30 cm")
    )
    assert "One of the four animals leaves, two more come, about 1 400 g each, the ration is 80 % of now" in words
    assert "the void is 300 mm high" in words
    assert "The void holds 50.6 L 101 L" in words  # 0.45 m² × 150 mm × 0.75 usable, and twice the height


def test_other_media_move_the_bed_and_not_the_void(tank: Filter, supervisor: Any) -> None:
    got = opened(supervisor, media="gravel_20")
    words = said(got)
    assert "Other media do not move the void’s dates" in words
    assert "Hardly any change." in lead(got)
    surface = re.search(r"the outer surface alone about (\d+) m² about (\d+) m²", words)
    assert surface is not None
    assert int(surface[2]) > int(
        surface[1]
    )  # 180 m²/m³ of 20 mm gravel over 65 and 140 of lava: the figures of estimates/media.py


def test_another_pump_is_told_as_a_speed_of_rise(tank: Filter, supervisor: Any) -> None:
    words = said(opened(supervisor, flow_now_l_per_h="1800", flow_then_l_per_h="3600"))
    assert re.search(r"Rise through the chamber .* 4.0 m/h 8.0 m/h", words)  # 1.8 and 3.6 m³/h over 0.45 m²


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ({"ration_percent": "abc"}, "“abc” is not a number."),
        ({"ration_percent": "900"}, "900 % cannot be; it is from 0 % to 500 %."),
        ({"leave_n": "9"}, "9 cannot leave: only four live here today."),
        ({"leave_n": "1.5"}, "How many leave: a whole number from 0 to 200."),
        ({"come_g": "300"}, "How many come?"),
        ({"empty_on": "2020-01-01"}, "That day has passed. Choose today or a day ahead."),
        ({"empty_on": "2099-01-01"}, "The forecast looks three years ahead, no further."),
        ({"from_on": "soon"}, "That is no day of the calendar."),
        ({"void_height_mm": "3"}, "3 mm cannot be; it is from 10 mm to 2 000 mm."),
        ({"flow_now_l_per_h": "900"}, "What would the other pump give?"),
        ({"leave_n": "3", "leave_g": "5 kg"}, "So many of that size weigh more than all that live here."),
    ],
)
def test_what_cannot_be_is_told_beside_its_field_and_nothing_typed_is_lost(
    tank: Filter, supervisor: Any, query: dict[str, str], sentence: str
) -> None:
    got = opened(supervisor, media="gravel_20", **query)
    assert got.status_code == 422
    assert sentence in said(got)
    html = got.content.decode()
    for typed in query.values():
        assert f'value="{typed}"' in html
    assert '<option value="gravel_20" selected>' in html
    assert_reads_well(html)


def test_nothing_at_all_is_recorded(tank: Filter, supervisor: Any) -> None:
    def everything() -> dict[str, Any]:
        rows = {
            model.__name__: list(model._base_manager.values())
            for model in apps.get_app_config("enclosures").get_models()
        }
        return rows

    opened(supervisor)
    before = everything()
    opened(supervisor, leave_n="2", ration_percent="50", food_class="fish", void_height_mm="400", empty_on="2026-03-01")
    opened(supervisor, ration_percent="nonsense")
    assert everything() == before
    assert signed_in(supervisor).post(reverse("what-if", args=["P1-F"])).status_code == 405


def test_the_usual_changes_lead_to_the_page_with_their_figure_filled_in(tank: Filter, supervisor: Any) -> None:
    html = signed_in(supervisor).get("/enclosures/P1/").content.decode()
    told, address = re.search(r"<li>(Half the ration: [^<]+\.) <a href=\"([^\"]+)\"", html).groups()  # type: ignore[union-attr]
    got = signed_in(supervisor).get(address)
    assert lead(got).lower() == told.replace("\u00a0", " ").removeprefix("Half the ration: ").lower()
    assert 'value="50"' in got.content.decode()


def test_whoever_may_plan_filters_may_open_it_and_finds_the_way(
    tank: Filter, supervisor: Any, builder: Any, keeper: Any, reader: Any, coordinator: Any
) -> None:
    address = reverse("what-if", args=["P1-F"])
    for user in (supervisor, builder):
        assert opened(user).status_code == 200
        for page in ("/enclosures/P1/", "/filters/"):
            assert address in signed_in(user).get(page).content.decode()
    for user in (keeper, reader, coordinator):
        assert opened(user).status_code == 403
    for page in ("/enclosures/P1/", "/filters/"):
        assert address not in signed_in(keeper).get(page).content.decode()


def test_a_filter_that_cannot_be_forecast_says_so(facility: Any, supervisor: Any) -> None:
    Filter.objects.create(
        enclosure=make_enclosure(facility, "Q1", kind="quarantine", indoor=True), code="Q1-S", kind="sponge"
    )
    got = opened(supervisor, "Q1-S", ration_percent="50")
    assert got.status_code == 200
    assert "Q1-S cannot be forecast, so nothing can be tried." in said(got)
    assert not FilterOutlook.objects.exists()


def test_the_page_reads_well(tank: Filter, supervisor: Any) -> None:
    assert_reads_well(opened(supervisor).content.decode())
    assert_reads_well(opened(supervisor, ration_percent="0", media="koi_mat", empty_on="2026-01-10").content.decode())
