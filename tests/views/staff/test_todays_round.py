"""The round as a page and as an address that takes entries: answers, questions, retries, other days, roles, size."""

from __future__ import annotations

import gzip
import re
import uuid
from datetime import timedelta
from typing import Any

import pytest

from enclosures.actions.rounds import part_entry
from enclosures.models import Feeding, FoodItem, Instruction, RoundCheck, RoundSkip, WaterTest
from tests.actions.station import make_enclosure
from tests.boards.walk import feed, lived_in, plan, settle_in
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import HTMX, on_the_day, signed_in

PATH = "/round/P1/"


@pytest.fixture
def walk(pond: Any, pellet: FoodItem) -> Any:
    """P1 of the shared fixtures with two turtles and a scoop every morning."""
    settle_in(pond, "BL-104", "BL-106")
    plan(pond, pellet)
    return pond


def as_planned(pellet: FoodItem, **more: Any) -> dict[str, Any]:
    return {"slot": "am", "what": "feed", "line": f"{pellet.pk}|1|scoop", **more}


def test_as_planned_is_one_tap_and_answers_with_the_row(walk: Any, pellet: FoodItem, keeper: Any, post: Any) -> None:
    entry = str(uuid.uuid4())
    answer = post(keeper, PATH, as_planned(pellet, entry=entry))
    assert (answer.status_code, answer.headers["X-Entry"]) == (201, entry)
    html = answer.content.decode()
    assert html.lstrip().startswith('<li class="stop is-done is-new" id="stop-P1"')
    assert "as planned, 10:30" in words_of(html)  # NOW is 08:30 UTC, the station's clock shows 10:30
    assert 'id="tally" hx-swap-oob="true"' in html
    feeding = Feeding.objects.get()
    assert (feeding.outcome, feeding.slot, feeding.how, feeding.entered_by) == ("planned", "am", "round", "K1")
    assert feeding.lines.get().offered_g == 26


def test_a_retry_answers_200_and_doubles_nothing(walk: Any, pellet: FoodItem, keeper: Any, post: Any) -> None:
    said = as_planned(pellet, entry=str(uuid.uuid4()), device_at="2025-10-04T08:20:00Z", sent_at="2025-10-04T08:30:00Z")
    again = {**said, "sent_at": "2025-10-04T08:29:00Z"}
    assert [post(keeper, PATH, each).status_code for each in (said, again)] == [201, 200]
    assert Feeding.objects.count() == 1


def test_the_same_id_with_other_content_is_a_conflict(walk: Any, pellet: FoodItem, keeper: Any, post: Any) -> None:
    entry = str(uuid.uuid4())
    post(keeper, PATH, as_planned(pellet, entry=entry))
    answer = post(keeper, PATH, as_planned(pellet, entry=entry, given="0.5"))
    assert answer.status_code == 409
    assert "said something else" in answer.content.decode()
    assert Feeding.objects.get().lines.get().offered_g == 26


def test_half_of_it_some_eaten_and_one_refused(walk: Any, pellet: FoodItem, keeper: Any, post: Any) -> None:
    """S3."""
    said = as_planned(pellet, given="0.5", eaten="some", refused=["BL-106"], head_count="2", water_temp="24,5")
    assert post(keeper, PATH, said).status_code == 201
    feeding, check = Feeding.objects.get(), RoundCheck.objects.get()
    line = feeding.lines.get()
    assert (feeding.outcome, feeding.refused) == ("changed", "BL-106")
    assert (line.amount, line.offered_g, line.eaten) == (0.5, 13, "some")
    assert (check.head_count, check.n_expected, check.odd) == (2, 2, "")
    assert WaterTest.objects.get().readings.get().canonical == 24.5


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ({"given": "0", "why_none": "gravid"}, "gravid"),
        ({"given": "0"}, "reason not noted"),
        ({"what": "hold", "why": "water too cold", "line": []}, "water too cold"),
    ],
)
def test_a_meal_not_given_is_recorded_with_its_reason(
    walk: Any, pellet: FoodItem, keeper: Any, post: Any, said: dict[str, Any], reason: str
) -> None:
    assert post(keeper, PATH, as_planned(pellet) | said).status_code == 201
    feeding = Feeding.objects.get()
    assert (feeding.outcome, feeding.not_fed_reason, feeding.lines.count()) == ("not_fed", reason, 0)


def test_a_look_an_odd_thing_and_a_skip(walk: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, {"slot": "am", "what": "look", "odd": "Foam at the weir"}).status_code == 201
    assert RoundCheck.objects.get().odd == "Foam at the weir"
    assert post(keeper, PATH, {"slot": "am", "what": "look", "skip": "cannot get in"}).status_code == 201
    assert RoundSkip.objects.get().cause == "cannot get in"
    both = post(keeper, PATH, {"slot": "am", "what": "look", "skip": "no time", "odd": "Foam"})
    assert both.status_code == 422
    assert "Skipped, or looked at?" in both.content.decode()


def test_77_degrees_are_asked_about_and_nothing_typed_is_lost(
    walk: Any, pellet: FoodItem, keeper: Any, post: Any
) -> None:
    """F5: 77 °F are 25.0 °C (exact: (77 − 32) / 1.8)."""
    said = as_planned(pellet, given="0.5", eaten="most", refused=["BL-104"], odd="Slow", water_temp="77")
    asked = post(keeper, PATH, said)
    html = asked.content.decode()
    assert asked.status_code == 422
    assert "77\u00a0°C? Did you mean 77\u00a0°F (25.0\u00a0°C)?" in html
    for kept in (
        'id="open-P1" checked', 'value="0.5" checked', 'value="most" checked', 'value="BL-104" checked', 'value="Slow"',
        'value="77"',
    ):  # fmt: skip
        assert kept in html, kept
    button = re.search(r'name="answer" value="(water_temp\|use\|[^"]+)"', html)
    assert button is not None
    assert post(keeper, PATH, said | {"answer": button[1]}).status_code == 201
    assert WaterTest.objects.get().readings.get().canonical == pytest.approx(25.0)
    assert "UNIT" in WaterTest.objects.get().flags
    assert Feeding.objects.get().flags == []


def test_a_meal_somebody_logged_is_asked_about_once(
    walk: Any, pellet: FoodItem, keeper: Any, other_keeper: Any, post: Any
) -> None:
    """F4."""
    first = feed(walk, pellet, TODAY, by="K2")
    asked = post(keeper, PATH, as_planned(pellet))
    html = asked.content.decode()
    assert asked.status_code == 422
    assert "Fed at 07:44 by K2. Add another meal?" in html
    assert Feeding.objects.count() == 1
    assert f'name="another" value="{first.entry}"' in html
    assert post(keeper, PATH, as_planned(pellet, another=str(first.entry))).status_code == 201
    assert Feeding.objects.count() == 2
    assert not any(feeding.flags for feeding in Feeding.objects.all())


def test_what_lay_on_a_tablet_is_kept_and_flagged_instead(walk: Any, pellet: FoodItem, keeper: Any, post: Any) -> None:
    feed(walk, pellet, TODAY, by="K2")
    said = as_planned(pellet, queued="1", device_at="2025-10-04T05:50:00Z", sent_at="2025-10-04T08:30:00Z")
    assert post(keeper, PATH, said).status_code == 201
    mine = Feeding.objects.get(entered_by="K1")
    assert "DUP" in mine.flags
    assert mine.occurred_at.isoformat() == "2025-10-04T05:50:00+00:00"
    again = as_planned(pellet, queued="1", entry=str(uuid.uuid4()))
    assert post(keeper, PATH, again).status_code == 201
    assert "DUP" in Feeding.objects.get(entry=part_entry(uuid.UUID(again["entry"]), "feeding")).flags, "one's own, too"
    one_more = as_planned(pellet, queued="1", known_meal=again["entry"], entry=str(uuid.uuid4()))
    assert post(keeper, PATH, one_more).status_code == 201
    assert Feeding.objects.get(entry=part_entry(uuid.UUID(one_more["entry"]), "feeding")).flags == []


def test_undo_takes_back_the_whole_stop_and_shows_the_row_again(
    walk: Any, pellet: FoodItem, keeper: Any, other_keeper: Any, post: Any
) -> None:
    html = post(keeper, PATH, as_planned(pellet, head_count="2")).content.decode()
    undo = re.findall(r'name="undo" value="([^"]+)"', html)
    assert len(undo) == 2
    refused = post(other_keeper, "/round/P1/undo/", {"undo": undo})
    assert refused.status_code == 422
    assert "Only the person who made an entry" in refused.content.decode()
    answer = post(keeper, "/round/P1/undo/", {"undo": undo})
    assert answer.status_code == 200
    assert "As planned" in words_of(answer.content.decode())
    assert not Feeding.objects.exists()
    assert not RoundCheck.objects.exists()


def test_undo_is_of_this_enclosure_and_of_real_entries(
    walk: Any, pellet: FoodItem, facility: Any, keeper: Any, post: Any
) -> None:
    other = make_enclosure(facility, "P2")
    feeding = feed(other, pellet, TODAY)
    for undo in ([f"feeding|{feeding.entry}"], ["feeding|x"], [f"nothing|{uuid.uuid4()}"], []):
        assert post(keeper, "/round/P1/undo/", {"undo": undo}).status_code == 404


def test_without_script_the_form_posts_and_the_page_goes_on(
    walk: Any, pellet: FoodItem, facility: Any, keeper: Any, post: Any
) -> None:
    lived_in(facility, "P2")
    answer = post(keeper, PATH, as_planned(pellet), plain=True)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/round/?slot=am#stop-P2")
    wrong = post(keeper, "/round/P2/", {"slot": "am", "what": "look", "head_count": "many", "odd": "Foam"}, plain=True)
    html = wrong.content.decode()
    assert wrong.status_code == 422
    assert "Count: a whole number from 0 to 2000." in html
    assert 'value="Foam"' in html
    assert "<h1>Today’s round</h1>" in html


def test_yesterdays_paper_is_typed_in_as_of_that_day(
    walk: Any, pellet: FoodItem, keeper: Any, post: Any, look: Any
) -> None:
    """F2: kept as of the true day, and marked."""
    html = look(keeper, "/round/?day=2025-10-03&slot=am")
    assert "Round of Friday 3 October" in html
    assert "paper sheet" in html
    assert html.count('name="when_on" value="2025-10-03"') == 2
    typed = {"when": "earlier", "when_on": "2025-10-03"}
    assert post(keeper, PATH, as_planned(pellet, recall="paper", **typed)).status_code == 201
    feeding = Feeding.objects.get()
    assert (str(feeding.occurred_on), feeding.precision, feeding.how) == ("2025-10-03", "day", "paper")
    html = look(keeper, "/round/?day=2025-10-03&slot=am")
    assert "as planned" in words_of(html)
    assert (
        post(keeper, PATH, as_planned(pellet, recall="late", when="earlier", when_on="2025-10-02")).status_code == 201
    )
    late = Feeding.objects.get(occurred_on="2025-10-02")
    assert {"LATE", "MEM"} <= set(late.flags)


@pytest.mark.parametrize("query", ["?day=2025-10-05", "?day=nonsense", "?day=2020-01-01", "?slot=noon"])
def test_an_address_that_makes_no_sense_is_todays_morning(walk: Any, keeper: Any, look: Any, query: str) -> None:
    assert "<h1>Today’s round</h1>" in look(keeper, f"/round/{query}")


def test_an_instruction_is_ticked_off_on_the_round(
    walk: Any, pellet: FoodItem, keeper: Any, supervisor: Any, post: Any
) -> None:
    said = {"act": "tell", "text": "Look for the leak", "shown_from": "2025-10-04", "shown_to": ""}
    assert post(supervisor, "/enclosures/P1/plan/", said, plain=True).status_code == 302
    told = Instruction.objects.get()
    slip = post(keeper, PATH, as_planned(pellet, done=str(told.entry), water_temp="77"))
    assert f'name="done" value="{told.entry}" checked' in slip.content.decode(), (
        "a tick outlives a question about the water"
    )
    answer = post(keeper, PATH, as_planned(pellet, done=str(told.entry)))
    assert answer.status_code == 201
    assert Instruction.objects.get().is_done
    assert Instruction.objects.get().entered_by == "K1"


def test_undo_of_a_stop_asks_again_what_was_ticked_off_in_it(
    walk: Any, pellet: FoodItem, keeper: Any, supervisor: Any, post: Any
) -> None:
    said = {"act": "tell", "text": "Look for the leak", "shown_from": "2025-10-04", "shown_to": ""}
    post(supervisor, "/enclosures/P1/plan/", said, plain=True)
    told = Instruction.objects.get()
    for _ in range(2):  # ticked, taken back, ticked again and taken back again
        html = post(keeper, PATH, as_planned(pellet, done=str(Instruction.objects.get().entry))).content.decode()
        assert Instruction.objects.get().is_done
        back = post(keeper, "/round/P1/undo/", {"undo": re.findall(r'name="undo" value="([^"]+)"', html)})
        assert "Look for the leak" in words_of(back.content.decode())
        assert not Instruction.objects.get().is_done
    assert Instruction.objects.get().text == told.text


@pytest.mark.parametrize("line", ["x|1|scoop", "999999|1|scoop", "1", "{pk}|-1|scoop", "{pk}|nan|scoop"])
def test_a_row_that_is_out_of_date_is_refused_in_a_sentence(
    walk: Any, pellet: FoodItem, keeper: Any, post: Any, line: str
) -> None:
    answer = post(keeper, PATH, as_planned(pellet, line=line.format(pk=pellet.pk)))
    assert answer.status_code == 422
    assert "Reload the page." in answer.content.decode()
    assert not Feeding.objects.exists()


def test_the_round_is_for_those_who_log(
    walk: Any, coordinator: Any, reader: Any, veterinarian: Any, supervisor: Any
) -> None:
    with on_the_day():
        for user in (coordinator, reader, veterinarian):
            assert signed_in(user).get("/round/").status_code == 403
            assert signed_in(user).post(PATH, {"slot": "am", "what": "look"}).status_code == 403
            assert b">Round<" not in signed_in(user).get("/filters/").content
        assert signed_in(supervisor).get("/round/").status_code == 200
    assert not RoundCheck.objects.exists()


def test_a_keepers_first_page_is_the_round(walk: Any, keeper: Any) -> None:
    with on_the_day():
        assert signed_in(keeper).get("/").headers["Location"] == "/round/"


def test_an_empty_station_says_how_to_begin(facility: Any, keeper: Any, look: Any) -> None:
    words = words_of(look(keeper, "/round/"))
    assert "Nothing to walk to" in words
    assert "as soon as an animal lives in it" in words


def test_the_row_alone_can_be_asked_for(walk: Any, pellet: FoodItem, keeper: Any) -> None:
    feed(walk, pellet, TODAY, by="K2", outcome="planned")
    with on_the_day():
        part = signed_in(keeper).get(f"{PATH}?slot=am", headers=HTMX)
        page = signed_in(keeper).get(PATH)
    assert "as planned, 07:44" in words_of(part.content.decode())
    assert "<html" not in part.content.decode()
    assert page.headers["Location"] == "/round/?slot=am#stop-P1"


def test_fourteen_enclosures_fit_a_page_of_20_kb_and_read_well(
    facility: Any, pellet: FoodItem, keeper: Any, look: Any
) -> None:
    for n in range(14):
        place = lived_in(facility, f"E{n}", *(f"E{n}-{k}" for k in range(4)))
        plan(place, pellet, not_below_c=14.0, less_below_c=19.0)
        feed(place, pellet, TODAY - timedelta(days=1))
    html = look(keeper, "/round/")
    assert len(gzip.compress(html.encode())) <= 20_000
    assert "plotly" not in html
    assert html.count("As planned") == 14
    assert_reads_well(html)


def test_the_paper_sheet_has_the_same_walk_with_room_to_write(
    walk: Any, pellet: FoodItem, facility: Any, keeper: Any, look: Any
) -> None:
    lived_in(facility, "Q1", kind="quarantine")
    html = look(keeper, "/round/sheet/")
    words = words_of(html)
    assert "Morning round, Saturday 4 October 2025" in words
    assert words.index("P1") < words.index("Quarantine, last") < words.index("Q1")
    assert "/ 2" in words
    feed(walk, pellet, TODAY, by="K2", outcome="planned")
    assert "As planned, 07:44, by K2" in words_of(look(keeper, "/round/sheet/")), (
        "printed in mid-round it feeds nobody twice"
    )
    assert "Sunday 5 October" in words_of(look(keeper, "/round/sheet/?day=2025-10-05"))
    assert_reads_well(html)
