"""Golden answers of the invented station on 4 October 2025. The scores were worked out by hand beside the rule they test."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.verdicts import urgency
from enclosures.verdicts.signs import FilterSigns, FlowSign, SoundingSign
from enclosures.verdicts.urgency import judged, order_key
from enclosures.verdicts.words import Band
from tests.verdicts import station
from tests.verdicts.outlooks import TODAY, make_outlook
from tests.verdicts.station import checks, water_tests

FAR = date(2026, 8, 10)
# fill P10, P50, P90; likeliest due day; band; score
GOLDEN = [
    (station.P1, (0.75, 0.88, 1.03), TODAY, Band.OVERDUE, 62),
    (station.B2, (0.58, 0.75, 0.95), TODAY, Band.DUE, 56),
    (station.P4, (0.49, 0.64, 0.85), date(2025, 11, 24), Band.SOON, 45),
    (station.T2, (0.20, 0.36, 0.62), date(2026, 11, 10), Band.FINE, 12),
    (station.P2, (0.30, 0.40, 0.52), FAR, Band.FINE, 2),
    (station.B1, (0.17, 0.24, 0.32), date(2026, 3, 15), Band.FINE, 0),
    (station.P3, (0.05, 0.10, 0.18), date(2026, 9, 10), Band.FINE, 0),
    (station.T1, (0.03, 0.08, 0.20), date(2026, 11, 10), Band.FINE, 0),
]


def verdict_of(signs: FilterSigns, fill, due, today=TODAY):
    return judged(make_outlook(fill=fill, due=(due, due, due), today=today), signs, today)


@pytest.mark.parametrize(("signs", "fill", "due", "band", "score"), GOLDEN, ids=lambda v: getattr(v, "filter", None))
def test_bands_and_scores_of_the_station(signs, fill, due, band, score):
    verdict = verdict_of(signs, fill, due)
    assert (verdict.band, verdict.score) == (band, score)


def test_list_stands_in_the_order_of_the_station():
    verdicts = [verdict_of(signs, fill, due) for signs, fill, due, _, _ in reversed(GOLDEN)]
    listed = [verdict.filter for verdict in sorted(verdicts, key=order_key)]
    assert listed[:5] == ["P1-F", "B2-F", "P4-F", "T2-F", "P2-F"]
    assert set(listed[5:]) == {"B1-F", "P3-F", "T1-F"}  # all 0


@pytest.mark.parametrize(
    ("signs", "fill", "due", "said"),
    [
        (
            station.P1,
            (0.75, 0.88, 1.03),
            TODAY,
            "Flow is 79 % of baseline and head difference 1.6 ×. "
            "Water is 14 °C and falling: about twelve days are left, else April.",
        ),
        (
            station.B2,
            (0.58, 0.75, 0.95),
            TODAY,
            "No sounding for 182 days. The map turtles come in on 25 Oct: empty it before they do.",
        ),
        (
            station.P4,
            (0.49, 0.64, 0.85),
            date(2025, 11, 24),
            "Never emptied. Seven program animals live on it, and leaf fall is ahead.",
        ),
        (
            station.T2,
            (0.20, 0.36, 0.62),
            date(2026, 11, 10),
            "One program hatchling lives on it. The rod showed 32 % on 2 Aug.",
        ),
        (station.B1, (0.17, 0.24, 0.32), date(2026, 3, 15), "Emptied 19 Jul; filling as expected."),
        (
            station.P3,
            (0.05, 0.10, 0.18),
            date(2026, 9, 10),
            "Recovering: the bed is 8 weeks old, tests normal since 12 Sep.",
        ),
        (
            station.T1,
            (0.03, 0.08, 0.20),
            date(2026, 11, 10),
            "Four hatchlings live on it. Emptied 12 Jul; filling as expected.",
        ),
    ],
    ids=["P1", "B2", "P4", "T2", "B1", "P3", "T1"],
)
def test_sentences_say_why(signs, fill, due, said):
    assert verdict_of(signs, fill, due).sentence == said


def test_p3_is_recovering_for_ninety_days_after_the_bed_was_lifted():
    assert verdict_of(station.P3, (0.05, 0.1, 0.18), FAR).is_recovering
    later = station.P3.rebuilt_on + timedelta(days=91)
    assert not judged(make_outlook(fill=(0.1, 0.2, 0.3)), station.P3, later).is_recovering


def test_p2_with_the_rod_at_the_grid_is_act_now_and_no_disagreement():
    today = date(2024, 6, 22)
    verdict = judged(
        make_outlook(fill=(0.9, 0.97, 1.1), due=(today,) * 3, today=today), station.p2_on_22_june_2024(), today
    )
    assert verdict.band is Band.ACT
    assert verdict.pinned is None
    assert verdict.sentence.startswith("The rod stopped at the grid on 22 Jun: full or more.")


def test_p1_in_april_2024_is_due_with_an_open_window():
    today = date(2024, 4, 20)
    signs = replace(
        station.P1,
        flows=(),
        soundings=station.soundings(("2023-09-16", 0.50), ("2024-04-20", 0.75)),
        waters=(),
        last_emptied_on=date(2023, 3, 25),
        cleanouts_on=(date(2023, 3, 25),),
        last_work_on=date(2023, 3, 25),
        water_temp_c=16.0,
        water_ahead_c=station.pond_water(today),
    )
    verdict = judged(make_outlook(fill=(0.68, 0.75, 0.82), due=(today,) * 3, today=today), signs, today)
    assert verdict.band is Band.DUE
    assert verdict.window.is_open
    assert verdict.window.closed_by.kind == "nesting"


def test_disagreement_is_pinned_above_everything():
    today = date(2025, 7, 26)
    pinned = judged(make_outlook(fill=(0.1, 0.2, 0.3), due=(FAR,) * 3, today=today), station.p3_on(today), today)
    urgent = verdict_of(station.P1, (0.9, 1.05, 1.2), TODAY)
    assert sorted([urgent, pinned], key=order_key)[0] is pinned


@pytest.mark.parametrize(
    ("p50", "due_fill", "band"),
    [
        (1.00, 0.7, Band.ACT),
        (0.99, 0.7, Band.OVERDUE),
        (0.85, 0.7, Band.OVERDUE),
        (0.849, 0.7, Band.DUE),
        (0.70, 0.7, Band.DUE),
        (0.69, 0.7, Band.FINE),
        (0.95, 0.9, Band.OVERDUE),  # d + 0.15 would be past full: 0.95 at most
        (0.94, 0.9, Band.DUE),
        (0.46, 0.3, Band.OVERDUE),
        (0.31, 0.3, Band.DUE),
    ],
)
def test_bands_follow_the_filters_own_due_line(p50, due_fill, band):
    outlook = make_outlook(fill=(p50, p50, p50), due=(FAR,) * 3, due_fill=due_fill)
    assert judged(outlook, FilterSigns(filter="X", commissioned_on=TODAY), TODAY).band is band


def test_band_is_soon_up_to_sixty_days_before_the_likeliest_day():
    signs = FilterSigns(filter="X", commissioned_on=TODAY)
    fill = (0.4, 0.5, 0.6)
    assert verdict_of(signs, fill, TODAY + timedelta(days=60)).band is Band.SOON
    assert verdict_of(signs, fill, TODAY + timedelta(days=61)).band is Band.FINE


def test_no_forecast_is_unknown_until_the_evidence_acts():
    quiet = FilterSigns(filter="X")
    outlook = make_outlook(fill=None, notes=("The void's height is not recorded.",))
    verdict = judged(outlook, quiet, TODAY)
    assert verdict.band is Band.UNKNOWN
    assert verdict.sentence.startswith("The void's height is not recorded.")
    smelling = replace(quiet, flows=(FlowSign(on=TODAY, flow_l_per_h=70, baseline_flow_l_per_h=100, odour=3),))
    assert judged(outlook, smelling, TODAY).band is Band.ACT
    assert judged(None, quiet, TODAY).band is Band.UNKNOWN


def evidence(flows=(), waters=(), **more) -> float:
    return urgency.evidence_part(FilterSigns(filter="X", flows=flows, waters=waters, **more), TODAY)


def test_evidence_adds_up_by_the_stated_weights():
    on = "2025-10-01"
    assert evidence(checks((on, 79, None, None), flow=100, head=10)) == pytest.approx(0.3)
    assert evidence(checks((on, 59, None, None), flow=100, head=10)) == pytest.approx(0.6)
    assert evidence(checks((on, 80, 15, None), flow=100, head=10)) == pytest.approx(0.2)
    assert evidence(checks((on, 80, 25, None), flow=100, head=10)) == pytest.approx(0.5)
    assert evidence(checks((on, 100, 10, 20), flow=100, head=10)) == pytest.approx(0.2)
    assert evidence(checks((on, 100, 10, 0), flow=100, head=10, odours={on: 3})) == pytest.approx(0.5)
    assert evidence(checks((on, 100, 10, 0), flow=100, head=10, odours={on: 2})) == 0
    assert evidence(waters=water_tests((on, 0.5, 0.1))) == pytest.approx(0.3)
    assert evidence(waters=water_tests((on, 0.5, 0.6))) == pytest.approx(0.6)
    assert evidence((FlowSign(on=TODAY, return_water="haze"),)) == pytest.approx(0.1)
    assert evidence(checks((on, 50, 30, 30), flow=100, head=10, odours={on: 3})) == 1


def test_evidence_forgets_readings_from_before_the_last_work():
    before = checks(("2025-09-01", 50, 30, 30), flow=100, head=10)
    assert evidence(before) == 1
    assert evidence(before, last_work_on=date(2025, 9, 2)) == 0


def test_ammonia_of_a_ripening_bed_raises_no_alarm():
    """Six weeks: a bed needs 20 to 40 days to work, 4 to 8 weeks is the usual keepers' figure (common practice)."""
    waters = water_tests(("2025-10-01", 1.2, 0.8))
    assert evidence(waters=waters, rebuilt_on=date(2025, 9, 20)) == 0
    assert evidence(waters=waters, is_cycling=True) == 0
    assert evidence(waters=waters, rebuilt_on=date(2025, 8, 1)) == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("more", "care"),
    [
        ({}, 0.5),
        ({"n_pumps": 2}, 0.4),
        ({"is_skin_sensitive": True}, 0.8),
        ({"is_quarantine": True}, 0.9),
        ({"has_gravid_or_nesting": True, "n_pumps": 2}, 0.8),
        ({"n_hatchlings": 1}, 1.0),
        ({"n_program_animals": 1, "stock_kg": 9, "water_volume_l": 1000}, 1.0),
        ({"stock_kg": 4.1, "water_volume_l": 1000}, 0.6),
    ],
)
def test_care_goes_by_the_most_delicate_animal(more, care):
    assert urgency.care_part(FilterSigns(filter="X", **more)) == pytest.approx(care)


def test_unsounded_counts_from_the_last_rod_or_from_the_beginning():
    sounded = FilterSigns(filter="X", soundings=(SoundingSign(on=TODAY - timedelta(days=180), fill=0.3),))
    assert urgency.is_unsounded(sounded, TODAY)
    assert not urgency.is_unsounded(sounded, TODAY - timedelta(days=1))
    assert not urgency.is_unsounded(FilterSigns(filter="X", commissioned_on=TODAY - timedelta(days=10)), TODAY)
    assert urgency.is_unsounded(FilterSigns(filter="X"), TODAY)


@given(
    fill=st.floats(0, 3),
    evidence=st.floats(0, 1),
    care=st.floats(0.4, 1),
    window=st.booleans(),
    unsounded=st.booleans(),
)
def test_score_stays_between_0_and_115_and_never_falls_with_more_sludge(fill, evidence, care, window, unsounded):
    def score(p90: float) -> int:
        part = urgency.fill_part(make_outlook(fill=(0, 0, p90)))
        return urgency.ScoreParts(
            fill=part, evidence=evidence, care=care, is_window_closing=window, is_unsounded=unsounded
        ).score

    assert 0 <= score(fill) <= 115
    assert score(fill) <= score(fill + 0.3)
