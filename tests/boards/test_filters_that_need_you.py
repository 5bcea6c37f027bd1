from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.boards.filters_that_need_you import build_filters_that_need_you, lead_words
from enclosures.boards.stored_outlook import marked_days, outlook_words
from enclosures.models import Filter
from enclosures.verdicts.words import Band
from tests.actions.station import make_enclosure, make_filter
from tests.boards.pond import answer, make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def board_of(facility: Any) -> Any:
    return build_filters_that_need_you(facility=facility, today=TODAY)


def test_bands_come_first_and_the_score_second(facility: Any) -> None:
    for code, band, score in (("A1", Band.FINE, 9), ("A2", Band.DUE, 20), ("A3", Band.ACT, 5), ("A4", Band.DUE, 55)):
        answer(make_pond(facility, code), band=band, score=score)
    board = board_of(facility)
    assert [row.label for row in board.need] == ["A3", "A4", "A2"]
    assert [row.label for row in board.fine] == ["A1"]
    assert board.lead == "Three of four."


def test_a_filter_never_forecast_is_unknown_and_needs_you(facility: Any) -> None:
    make_pond(facility, "P9")
    (row,) = board_of(facility).need
    assert row.words.band is Band.UNKNOWN
    assert row.words.due.lead == "Not known."
    assert row.bar.startswith("<svg")
    assert row.advice == "sounding"


def test_the_lead_says_which_can_be_emptied_when_others_rest(facility: Any) -> None:
    rest = "They are in winter rest: leave them be until about April."
    answer(make_pond(facility, "P1"), season=rest)
    assert board_of(facility).ready == ""  # none can
    answer(make_pond(facility, "B2"))
    assert board_of(facility).ready == "B2 can be emptied now."


def test_signals_that_disagree_are_pinned_and_do_not_ask_for_a_cleanout(facility: Any) -> None:
    sentence = "Signals disagree: rod says 13 %, but flow is 38 % of baseline. Look at pump and bed."
    answer(make_pond(facility, "P3"), band=Band.ACT, pinned=sentence)
    board = board_of(facility)
    (pinned,) = board.pinned
    assert pinned.words.pinned_advice.replace("\u00a0", " ") == (
        "Rod says 13 %, but flow is 38 % of baseline. Look at pump and bed."
    )
    assert board.need[0].advice == "flow"


def test_a_filter_past_its_line_asks_for_a_cleanout_one_near_it_for_a_sounding(facility: Any) -> None:
    answer(make_pond(facility, "P1"))
    answer(
        make_pond(facility, "P4"),
        fill=(0.49, 0.64, 0.85),
        band=Band.SOON,
        due="Between now and 2 May, most likely 24 Nov.",
    )
    answer(make_pond(facility, "P5"), fill=(0.1, 0.2, 0.3), band=Band.ACT, sentence="The pipe smells of rotten egg.")
    answer(
        make_pond(facility, "P2"),
        fill=(0.1, 0.2, 0.3),
        band=Band.FINE,
        due="Between Jun and Oct 2026, most likely Aug.",
    )
    advice = {row.label: row.advice for row in (*board_of(facility).need, *board_of(facility).fine)}
    assert advice == {"P1": "cleanout", "P4": "sounding", "P5": "sounding", "P2": ""}


def test_while_they_rest_no_work_is_offered(facility: Any) -> None:
    answer(make_pond(facility), season="They are in winter rest: leave them be until about April.")
    assert board_of(facility).need[0].advice == ""


def test_a_filter_without_measures_asks_for_them_and_says_why_once(facility: Any, client: Any, builder: Any) -> None:
    each = make_filter(make_enclosure(facility, "P7"))
    each.builds.all().delete()
    why = "The void's area and height are not on record for this day."
    answer(each, fill=None, band=Band.UNKNOWN, sentence=f"{why} Never sounded.", due=f"Not known. {why}")
    (row,) = board_of(facility).need
    assert (row.advice, row.words.due.lead, row.words.due.rest) == ("measures", "Not known.", "")
    client.force_login(builder)
    page = client.get("/filters/").content.decode()
    assert '<a href="/filters/P7-F/builds/new/">Enter its measures</a>' in page
    assert "Take a sounding" not in page
    assert client.get("/filters/P7-F/builds/new/").status_code == 200


def test_a_due_line_of_its_own_is_said_beside_the_bar(facility: Any) -> None:
    for code in ("P1", "P2"):
        answer(make_pond(facility, code))
    answer(make_pond(facility, "P3"), due_fill=0.6)
    board = board_of(facility)
    assert board.due_line == "due 70\u00a0%"
    own = {row.label: row.own_due for row in board.need}
    assert own == {"P1": "", "P2": "", "P3": "due 60\u00a0%"}
    assert 'x1="54.55%"' in next(row.bar for row in board.need if row.label == "P3")  # 0.6 of an axis that ends at 1.1


def test_two_filters_on_one_enclosure_are_called_by_their_own_codes(facility: Any) -> None:
    first = make_pond(facility, "P1")
    second = make_filter(first.enclosure, "P1-G")
    for each in (first, second):
        answer(each)
    assert sorted(row.label for row in board_of(facility).need) == ["P1-F", "P1-G"]


def test_sponges_stand_at_the_foot(facility: Any) -> None:
    for code in ("G1", "Q1"):
        Filter.objects.create(code=f"{code}-S", enclosure=make_enclosure(facility, code, kind="tub"), kind="sponge")
    board = board_of(facility)
    assert board.without_void_words == "G1 and Q1 run on sponges: no void, so nothing to forecast."
    assert not board.is_empty
    assert board.lead == ""


def test_what_was_entered_since_and_yesterdays_answers_are_said_quietly(facility: Any) -> None:
    answer(make_pond(facility, "P1"), is_stale=True)
    answer(make_pond(facility, "P2"), as_of=date(2025, 10, 2))
    stale = {row.label: row.words.stale for row in board_of(facility).need}
    assert stale["P1"].startswith("Something was entered since")
    assert stale["P2"] == "As of 2\u00a0Oct; open it for today’s."


def test_an_old_answer_says_its_days_anew_from_today(facility: Any) -> None:
    row = answer(make_pond(facility, "P1"), as_of=date(2025, 9, 1), due="Between 3 Sep and 1 Oct, most likely 9 Sep.")
    words = outlook_words(row, today=TODAY, due_fill=0.7)
    assert words.due.lead == "Now."


def test_the_season_is_said_for_all_it_holds_for(facility: Any) -> None:
    season = "Water is 15 °C and falling: about twelve days are left, else April."
    for code in ("P1", "P4"):
        answer(make_pond(facility, code), season=season)
    answer(make_pond(facility, "B2"), season="The map turtles come in on 25 Oct: empty it before they do.")
    assert board_of(facility).season.replace("\u00a0", " ") == (
        "At P1 and P4 water is 15 °C and falling: about twelve days are left, else April."
    )


def test_the_stamp_changes_when_an_answer_does(facility: Any) -> None:
    row = answer(make_pond(facility, "P1"))
    before = board_of(facility).stamp
    assert board_of(facility).stamp == before
    row.is_stale = True
    row.save()
    assert board_of(facility).stamp != before


def test_the_number_of_queries_does_not_depend_on_the_number_of_filters(
    facility: Any, django_assert_max_num_queries: Any
) -> None:
    for number in range(3):
        answer(make_pond(facility, f"P{number}"))
    with django_assert_max_num_queries(4):
        board_of(facility)
    for number in range(3, 12):
        answer(make_pond(facility, f"P{number}"))
    with django_assert_max_num_queries(4):
        assert board_of(facility).n_filters == 12


@pytest.mark.parametrize(
    ("need", "all_of_them", "said"),
    [
        (0, 0, ""),
        (0, 5, "None today."),
        (0, 1, "Not today."),
        (3, 8, "Three of eight."),
        (5, 5, "All of them."),
        (1, 1, "The only one."),
        (14, 20, "14 of 20."),
    ],
)
def test_the_lead_counts_in_words(need: int, all_of_them: int, said: str) -> None:
    assert lead_words(n_need=need, n_all=all_of_them) == said


def test_days_are_marked_in_a_due_sentence_and_nothing_else() -> None:
    def strong(lead: str) -> list[str]:
        return [piece.text for piece in marked_days(lead) if piece.is_strong]

    assert strong("Between Mar 2026 and Aug 2027,") == ["Mar 2026", "Aug 2027"]
    assert strong("Not before Jun 2026,") == ["Jun 2026"]
    assert strong("Now.") == ["Now."]
    assert "".join(piece.text for piece in marked_days("Between now and 2 May,")) == "Between now and 2 May,"
