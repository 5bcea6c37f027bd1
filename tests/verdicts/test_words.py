from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.forecast.inputs import Quantiles, Trace
from enclosures.verdicts.words import (
    NBSP,
    Band,
    Sureness,
    Verdict,
    age_words,
    ago_words,
    due_sentence,
    due_words,
    fill_words,
    kept_together,
    percent_words,
    times_words,
    when_words,
)
from tests.verdicts.outlooks import TODAY, make_outlook


def test_bands_stand_in_the_order_of_urgency():
    assert [band.label for band in Band] == ["Act now", "Overdue", "Due", "Unknown", "Soon", "Fine"]
    assert [band.slug for band in Band] == ["act", "overdue", "due", "unknown", "soon", "fine"]
    assert [band.plain for band in Band] == ["act now", "overdue", "due", "unknown", "soon", "fine"]
    assert Band.named("act now") is Band.named("act") is Band.ACT


def test_sureness_fills_as_many_ticks_as_it_is_sure():
    assert [(s.label, s.n_ticks) for s in Sureness] == [("none", 0), ("rough", 1), ("fair", 2), ("good", 3)]
    assert Sureness.named("fair") is Sureness.FAIR
    assert Verdict.named("not coping") is Verdict.NOT_COPING


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2025, 10, 4), "now"),
        (date(2025, 9, 1), "now"),
        (date(2025, 11, 24), "24 Nov"),
        (date(2026, 3, 9), "Mar 2026"),
        (date(2027, 8, 1), "Aug 2027"),
        (date(2025, 12, 28), "Dec"),
    ],
)
def test_when_words_say_the_day_when_near_and_the_month_when_far(day, said):
    assert when_words(day, TODAY) == said


def test_ago_words_say_the_day_and_how_long_ago():
    assert ago_words(date(2025, 8, 30), TODAY) == "30 Aug, 35 days ago"
    assert ago_words(date(2025, 10, 3), TODAY) == "3 Oct, yesterday"
    assert ago_words(TODAY, TODAY) == "today"
    assert ago_words(date(2024, 8, 24), TODAY) == "24 Aug 2024, 406 days ago"


@pytest.mark.parametrize(
    ("due", "said"),
    [
        ((TODAY, date(2025, 11, 24), date(2026, 5, 2)), "Between now and 2 May, most likely 24 Nov."),
        ((TODAY, TODAY, date(2025, 12, 4)), "Between now and 4 Dec, most likely now."),
        (
            (date(2026, 3, 5), date(2026, 11, 8), date(2027, 8, 20)),
            "Between Mar 2026 and Aug 2027, most likely Nov 2026.",
        ),
        ((date(2026, 6, 5), date(2026, 8, 8), date(2026, 10, 20)), "Between Jun and Oct 2026, most likely Aug."),
        (
            (date(2025, 12, 20), date(2026, 6, 8), date(2026, 12, 9)),
            "Between Dec 2025 and Dec 2026, most likely Jun 2026.",
        ),
        (
            (date(2026, 6, 5), date(2026, 9, 8), None),
            "Between Jun 2026 and some day after Oct 2028, most likely Sep 2026.",
        ),
        ((date(2026, 6, 5), None, None), "Between Jun 2026 and some day after Oct 2028, more likely after that."),
        ((None, None, None), "Not before Oct 2028."),
        ((TODAY, date(2025, 11, 24), None), "Between now and some day after Oct 2028, most likely 24 Nov."),
        (
            (date(2026, 3, 3), date(2026, 3, 12), date(2026, 3, 24)),
            "Between 3 Mar and 24 Mar 2026, most likely 12 Mar.",
        ),
    ],
)
def test_due_sentence_says_the_range_first(due, said):
    assert due_sentence(make_outlook(fill=(0.49, 0.64, 0.85), due=due), TODAY) == said


def test_due_sentence_past_the_line_says_since_when_the_rod_has_shown_it():
    outlook = make_outlook(last_sounding=(date(2025, 8, 30), 0.80))
    assert due_sentence(outlook, TODAY) == "Now. Past the due line since before 30 Aug."
    assert due_words(outlook, TODAY).lead == "Now."


@pytest.mark.parametrize(
    ("fills", "said"),
    [
        # the rod stood past the line before the median did: the rod goes first
        ((0.60, 0.68, 0.71, 0.75, 0.80), "Now. Past the due line since before 30 Aug."),
        # it was past the line, fell back over the winter and rose again: the present spell
        ((0.72, 0.68, 0.71, 0.75, 0.80), "Now. Past the due line since about 14 Sep."),
    ],
)
def test_due_sentence_never_names_a_day_after_the_rod_has_shown_it(fills, said):
    days = tuple(TODAY - timedelta(days=n) for n in (40, 30, 20, 10, 0))
    trace = Trace(days=days, p10=fills, p50=fills, p90=fills, is_ahead=(False,) * 5)
    assert due_sentence(make_outlook(trace=trace, last_sounding=(date(2025, 8, 30), 0.80)), TODAY) == said


@pytest.mark.parametrize(("p50", "said"), [(0.71, "Now. At the due line."), (0.85, "Now. Past the due line.")])
def test_a_void_well_over_its_line_is_not_said_to_be_at_it(p50, said):
    assert due_sentence(make_outlook(fill=(0.7, p50, 0.95), due=(TODAY, TODAY, TODAY)), TODAY) == said


def test_a_new_reading_does_not_make_a_long_overdue_void_look_newly_so():
    days = tuple(TODAY - timedelta(days=n) for n in (200, 190, 100, 0))
    fills = (0.66, 0.71, 0.78, 0.82)
    trace = Trace(days=days, p10=fills, p50=fills, p90=fills, is_ahead=(False,) * 4)
    said = due_sentence(make_outlook(trace=trace, last_sounding=(TODAY, 0.82)), TODAY)
    assert said == "Now. Past the due line since about 28 Mar."


def test_due_sentence_past_the_line_without_a_rod_says_about_when():
    days = tuple(TODAY - timedelta(days=n) for n in (40, 30, 20, 10, 0))
    fills = (0.60, 0.68, 0.71, 0.75, 0.80)
    trace = Trace(days=days, p10=fills, p50=fills, p90=fills, is_ahead=(False,) * 5)
    assert due_sentence(make_outlook(trace=trace), TODAY) == "Now. Past the due line since about 14 Sep."


def test_due_sentence_of_an_unknown_filter_says_why():
    outlook = make_outlook(fill=None, notes=("The void's height is not recorded.",))
    assert due_sentence(outlook, TODAY) == "Not known. The void's height is not recorded."
    assert due_sentence(None, TODAY) == "Not known."


@given(
    low=st.integers(0, 1095),
    more=st.integers(0, 900),
    rest=st.integers(0, 900),
    cut=st.sampled_from([None, 1095]),
)
def test_due_sentence_never_shows_a_bare_date(low, more, rest, cut):
    """A date stands alone in no sentence: a range, 'not before', 'within days of' or 'now' always comes with it."""
    days = [low, low + more, low + more + rest]
    due = tuple(None if cut and n > cut else TODAY + timedelta(days=n) for n in days)
    said = due_sentence(make_outlook(fill=(0.1, 0.2, 0.3), due=due), TODAY)
    assert re.match(
        r"(Between .+ and .+, (most likely |more likely after that)|Not before |Within days of |Now\.)", said
    ), said


def test_a_range_narrower_than_a_per_cent_is_still_a_range():
    assert str(fill_words(Quantiles(p10=0.0, p50=0.001, p90=0.004))) == "about 0 % (0–1 %)"
    assert str(fill_words(Quantiles(p10=0.301, p50=0.302, p90=0.303))) == "about 30 % (30–31 %)"


def test_fill_words_give_the_range_with_the_likeliest():
    words = fill_words(Quantiles(p10=0.75, p50=0.88, p90=1.03))
    assert (words.likely, words.span) == ("88 %", "75–103 %")
    assert str(words) == "about 88 % (75–103 %)"
    assert str(fill_words(None)) == "not known"
    assert str(fill_words(Quantiles(p10=0.8, p50=0.8, p90=0.8))) == "80 %"


def test_figures_round_half_up_and_ratios_lose_decimals_when_large():
    assert percent_words(0.125) == "13 %"
    assert [times_words(ratio) for ratio in (22 / 14, 2.94, 58 / 14, 96 / 14)] == ["1.6 ×", "2.9 ×", "4 ×", "7 ×"]


def test_kept_together_joins_figures_to_their_units_and_nothing_else():
    said = kept_together("Flow is 79 % of baseline, 1 880 L/h on 27 Sep; 3 hatchlings at 14 °C.")
    assert said == f"Flow is 79{NBSP}% of baseline, 1 880{NBSP}L/h on 27{NBSP}Sep; 3 hatchlings at 14{NBSP}°C."


def test_ages_are_said_in_the_unit_that_fits():
    assert [age_words(days) for days in (1, 12, 56, 150, 800)] == ["1 day", "12 days", "8 weeks", "5 months", "2 years"]
