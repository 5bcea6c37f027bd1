from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.urls import reverse

from enclosures.actions.events import begin_season
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.outlooks import refresh_outlook
from enclosures.models import Feeding, Filter, FilterOutlook, FoodItem
from enclosures.verdicts.words import Band
from tests.actions.station import at, entered_on, make_enclosure, make_filter, stamp
from tests.boards.pond import answer, log_some_days, make_pond, make_turtles
from tests.conftest import NOW, TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import HTMX, on_the_day, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with on_the_day():
        yield


@pytest.fixture
def pond(facility: Any) -> Filter:
    each = make_pond(facility)
    make_turtles(each.enclosure)
    log_some_days(each)
    answer(each)
    return each


def page(user: Any, code: str = "P1", **query: str) -> str:
    got = signed_in(user).get(reverse("enclosure-dashboard", args=[code], query=query))
    assert got.status_code == 200
    return str(got.content.decode())


def said(html: str) -> str:
    return words_of(html).replace("\u00a0", " ")


def test_the_page_says_how_full_how_sure_and_why(pond: Filter, supervisor: Any) -> None:
    html = page(supervisor)
    words = said(html)
    for sentence in (
        "88 % Overdue likely 75–103 %",
        "Past the due line since before 30 Aug.",
        "Forecasts are estimates; a rod is better.",
        "Last sounding 120 mm of 150, 80 % 30 Aug, 35 days ago",
        "Last emptied never on record",
        "Flow 1 900 L/h, 79 % of baseline".replace("1 900", "1\u202f900"),
        "Head difference 22 mm, 1.6 × baseline",
        "One more sounding would narrow this most.",
        "Husbandry limits, not toxicity limits.",
        "One male, three females (1.3.0).",
        "Unplug first",
        "Two people",
    ):
        assert sentence in words, sentence
    assert_reads_well(html)


def test_the_drawing_is_to_scale_and_says_the_same_in_words(pond: Filter, supervisor: Any) -> None:
    html = page(supervisor)
    assert html.count('class="section section-print"') == 1
    assert html.count('class="section section-card"') == 1
    assert "Sludge about 132 mm deep, 88 % of the void, likely between 75 % and 103 %; due at 70 %." in html


def test_the_chart_is_data_for_a_script_with_its_table_in_the_page(pond: Filter, supervisor: Any) -> None:
    html = page(supervisor)
    figure = re.search(rf'<script id="fill-{pond.pk}" type="application/json">(.*?)</script>', html, re.S)
    assert figure is not None
    config = json.loads(figure[1])["config"]
    assert config["showSendToCloud"] is False
    assert config["displayModeBar"] is False
    table = html[html.index("The readings behind the picture") :]
    assert re.search(r"30\u00a0Aug</time></td><td>sounding</td><td>120</td><td>80\u00a0%", table)
    assert "plotly.min.js" in html


def test_the_list_pages_load_no_chart_script(pond: Filter, supervisor: Any) -> None:
    for url in ("/filters/", "/enclosures/"):
        assert "plotly" not in signed_in(supervisor).get(url).content.decode()


def test_a_reading_beyond_the_kit_shows_its_sign_and_its_raw_figure(pond: Filter, supervisor: Any) -> None:
    words = said(page(supervisor))
    assert "> 6.58 act > 8 mg/L as NH₃ as read" in words


def test_the_page_is_never_older_than_the_last_record(pond: Filter, keeper: Any, facility: Any) -> None:
    """A feeding makes the stored answer stale; whoever opens the page gets a new one."""
    log_feeding(
        enclosure=pond.enclosure,
        moment=at(TODAY, 8, 0, facility),
        lines=[LineGiven(food_item=FoodItem.objects.get(code="pellet"), offered_g=12)],
        stamp=stamp(NOW),
    )
    assert FilterOutlook.objects.get(filter=pond).is_stale
    page(keeper)
    fresh = FilterOutlook.objects.get(filter=pond)
    assert not fresh.is_stale
    assert fresh.as_of == TODAY
    assert fresh.model_version


def test_an_answer_of_yesterday_is_computed_anew(pond: Filter, keeper: Any) -> None:
    FilterOutlook.objects.update(as_of=date(2025, 10, 3))
    page(keeper)
    assert FilterOutlook.objects.get(filter=pond).as_of == TODAY


def test_an_up_to_date_answer_is_only_read(pond: Filter, keeper: Any) -> None:
    page(keeper)
    assert FilterOutlook.objects.get(filter=pond).model_version == ""


def test_the_first_button_is_the_cleanout_where_one_is_due_and_the_feed_where_not(pond: Filter, keeper: Any) -> None:
    first = re.compile(r'class="button button-first" href="([^"]+)"')
    assert first.findall(page(keeper)) == [reverse("log-cleanout", args=["P1-F"])]
    answer(pond, fill=(0.1, 0.2, 0.3), band=Band.FINE, due="Between Jun and Oct 2026, most likely Aug.")
    assert first.findall(page(keeper)) == [reverse("log-feeding", args=["P1"])]


def test_signals_that_disagree_come_first_and_ask_for_no_cleanout(pond: Filter, keeper: Any) -> None:
    answer(pond, band=Band.ACT, pinned="Signals disagree: rod says 13 %. Look at pump and bed.")
    html = page(keeper)
    assert html.index("Rod says 13\u00a0%.") < html.index('class="state-grid"')
    assert "Log the cleanout" not in html


def test_a_reader_sees_everything_and_is_offered_nothing(pond: Filter, reader: Any) -> None:
    words = said(page(reader))
    assert "88 %" in words
    for offer in ("Log the cleanout", "Take a sounding", "Feed Test", "Correct", "Undo", "Edit P1"):
        assert offer not in words


def test_entries_can_be_put_right_by_whoever_may(pond: Filter, keeper: Any, other_keeper: Any, supervisor: Any) -> None:
    entry = Feeding.objects.newest_first().first().entry
    link = reverse("correct-entry", args=["feeding", entry])
    assert link in page(keeper)  # K1 made it
    assert link not in page(other_keeper)
    assert link in page(supervisor)


def test_an_own_entry_of_the_last_minutes_can_be_undone(pond: Filter, keeper: Any, facility: Any) -> None:
    record = log_feeding(
        enclosure=pond.enclosure,
        moment=at(TODAY, 10, 25, facility),
        lines=[LineGiven(food_item=FoodItem.objects.get(code="pellet"), offered_g=12)],
        stamp=stamp(NOW),
    ).record
    assert reverse("undo-entry", args=["feeding", record.entry]) in page(keeper)


def test_earlier_entries_come_as_a_part_and_as_a_page(pond: Filter, keeper: Any) -> None:
    url = reverse("enclosure-dashboard", args=["P1"])
    part = signed_in(keeper).get(f"{url}?entries=36", headers={**HTMX, "HX-Target": "entries-list"}).content.decode()
    assert part.lstrip().startswith('<div id="entries-list">')
    assert "<html" not in part
    assert part.count("<li>") > 12
    assert page(keeper, entries="36").count('<li>\n      <time datetime="') > 12
    assert page(keeper, entries="a lot").count('<li>\n      <time datetime="') == 12


def test_the_water_chart_comes_when_it_is_asked_for(pond: Filter, keeper: Any) -> None:
    assert 'data-figure="water-figure"' not in page(keeper)
    assert 'data-figure="water-figure"' in page(keeper, chart="water")
    url = reverse("enclosure-dashboard", args=["P1"])
    part = signed_in(keeper).get(url, headers={**HTMX, "HX-Target": "water-chart"}).content.decode()
    assert 'id="water-figure" type="application/json"' in part
    assert "<html" not in part


def test_every_reading_comes_as_it_was_read_when_it_is_asked_for(pond: Filter, keeper: Any) -> None:
    assert "8 mg/L as NH₃ as read" in said(page(keeper))
    assert "Counts as" not in said(page(keeper))
    words = said(page(keeper, readings="all"))
    assert "TAN > 8 mg/L as NH₃ – > 6.58 mg/L as N K1" in words
    url = reverse("enclosure-dashboard", args=["P1"])
    part = signed_in(keeper).get(url, headers={**HTMX, "HX-Target": "water-readings"}).content.decode()
    assert "Counts as" in part
    assert "<html" not in part


def test_a_place_on_a_sponge_has_a_clear_page_without_fill(keeper: Any, facility: Any) -> None:
    tub = make_enclosure(facility, "Q1", kind="quarantine", indoor=True, name="Quarantine rack")
    Filter.objects.create(code="Q1-S", enclosure=tub, kind="sponge")
    html = page(keeper, "Q1")
    words = said(html)
    assert "Q1-S, sponge: no void, so nothing to forecast." in words
    assert "Fill of the void" not in words
    assert "Quarantine last" in words
    assert_reads_well(html)


def test_a_filter_without_measures_says_which_two_are_needed(supervisor: Any, facility: Any) -> None:
    Filter.objects.create(code="X1-F", enclosure=make_enclosure(facility, "X1"), kind="upflow")
    html = page(supervisor, "X1")
    words = said(html)
    assert "How full it is: not known" in words
    assert "the area of the chamber, and the height of the void" in words
    assert reverse("rebuild-filter", args=["X1-F"]) in html
    assert_reads_well(html)


def test_a_bare_enclosure_says_that_nothing_is_there_yet(keeper: Any, facility: Any) -> None:
    make_enclosure(facility, "Z1", kind="tub")
    html = page(keeper, "Z1")
    words = said(html)
    for sentence in ("No filter is on record for Z1.", "Nothing entered yet.", "No water test in the last twelve months.",
                     "No animals here now."):  # fmt: skip
        assert sentence in words
    assert_reads_well(html)


def test_a_new_filter_without_any_reading_still_has_its_forecast(keeper: Any, facility: Any) -> None:
    make_filter(make_enclosure(facility, "N1"), valid_from=date(2025, 9, 1))
    html = page(keeper, "N1")
    assert "Last sounding never" in said(html)
    assert re.search(r"likely \d+–\d+ %", said(html))
    assert_reads_well(html)


def test_two_filters_of_one_enclosure_each_have_their_state(supervisor: Any, pond: Filter) -> None:
    second = make_filter(pond.enclosure, "P1-G", void_height_mm=120)
    answer(second, fill=(0.1, 0.2, 0.3), band=Band.FINE, due="Between Jun and Oct 2026, most likely Aug.")
    words = said(page(supervisor))
    assert "Fill of the void, P1-F" in words
    assert "Fill of the void, P1-G" in words
    assert "Take a sounding, P1-G" in words


def test_winter_rest_is_said_at_the_head(pond: Filter, keeper: Any) -> None:
    begin_season(
        enclosure=pond.enclosure, kind="brumation", from_on=date(2025, 10, 2), stamp=entered_on(date(2025, 10, 2))
    )
    answer(pond, season="They are in winter rest: leave them be until about April.")
    html = page(keeper)
    assert "In winter rest since 2 Oct: no feeding." in said(html)
    assert "button-first" not in html  # nothing is asked for: neither a cleanout nor a feeding


def test_where_no_animal_is_on_record_a_meal_can_still_be_logged_unless_the_place_rests(
    keeper: Any, facility: Any
) -> None:
    place = make_filter(make_enclosure(facility, "N1"), chamber_area_m2=0.4572).enclosure
    html = page(keeper, "N1")
    assert reverse("log-feeding", args=["N1"]) in html
    assert "0.457 m²" in said(html)  # 36 in × 500 mm, to what a tape can tell
    begin_season(enclosure=place, kind="resting", from_on=date(2025, 10, 2), stamp=entered_on(date(2025, 10, 2)))
    assert reverse("log-feeding", args=["N1"]) not in page(keeper, "N1")


def test_an_unknown_enclosure_is_a_kind_404(keeper: Any) -> None:
    got = signed_in(keeper).get(reverse("enclosure-dashboard", args=["NOPE"]))
    assert got.status_code == 404
    assert "There is no enclosure NOPE here." in words_of(got.content.decode())


@pytest.mark.parametrize("who", ["coordinator", "stranger"])
def test_outsiders_may_not_open_an_enclosure(who: str, request: Any, pond: Filter) -> None:
    assert signed_in(request.getfixturevalue(who)).get("/enclosures/P1/").status_code == 403


def test_the_number_of_queries_does_not_grow_with_the_records(
    pond: Filter, keeper: Any, django_assert_max_num_queries: Any
) -> None:
    client = signed_in(keeper)
    with django_assert_max_num_queries(60) as few:
        client.get("/enclosures/P1/")
    log_some_days(pond, n=25)
    answer(pond)
    with django_assert_max_num_queries(60) as many:
        client.get("/enclosures/P1/")
    assert len(many.captured_queries) <= len(few.captured_queries)


def refreshed(pond: Filter) -> None:
    refresh_outlook(Filter.objects.with_place().get(pk=pond.pk), today=TODAY, now=NOW)


def test_the_page_explains_its_forecast_to_a_supervisor_in_plain_words(pond: Filter, supervisor: Any) -> None:
    refreshed(pond)
    html = page(supervisor)
    words = said(html)
    found = re.search(r"Where it is .* Why (Feed|Leaves|The rod|No rod).* What would change it ", words)
    assert found is not None
    change = words.index("What would change it")
    assert change < words.index("Fill of the void")
    assert re.search(r"Sure: (none|rough|fair|good)", words)
    assert "Emptied " in words[change:]
    assert not re.search(r"median|quantile|posterior|probability|P50", words)
    assert_reads_well(html)


def test_the_numbers_behind_a_forecast_stay_shut_until_they_are_asked_for(pond: Filter, supervisor: Any) -> None:
    refreshed(pond)
    html = page(supervisor)
    inside = re.search(r"<details>\s*<summary>The numbers behind it</summary>(.*?)</details>", html, re.S)
    assert inside is not None
    numbers = words_of(inside[1]).replace("\u00a0", " ")
    for term in ("Sludge per kg of dry feed", "Chance to be due within 365 days", "Model", "What came in since"):
        assert term in numbers
        assert term not in said(html.replace(inside[0], ""))


def test_feed_that_nobody_logged_is_named_among_the_causes(pond: Filter, supervisor: Any) -> None:
    """Forty days without an entry between meals of every day."""
    log_some_days(pond, until=TODAY - timedelta(days=50))
    refreshed(pond)
    words = said(page(supervisor))
    assert re.search(
        r"Feed was not logged on \d+ days \(.*?\); the usual amount, [\d.]+ (g|kg) dry, is assumed\.", words
    )
    assert words.count("Feed was not logged") == 1


def test_a_keeper_reads_the_same_explanation_without_the_ways_to_the_planning(pond: Filter, keeper: Any) -> None:
    refreshed(pond)
    words = said(page(keeper))
    assert "What would change it" in words
    assert "Try a change" not in words
    assert "Look closer" not in words


def test_an_answer_kept_by_an_earlier_version_is_shown_without_explanation(pond: Filter, supervisor: Any) -> None:
    words = said(page(supervisor))
    assert "88 % Overdue" in words
    assert "What would change it" not in words
