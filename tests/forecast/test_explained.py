"""What a forecast says of itself: shares that add up, gaps named, the last reading's part, and levers that a full what-if confirms."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.explained import Explained, explained_from
from enclosures.forecast.future_feed import future_load
from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import FilterEvidence, Outlook, Quantiles
from enclosures.forecast.outlook import outlook_from
from enclosures.forecast.posterior import posterior_for
from enclosures.forecast.what_if import Change, what_if_from
from enclosures.verdicts.explained import why_words
from enclosures.verdicts.explained_numbers import assumed_words, number_rows, part_rows, span_rows
from tests.forecast.histories import pond_p1, pond_p2, sounding, starter_tank

AS_OF = date(2025, 10, 4)
SEED = 7


def told(evidence: FilterEvidence, **more) -> tuple[Explained, Outlook]:
    history = history_for(evidence, as_of=AS_OF)
    assert history is not None
    posterior = posterior_for(history, rng=np.random.default_rng(3), n_particles=500)
    future = future_load(history, horizon_days=1095)
    outlook = outlook_from(posterior, history, future, rng=np.random.default_rng(SEED))
    return explained_from(posterior, history, future, outlook=outlook, seed=SEED, **more), outlook


def test_the_shares_of_what_came_in_add_up_and_leaves_are_one_of_them() -> None:
    explained, outlook = told(pond_p2())
    shares = {part.name: part.share for part in explained.parts}
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares["litter"] == pytest.approx(outlook.litter_share, abs=0.08)  # a mean beside a median
    assert list(shares.values()) == sorted(shares.values(), reverse=True)


def test_feed_is_counted_since_the_void_was_emptied() -> None:
    evidence = pond_p1()
    emptied = max(done.on for done in evidence.cleanouts if done.outcome == "full")
    explained, outlook = told(evidence)
    fed_g = sum(portion.dry_g for portion in evidence.feedings if emptied <= portion.on <= AS_OF)
    assert explained.feed.since_on == emptied
    assert explained.feed.is_emptied
    assert explained.feed.offered_kg * 1000 == pytest.approx(fed_g)
    assert explained.feed.offered_kg * 1000 == pytest.approx(outlook.dry_feed_since_emptied_g)


def test_feed_that_nobody_logged_is_counted_and_two_years_are_then_not_compared() -> None:
    evidence = pond_p2()
    whole, _ = told(evidence)
    first, last = date(2025, 6, 1), date(2025, 8, 31)
    holed = replace(evidence, feedings=tuple(p for p in evidence.feedings if not first <= p.on <= last))
    gappy, _ = told(holed)
    assert whole.feed.n_gaps == 0
    assert gappy.feed.gap_days >= 85
    assert gappy.feed.gap_from is not None
    assert abs((gappy.feed.gap_from - first).days) <= 4
    assert gappy.feed.year_before_kg is None
    assert {part.name for part in gappy.parts} >= {"gaps"}


def test_the_last_reading_says_what_it_did_to_the_answer() -> None:
    quiet = starter_tank(n_days=400)
    on = quiet.builds[0].valid_from + timedelta(days=399)
    history = history_for(quiet, as_of=on)
    assert history is not None
    expected = posterior_for(history, rng=np.random.default_rng(3), n_particles=500)
    middle_mm = float(np.median(expected.state.volume_l)) / history.geometry.usable_area_m2

    def after(depth_mm: float) -> Explained:
        read = replace(quiet, soundings=(sounding(on.isoformat(), depth_mm),))
        known = history_for(read, as_of=on)
        assert known is not None
        posterior = posterior_for(known, rng=np.random.default_rng(3), n_particles=500)
        future = future_load(known, horizon_days=365)
        outlook = outlook_from(posterior, known, future, rng=np.random.default_rng(SEED), horizon_days=365)
        return explained_from(posterior, known, future, outlook=outlook, seed=SEED)

    high = after(2.0 * middle_mm).reading
    assert high is not None
    assert high.without is None or high.fill.p50 > high.without.p50 + 0.03
    as_expected = after(middle_mm).reading
    assert as_expected is not None
    assert as_expected.without is not None
    assert as_expected.without.p90 - as_expected.without.p10 > as_expected.fill.p90 - as_expected.fill.p10


def test_a_lever_moves_the_date_as_the_whole_what_if_does() -> None:
    history = history_for(pond_p2(), as_of=AS_OF)
    assert history is not None
    posterior = posterior_for(history, rng=np.random.default_rng(3), n_particles=500)
    future = future_load(history, horizon_days=1095)
    outlook = outlook_from(posterior, history, future, rng=np.random.default_rng(SEED))
    explained = explained_from(posterior, history, future, outlook=outlook, seed=SEED)
    levers = {lever.kind: lever for lever in explained.levers}
    for kind, change in (
        ("ration", Change(feed_factor=0.5)),
        ("cleanout", Change(is_cleaned=True, cleaned_on=AS_OF)),
    ):
        whole = what_if_from(posterior, history, change=change, seed=SEED, future=future)
        assert whole.now == outlook  # the very answer, not one drawn again
        assert levers[kind].due_on == whole.then.due_on
        assert levers[kind].shift == whole.shift


def test_a_void_that_is_due_is_offered_no_smaller_ration_only_a_cleanout_on_a_day_it_may_be_done() -> None:
    explained, outlook = told(pond_p1(), cleanable_on=date(2026, 4, 1))
    assert outlook.due_on is not None
    assert outlook.due_on.p50 == AS_OF
    assert [(lever.kind, lever.on) for lever in explained.levers] == [("cleanout", date(2026, 4, 1))]


def test_a_void_that_is_as_good_as_clean_is_offered_no_cleanout() -> None:
    new = replace(pond_p1(), soundings=(), cleanouts=(), feedings=())
    history = history_for(new, as_of=AS_OF)
    assert history is not None
    posterior = posterior_for(history, rng=np.random.default_rng(3), n_particles=200)
    future = future_load(history, horizon_days=1095)
    outlook = outlook_from(posterior, history, future, rng=np.random.default_rng(SEED))
    clean = replace(outlook, fill=Quantiles(p10=0.0, p50=0.01, p90=0.02))
    kinds = {
        name: [lever.kind for lever in explained_from(posterior, history, future, outlook=said, seed=SEED).levers]
        for name, said in (("clean", clean), ("not", replace(outlook, fill=Quantiles(p10=0.2, p50=0.3, p90=0.4))))
    }
    assert "cleanout" not in kinds["clean"]
    assert "cleanout" in kinds["not"]


def test_readings_make_the_sludge_of_a_kilogram_of_feed_better_known_than_before_any() -> None:
    explained, _ = told(pond_p2())
    learnt, usual = explained.litres_per_kg, explained.usual_litres_per_kg
    assert learnt is not None
    assert usual is not None
    assert learnt.p90 / learnt.p10 < usual.p90 / usual.p10
    # about 2 litres at one year with a factor of three either way is what the priors were set to; judgement
    assert usual.p50 == pytest.approx(2.0, rel=0.4)


@pytest.mark.parametrize(
    "evidence",
    [
        replace(pond_p2(), feedings=(), stays=(), weights=()),
        replace(pond_p2(), feedings=(), soundings=(), cleanouts=()),
        replace(pond_p1(), soundings=(), cleanouts=(), commissioned_on=None),
        replace(
            starter_tank(n_days=400),
            builds=tuple(replace(b, valid_from=AS_OF) for b in starter_tank(n_days=400).builds[:1]),
        ),
    ],
    ids=["readings alone", "stock or nothing", "never read", "built today"],
)
def test_a_filter_of_which_little_is_known_is_explained_all_the_same(evidence: FilterEvidence) -> None:
    explained, outlook = told(evidence)
    assert sum(part.share for part in explained.parts) == pytest.approx(1.0) or not explained.parts
    why = why_words(explained, outlook, evidence, AS_OF)
    rows = (*span_rows(explained, outlook, AS_OF), *part_rows(explained, evidence), *number_rows(outlook))
    said = [
        *why.shown,
        *why.more,
        *assumed_words(explained, outlook, evidence),
        *(v for row in rows for v in row.values),
    ]
    assert why.shown
    assert not [text for text in said if "nan" in text or "None" in text]
