"""Words for how sure, on what basis, and what to read next."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import DayQuantiles, Quantiles
from enclosures.forecast.sureness import (
    Cycle,
    basis_of,
    cycle_of,
    day_words,
    next_reading_words,
    sureness_of,
)

from .histories import pond_p1, pond_p2

AS_OF = date(2025, 10, 4)


def cycle(*, n=3, last=30, known=True, imputed=0.0, feed=True, soundings=3, cleanouts=1) -> Cycle:
    return Cycle(
        n_readings=n,
        last_reading_on=AS_OF - timedelta(days=last) if n else None,
        opened_on=date(2024, 8, 24),
        is_start_known=known,
        n_soundings=soundings,
        n_cleanouts=cleanouts,
        last_emptied_on=date(2024, 8, 24),
        imputed_share=imputed,
        has_feed=feed,
    )


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        ({"n": 0, "known": False}, "none"),
        ({"n": 0}, "rough"),
        ({"n": 3, "last": 366}, "rough"),
        ({"n": 3, "last": 60}, "good"),
        ({"n": 3, "last": 61}, "fair"),
        ({"n": 2, "last": 5}, "fair"),
        ({"n": 1, "known": False}, "fair"),
        ({"n": 5, "feed": False}, "rough"),
        ({"n": 5, "imputed": 0.6}, "rough"),
        ({"n": 5, "imputed": 0.3}, "fair"),
    ],
)
def test_sureness_follows_counts_and_dates(facts, word):
    assert sureness_of(cycle(**facts), as_of=AS_OF) == word


def test_a_latest_reading_that_is_not_explained_is_no_ground_to_stand_on():
    assert sureness_of(replace(cycle(), has_contradiction=True), as_of=AS_OF) == "rough"


@pytest.mark.parametrize(
    ("soundings", "cleanouts", "feed", "words"),
    [
        (2, 1, True, "2 soundings, 1 cleanout"),
        (1, 2, True, "1 sounding, 2 cleanouts"),
        (0, 1, True, "1 cleanout"),
        (0, 0, True, "no readings yet: from feed alone"),
        (0, 0, False, "no readings and no feed on record"),
    ],
)
def test_basis_counts_what_was_used(soundings, cleanouts, feed, words):
    assert basis_of(cycle(soundings=soundings, cleanouts=cleanouts, feed=feed)) == words


def test_cycle_of_a_pond_counts_since_the_last_full_cleanout():
    found = cycle_of(history_for(pond_p1(), as_of=AS_OF), frozenset())
    assert (found.n_readings, found.n_soundings, found.n_cleanouts) == (3, 6, 2)
    assert found.last_emptied_on == date(2024, 8, 24)
    assert cycle_of(history_for(pond_p1(), as_of=AS_OF), frozenset({"s-2025-08-30"})).n_readings == 2


def test_readings_before_an_unmeasured_part_cleanout_do_not_tell_what_is_left():
    assert cycle_of(history_for(pond_p2(), as_of=date(2024, 7, 5)), frozenset()).n_readings == 4
    assert cycle_of(history_for(pond_p2(), as_of=date(2024, 7, 20)), frozenset()).n_readings == 0
    assert cycle_of(history_for(pond_p2(), as_of=date(2024, 8, 3)), frozenset()).n_readings == 1


def test_a_rebuild_opens_a_new_cycle():
    found = cycle_of(history_for(pond_p2(), as_of=AS_OF), frozenset())
    assert (found.opened_on, found.n_readings) == (date(2025, 3, 29), 2)


def words(facts, *, p50=0.4, wide=0.1, due=400) -> str:
    return next_reading_words(
        cycle(**facts),
        fill=Quantiles(p10=p50 - wide / 2, p50=p50, p90=p50 + wide / 2),
        due_fill=0.7,
        due_on=DayQuantiles(p10=AS_OF + timedelta(days=due), p50=None, p90=None),
        as_of=AS_OF,
        horizon_on=AS_OF + timedelta(days=1095),
    )


def test_next_reading_in_plain_words():
    assert words({"n": 0, "known": False}) == "One sounding now: how full the void was at the start is not known."
    assert words({"last": 10}, p50=0.8) == "Read the rod before and after the cleanout; nothing else is needed."
    assert words({"last": 200}, p50=0.8, wide=0.3) == "One sounding now would settle whether it is due."
    surely_due = words({"last": 200}, p50=0.86, wide=0.2)  # nothing is left to settle
    assert surely_due == "Read the rod before and after the cleanout; nothing else is needed."
    assert words({"last": 40}, due=50) == "One sounding now would narrow this most."
    assert words({"n": 0}, wide=0.4) == "One sounding now would narrow this most."
    assert words({"last": 40}) == "Nothing needed before April; next sounding by 2 Apr 2026."
    assert words({"last": 10}, due=60) == "Next sounding by 3 Nov 2025."


def test_dates_are_written_alike_on_every_server():
    assert day_words(date(2026, 6, 1)) == "1 Jun 2026"
