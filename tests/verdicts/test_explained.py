"""The words of an explanation: no statistics in what is shown, missing feed never left out, and every range with its likeliest."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from enclosures.forecast.explained import Explained, FeedSeen, LastReading, Part
from enclosures.forecast.inputs import DayQuantiles, FilterEvidence, Outlook, Quantiles
from enclosures.forecast.levers import Lever
from enclosures.forecast.what_if import Shift
from enclosures.verdicts.explained import lever_words, share_words, shift_words, why_words
from enclosures.verdicts.explained_numbers import assumed_words, number_rows, part_rows, span_rows
from tests.verdicts.outlooks import make_outlook

TODAY = date(2025, 10, 4)
JARGON = re.compile(r"\b(median|quantile|posterior|prior|percentile|probability|P10|P50|P90|sigma|likelihood)\b", re.I)
FEED = FeedSeen(
    since_on=date(2024, 8, 24), is_emptied=True, offered_kg=3.1, year_kg=2.9, year_before_kg=2.3,
)  # fmt: skip
POND = FilterEvidence(
    filter="P1-F", enclosure="P1", commissioned_on=None, builds=(), is_indoor=False, litter_level="near"
)


def outlook(**more) -> Outlook:
    return replace(make_outlook(), **more)


def explained(**more) -> Explained:
    said = {
        "feed": FEED,
        "parts": (Part(name="litter", share=0.72), Part(name="pellet", share=0.24), Part(name="leftovers", share=0.04)),
        "reading": LastReading(
            on=date(2025, 8, 30), fill_read=0.8, fill=Quantiles(p10=0.75, p50=0.88, p90=1.03),
            without=Quantiles(p10=0.6, p50=0.74, p90=0.95),
        ),
        "levers": (), "unexplained": (), "disputed_on": (),
        "litres_per_kg": Quantiles(p10=2.5, p50=3.9, p90=5.7), "usual_litres_per_kg": Quantiles(p10=1.1, p50=2.3, p90=5.5),
    }  # fmt: skip
    return Explained(**{**said, **more})


def why(**more) -> tuple[str, ...]:
    return why_words(explained(**more), outlook(n_soundings=2), POND, TODAY).shown


def test_the_largest_cause_comes_first_and_each_says_how_much() -> None:
    said = why()
    assert said[0].startswith("Leaves and what blows in: about three quarters of what came in.")
    assert "The rod’s 80 % on 30 Aug raised the answer from about 74 % today to 88 %." in said
    fed = next(text for text in said if text.startswith("Feed: "))
    assert "3.1\u00a0kg dry since it was emptied on 24 Aug 2024, about a quarter of what came in." in fed
    assert "In the last twelve months 26 % more than in the twelve before." in fed


def test_feed_that_nobody_logged_is_always_named() -> None:
    gap = replace(FEED, gap_days=34, gap_kg=0.22, gap_from=date(2025, 3, 3), gap_to=date(2025, 4, 5), n_gaps=1)
    said = why(feed=gap, unexplained=("The model does not explain the sounding of 3 May (12 mm); it was left out.",))
    assert said[-1] == (
        "Feed was not logged on 34 days (3 Mar to 5 Apr); the usual amount, 220\u00a0g dry, is assumed."
    )


def test_a_fresh_reading_that_the_answer_does_not_follow_is_not_called_expected() -> None:
    """41 mm of 130 in a void believed 82 % full: it hardly moved the answer, but nobody expected it."""
    still = Quantiles(p10=0.67, p50=0.82, p90=0.99)
    reading = LastReading(on=TODAY, fill_read=0.32, fill=still, without=replace(still, p50=0.83))
    (said,) = [text for text in why(reading=reading) if text.startswith("The rod’s 32 %")]
    assert "far from what was expected" in said
    assert "Sound once more" in said
    old = replace(reading, on=date(2025, 5, 3))
    assert not any("far from" in text for text in why(reading=old)), "it has filled since"


def test_a_reading_that_was_expected_is_said_to_have_moved_nothing() -> None:
    same = Quantiles(p10=0.75, p50=0.88, p90=1.03)
    reading = LastReading(on=date(2025, 8, 30), fill_read=0.8, fill=same, without=replace(same, p50=0.86))
    assert "The rod’s 80 % on 30 Aug was as expected and hardly moved the answer." in why(reading=reading)


def test_disputed_readings_and_no_reading_are_causes_too() -> None:
    said = why(reading=None, disputed_on=(date(2025, 5, 23), date(2025, 6, 27)))
    assert "The soundings of 23 May and 27 Jun were taken while signals disagreed, so they taught nothing." in said
    rebuilt = outlook(n_soundings=2, last_sounding_on=date(2025, 9, 20), last_emptied_on=date(2025, 7, 18))
    told = why_words(explained(reading=None), rebuilt, POND, TODAY).shown
    assert "No rod reading since it was rebuilt: the answer rests on what went in." in told
    alone = why_words(explained(reading=None), outlook(n_soundings=0), POND, TODAY).shown
    assert "No rod reading yet: the answer rests on what went in." in alone
    assert "a guess from the surroundings" in alone[0]


def test_what_is_shown_at_once_names_no_statistics() -> None:
    lever = Lever(
        kind="cleanout", shift=Shift(days=300), on=TODAY, not_before=None,
        due_on=DayQuantiles(p10=date(2026, 8, 1), p50=date(2026, 12, 1), p90=date(2027, 5, 1)),
    )  # fmt: skip
    for text in (*why(), lever_words(lever, outlook(), TODAY).text):
        assert not JARGON.search(text), text


@pytest.mark.parametrize(
    ("shift", "said"),
    [
        (Shift(days=92), "about 3 months later"),
        (Shift(days=-40), "about 6 weeks sooner"),
        (Shift(days=4), "hardly any change"),
        (Shift(days=200, is_at_least=True), "at least 7 months later"),
        (Shift(days=800), "about 2 years and 2 months later"),
        (Shift(days=None), "both lie more than three years ahead"),
    ],
)
def test_a_shift_is_said_in_lengths_people_use(shift: Shift, said: str) -> None:
    assert shift_words(shift) == said


def test_a_lever_never_says_a_bare_date() -> None:
    lever = Lever(
        kind="cleanout", shift=Shift(days=300), on=date(2026, 4, 1), not_before=None,
        due_on=DayQuantiles(p10=date(2026, 8, 1), p50=date(2026, 12, 1), p90=date(2027, 5, 1)),
    )  # fmt: skip
    said = lever_words(lever, outlook(), TODAY)
    assert said.text == (
        "Emptied on 1 Apr, once it may be disturbed: next due between Aug 2026 and May 2027, most likely Dec 2026."
    )
    assert said.query == "empty_on=2026-04-01"


def test_shares_grow_with_their_words() -> None:
    words = [share_words(share / 100) for share in range(1, 101)]
    assert list(dict.fromkeys(words)) == [
        "a little", "about a fifth", "about a quarter", "about a third", "about two fifths", "about half",
        "about three fifths", "about two thirds", "about three quarters", "most", "nearly all",
    ]  # fmt: skip


def test_the_numbers_hold_what_the_words_left_out() -> None:
    known = outlook(
        chance_due_within=((30, 0.004), (60, 0.2), (180, 0.6), (365, 1.0)), feed_g_per_day=12.4, model_version="m"
    )
    spans = {row.term: row.values for row in span_rows(explained(), known, TODAY)}
    assert spans["Sludge per kg of dry feed after a year, here"] == ("2.5\u00a0L", "3.9\u00a0L", "5.7\u00a0L")
    numbers = {row.term: row.values[0] for row in number_rows(known)}
    assert numbers["Chance to be due within 30 days"] == "under 1 %"
    assert numbers["Model"] == "m"
    assert [row.values[0] for row in part_rows(explained(), POND)] == ["72 %", "24 %", "4 %"]
    assert "Leaves: the usual amount for a place near trees." in assumed_words(explained(), known, POND)
