from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.boards.past_forecasts import build_past_forecasts
from enclosures.boards.track_record import load_record_lines
from tests.boards.kept import AHEAD, keep
from tests.boards.pond import make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db
MADE_ON = date(2022, 1, 1)


def board_of(facility: Any) -> Any:
    return build_past_forecasts(facility=facility, today=TODAY)


def some_fillings(facility: Any, days: tuple[int, ...], *, of: int = 4) -> None:
    """One void after another, so many at each of a few ponds."""
    for number, came in enumerate(days):
        if number % of == 0:
            pond = make_pond(facility, f"P{number // of + 1}")
        keep(pond, MADE_ON + timedelta(days=300 * (number % of)), came=came)


def test_early_and_late_carry_their_signs_into_the_table(facility: Any) -> None:
    pond = make_pond(facility)
    keep(pond, MADE_ON, came=192)
    keep(pond, date(2023, 1, 1), came=100)
    keep(pond, date(2024, 1, 1), came=300)
    (record,) = board_of(facility).filters
    assert (
        record.line.replace("\u00a0", " ") == "The last three forecasts: 12 days early, 80 days late, 120 days early."
    )
    assert [(row.off, row.is_inside) for row in record.rows] == [
        ("120\u00a0days early", False),
        ("80\u00a0days late", True),
        ("12\u00a0days early", True),
    ]
    assert record.rows[2].said == "Apr to Sep 2022, most likely Jun"
    assert record.rows[2].came == "about 12\u00a0Jul 2022"


def test_cleaned_before_it_was_due_is_said_so_and_not_counted(facility: Any) -> None:
    pond = make_pond(facility)
    keep(pond, MADE_ON, cleaned=90)
    keep(pond, date(2023, 1, 1), cleaned=200)  # twenty days past the day called likeliest
    board = board_of(facility)
    after, before = board.filters[0].rows
    assert (before.came, before.off, before.is_inside) == ("", "cleaned before it was due, so we cannot tell", None)
    assert (after.off, after.is_inside) == ("at least 20\u00a0days early", None)
    assert after.came == "after 20\u00a0Jul 2023, when it was emptied"
    assert board.record.n == 1
    assert "cleaned before the day we named" in board.left_out


def test_few_past_forecasts_are_said_to_be_too_few_and_nothing_is_drawn(facility: Any) -> None:
    some_fillings(facility, (150, 170, 190))
    board = board_of(facility)
    assert board.lead == "Three past forecasts: too few to judge."
    assert not board.has_chart
    assert not board.beside


def test_nothing_kept_and_nothing_to_judge_are_told_apart(facility: Any) -> None:
    pond = make_pond(facility)
    assert board_of(facility).is_empty
    keep(pond, TODAY - timedelta(days=30))
    board = board_of(facility)
    assert not board.is_empty
    assert board.lead == "No past forecast can be judged yet: the days they named are still ahead."
    assert board.filters[0].rows == ()


def test_the_chart_counts_and_says_which_way_the_forecasts_lean(facility: Any) -> None:
    some_fillings(facility, (90, 110, 130, 150, 170, 190, 210, 230, 250, 270))
    board = board_of(facility)
    assert [row.came for row in board.shares] == [f"{n} of 10" for n in range(1, 10)]
    assert board.example == "Of the 10 times we said 8 in 10, it was 8; 8 would be right."
    assert board.leaning == "No share stands further off than luck alone would put it."
    assert board.lead.startswith("Of 10 past forecasts whose whole range has passed, 8 came inside it")


def test_forecasts_that_run_late_are_said_to_and_the_better_rule_is_named(facility: Any) -> None:
    some_fillings(facility, (110,) * 10)
    board = board_of(facility)
    assert "our forecasts run late" in board.leaning
    assert not board.doubt
    assert "a straight line" not in board.beside
    beside = board.beside.replace("\u00a0", " ")
    assert beside.startswith("Of the 10 that have come due, half came within 70 days")
    assert "the same interval as last time, was further off: 80 days" in beside
    for number in range(5):
        keep(make_pond(facility, f"X{number}"), MADE_ON, cleaned=90)
    assert "five more could not be judged" in board_of(facility).doubt


@pytest.mark.parametrize(
    ("ahead", "said"),
    [
        ([None] * 9, "not before Jan 2025"),
        ([400, 500, 600, None, None, None, None, None, None], "Feb 2023 or later, more likely after Jan 2025"),
        ([300, 310, 320, 330, 340, 400, 500, 600, 700], "Oct 2022 to Dec 2023, most likely Dec 2022"),
        ([91, 92, 93, 94, 95, 96, 97, 98, 99], "Apr 2022"),
    ],
)
def test_what_was_said_is_a_range_of_months_and_never_a_bare_day(facility: Any, ahead: list[Any], said: str) -> None:
    keep(make_pond(facility), MADE_ON, came=200, ahead=ahead)
    (row,) = board_of(facility).filters[0].rows
    assert row.said == said


def test_the_lists_line_is_kept_for_filters_of_which_something_came_due(facility: Any) -> None:
    came, filling = make_pond(facility, "P1"), make_pond(facility, "P2")
    keep(came, MADE_ON, came=185)
    keep(filling, MADE_ON)
    assert load_record_lines([came, filling], only_scored=True) == {came.pk: "The last forecast was 5\u00a0days early."}
    assert load_record_lines([filling])[filling.pk] == "No forecast has come due yet."


def test_two_queries_however_many_filters(facility: Any, django_assert_num_queries: Any) -> None:
    for number in range(3):
        keep(make_pond(facility, f"P{number}"), MADE_ON, came=AHEAD[number])
    with django_assert_num_queries(2):
        board_of(facility)
    for number in range(3, 9):
        keep(make_pond(facility, f"P{number}"), MADE_ON, came=AHEAD[number])
    with django_assert_num_queries(2):
        assert len(board_of(facility).filters) == 9
