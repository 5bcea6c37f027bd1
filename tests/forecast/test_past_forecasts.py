from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.forecast.outcomes import Outcome
from enclosures.forecast.past_forecasts import (
    PastForecast,
    early_words,
    luck,
    quarter_days,
    record_line,
    track_record,
)

MADE_ON = date(2024, 1, 1)
AHEAD = (100, 120, 140, 160, 180, 200, 220, 240, 260)


TODAY = date(2040, 1, 1)


def past(
    came: int | None = None,
    *,
    cleaned: int | None = None,
    below: int | None = None,
    made_on: date = MADE_ON,
    **more: Any,
) -> PastForecast:
    """Said for 180 days on, 100 to 260; it came, was cleaned or was still below its line so many days after, or nothing is known."""
    outcome = Outcome(below_on=None if below is None else made_on + timedelta(days=below))
    if came is not None:
        outcome = Outcome(kind="came", on=made_on + timedelta(days=came))
    if cleaned is not None:
        on = made_on + timedelta(days=cleaned)
        outcome = Outcome(kind="cleaned", on=on, below_on=on)
    return PastForecast(**{"filter": "P1-F", "made_on": made_on, "ahead": AHEAD, "outcome": outcome, **more})


def later(k: int) -> date:
    return MADE_ON + timedelta(days=330 * k)


def test_early_is_said_before_it_came_and_late_after() -> None:
    assert past(came=192).days_early == 12
    assert past(came=160).days_early == -20
    told = [past(came=192), past(came=160, made_on=later(1)), past(came=175, made_on=later(2))]
    assert record_line(told) == "The last three forecasts: 12 days early, 20 days late, 5 days late."
    assert record_line([past(came=181)]) == "The last forecast was 1 day early."
    assert [early_words(days) for days in (0, 3, -1)] == ["right to the day", "3 days early", "1 day late"]


def test_only_the_last_three_fillings_are_told_each_by_its_latest_forecast() -> None:
    told = [past(came=180 + 10 * k, made_on=later(k)) for k in range(5)]
    assert record_line(told) == "The last three forecasts: 20 days early, 30 days early, 40 days early."
    of_one = [past(came=200), past(came=170, made_on=MADE_ON + timedelta(days=30))]  # both came on one day
    assert record_line(of_one) == "The last forecast was 10 days late."


def test_a_void_cleaned_before_it_was_due_is_no_early_forecast() -> None:
    cleaned = past(cleaned=90)
    assert (cleaned.days_early, cleaned.least_days_early, cleaned.is_inside) == (None, None, None)
    assert record_line([cleaned]).startswith("Always cleaned before it was due, so we cannot tell")
    record = track_record([cleaned, past(came=180)], today=TODAY)
    assert (record.n, record.n_unknown, record.n_inside) == (1, 1, 1)
    assert record_line([past()]) == record_line([]) == "No forecast has come due yet."


def test_a_rod_below_the_line_after_the_day_we_named_says_early_at_least() -> None:
    for each in (past(below=200), past(cleaned=200)):
        assert (each.least_days_early, each.days_early) == (20, None)
        assert [each.was_due_by(tenths) for tenths in (5, 6, 7)] == [False, False, None]
    assert past(below=270).is_inside is False


def test_a_forecast_that_spoke_of_the_next_two_months_is_not_counted_whatever_came() -> None:
    near = past(came=400, ahead=(10, 20, 30, 40, 59, 70, 80, 90, 500))
    assert record_line([near]) == "No forecast has come due yet."
    assert track_record([near], today=TODAY).n == 0
    surprise = past(came=5)  # said for half a year on, and it came within the week
    assert track_record([surprise], today=TODAY).n == 1
    assert record_line([surprise]) == "The last forecast was 175 days late."


def test_a_day_named_is_judged_once_it_has_passed_and_not_because_the_void_came_due_early() -> None:
    """On day 150 the days named for 1, 2 and 3 in 10 have passed, for the early void and for the one still filling alike."""
    told = [past(came=90), past(below=150, filter="P2-F")]
    record = track_record(told, today=MADE_ON + timedelta(days=150))
    assert [(share.n_by, share.n) for share in record.shares] == [(1, 2)] * 3 + [(0, 0)] * 6
    assert (record.n, record.n_ranges) == (0, 0)


@pytest.mark.parametrize(("came", "is_inside"), [(99, False), (100, True), (260, True), (261, False)])
def test_inside_is_between_the_days_for_one_and_for_nine_in_ten(came: int, is_inside: bool) -> None:
    assert past(came=came).is_inside is is_inside


def test_a_range_without_an_end_holds_whatever_comes_late() -> None:
    open_ended = past(came=1000, ahead=(100, 200, 300, 400, None, None, None, None, None))
    assert open_ended.is_inside
    assert open_ended.days_early == 1000 - 1095
    assert not past(came=400, ahead=(None,) * 9).is_inside  # said: not within three years


def test_each_share_is_counted_by_the_day_that_was_named_for_it() -> None:
    told = [past(came=days, made_on=later(k)) for k, days in enumerate((90, 130, 170, 210, 250, 300))]
    record = track_record(told, today=TODAY)
    assert [share.n_by for share in record.shares] == [1, 1, 2, 2, 3, 3, 4, 4, 5]
    assert {share.n for share in record.shares} == {6}
    eight = record.shares[7]
    assert (eight.said, eight.n_by, eight.n_right) == (0.8, 4, 5)


def test_luck_is_the_binomial_table() -> None:
    """Of ten, one half: 3 to 7 (cumulated row 1 10 45 120 210 252 ... of 1024); of five, nine in ten: 4 to 5 (0.59049 are all five)."""
    assert luck(10, 0.5) == (0.3, 0.7)
    assert luck(5, 0.9) == (0.8, 1.0)
    assert luck(0, 0.5) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("days", "leaning"),
    [
        ([105, 118, 133, 150, 170, 190, 210, 235, 255, 280, 125, 195], "fair"),
        ([300] * 12, "early"),
        ([70] * 12, "late"),
        ([70] * 6 + [300] * 6, "narrow"),
        ([179, 181] * 6, "wide"),
    ],
)
def test_the_record_says_to_which_side_the_forecasts_lean(days: list[int], leaning: str) -> None:
    record = track_record((past(came=came, made_on=later(k)) for k, came in enumerate(days)), today=TODAY)
    assert record.leaning == leaning


def test_few_cases_are_called_few_by_forecasts_and_by_fillings() -> None:
    assert track_record([past(came=180, made_on=later(k)) for k in range(3)], today=TODAY).is_too_few
    one_filling = [past(came=300 - k, made_on=MADE_ON + timedelta(days=k)) for k in range(12)]
    assert track_record(one_filling, today=TODAY).n_fillings == 1
    assert track_record(one_filling, today=TODAY).is_too_few
    enough = track_record([past(came=180, made_on=later(k)) for k in range(12)], today=TODAY)
    assert (enough.is_too_few, enough.is_few) == (False, True)


def test_the_rule_of_thumb_that_did_best_in_hindsight_stands_beside_ours() -> None:
    rules = ({"line": 150, "interval": 400}, {"line": 230, "interval": 200})
    told = [past(came=190, made_on=later(k), rules=each) for k, each in enumerate(rules)]
    beside = track_record(told, today=TODAY).beside
    assert beside
    assert (beside.ours, beside.best_rule, beside.best) == (10, "line", 40)
    assert track_record([], today=TODAY).beside is None


def test_forecasts_are_kept_on_the_first_days_of_quarters() -> None:
    found = quarter_days(date(2024, 4, 2), date(2025, 1, 1))
    assert found == [date(2024, 7, 1), date(2024, 10, 1), date(2025, 1, 1)]
