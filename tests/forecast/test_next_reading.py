from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.due_dates import weighted_quantiles
from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import SoundingSeen
from enclosures.forecast.next_reading import (
    Narrowing,
    best_first,
    counted_days,
    expected_narrowing,
    expected_narrowing_from,
)
from enclosures.forecast.posterior import posterior_for, reweighed
from enclosures.forecast.run import unpack
from tests.forecast.histories import STARTED_ON, pond_p1, starter_tank

AS_OF = STARTED_ON + timedelta(days=500)


def unread():
    return starter_tank(n_days=500)


def just_read():
    seen = SoundingSeen(entry="s", on=AS_OF - timedelta(days=1), depths_mm=(18.0, 18.0, 19.0))
    return replace(unread(), filter="T2-F", soundings=(seen,))


def test_a_filter_never_read_gains_more_than_one_read_yesterday() -> None:
    first, second = expected_narrowing(unread(), as_of=AS_OF), expected_narrowing(just_read(), as_of=AS_OF)
    assert first
    assert second
    assert first.share_saved > 0.2
    assert second.share_saved < 0.5 * first.share_saved
    assert best_first([second, first, None])[0].filter == "T1-F"


def test_the_expected_range_is_the_mean_over_readings_taken_one_by_one() -> None:
    """Against brute force: draw a particle, read its rod, take the reading in by the forecast's own door, look at the range of fill."""
    history = history_for(unread(), as_of=AS_OF)
    assert history is not None
    posterior = posterior_for(history, rng=np.random.default_rng(5), n_particles=2000)
    told = expected_narrowing_from(posterior, history)
    rng = np.random.default_rng(6)
    drawn = unpack(posterior.z, history)
    at_pipe = drawn.gamma[-1] * posterior.state.volume_l / history.geometry.usable_area_m2
    widths = []
    for particle in rng.choice(posterior.n, 150, p=posterior.weights):
        spread = drawn.rod[particle] * np.hypot(3.5, 0.10 * at_pipe[particle])
        read = max(at_pipe[particle] + spread * rng.standard_t(4), 0.0)
        grid = history.geometry.void_height_mm
        seen = SoundingSeen(entry="x", on=AS_OF, depths_mm=(min(read, grid),), qualifier=">=" if read >= grid else "")
        after = reweighed(posterior, history, seen, history.geometry)
        low, high = weighted_quantiles(after.state.volume_l / history.geometry.usable_void_l, after.weights, (0.1, 0.9))
        widths.append(high - low)
    assert told.fill_then == pytest.approx(np.mean(widths), rel=0.15)


def test_a_pond_is_priced_too_and_no_geometry_has_no_price() -> None:
    priced = expected_narrowing(pond_p1(), as_of=date(2025, 10, 4), n_particles=400)
    assert priced
    assert priced.due_days_now >= 0
    assert expected_narrowing(replace(unread(), builds=()), as_of=AS_OF) is None


def test_the_sentence_speaks_in_months_or_says_that_nothing_is_gained() -> None:
    wide = Narrowing(
        filter="a", due_days_now=240, due_days_then=95, fill_now=0.4, fill_then=0.2, counted_now=100, counted_then=60
    )
    assert wide.sentence == "One sounding today would narrow the due date from 8 months wide to about 3."
    known = replace(wide, due_days_then=235.0)
    assert known.sentence == "One sounding today would hardly narrow the due date."
    assert replace(wide, due_days_now=0.0, due_days_then=0.0).share_saved == 0.0


def told(code: str, *, first: float, last: float, then: float) -> Narrowing:
    """A range from `first` to `last` days ahead, and after a reading one of `then` days that begins where it began."""
    here, there, after = counted_days(np.array([first, last, first + then]))
    return Narrowing(
        filter=code,
        due_days_now=last - first,
        due_days_then=then,
        fill_now=0.3,
        fill_then=0.2,
        counted_now=there - here,
        counted_then=after - here,
    )


def test_a_day_counts_whole_today_and_half_with_every_half_year_ahead() -> None:
    day_by_day = np.diff(counted_days(np.array([0, 1, 180, 181, 360, 361])))
    assert day_by_day[0] == pytest.approx(1.0, abs=0.01)
    assert day_by_day[[2, 4]] / day_by_day[0] == pytest.approx([0.5, 0.25])


def test_a_range_soon_to_come_goes_before_a_wider_one_two_years_ahead() -> None:
    soon = told("soon", first=20, last=140, then=50)
    far = told("far", first=700, last=1090, then=200)
    assert far.days_saved > 2 * soon.days_saved
    assert [n.filter for n in best_first([far, soon])] == ["soon"]
    assert [n.filter for n in best_first([far, told("tub", first=200, last=500, then=150), soon])] == ["soon", "tub"]


def test_what_is_surely_due_wants_emptying_not_reading() -> None:
    sure = told("sure", first=0, last=0, then=0)
    assert (sure.worth_days, best_first([sure, None])) == (0.0, [])
    assert not told("read", first=30, last=100, then=66).is_worth_it  # a twentieth of the range: nobody would notice


@pytest.mark.parametrize(
    ("now", "then", "words"),
    [
        (274, 122, "from 9 months wide to about 4"),
        (122, 35, "from 4 months wide to about 5 weeks"),
        (70, 60, "from 10 weeks wide to about 9"),
        (40, 7, "from 6 weeks wide to about 1 week"),
    ],
)
def test_the_gain_is_said_in_the_unit_a_person_would_choose(now: float, then: float, words: str) -> None:
    assert told("a", first=0, last=now, then=then).gain_words == words
