from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from enclosures.verdicts.coping import coping_of, value_words
from enclosures.verdicts.limits import LIMITS
from enclosures.verdicts.signs import FilterSigns, Span, WaterSign
from enclosures.verdicts.words import Verdict
from tests.verdicts import station
from tests.verdicts.outlooks import TODAY
from tests.verdicts.station import checks, p2_on_22_june_2024, p3_on, water_tests

FINE = water_tests(("2025-09-15", 0.05, 0.02), ("2025-09-22", 0.05, 0.02), ("2025-09-29", 0.05, 0.02))


def verdict(signs: FilterSigns, today: date = TODAY) -> Verdict:
    return coping_of(signs, today).verdict


def signs(*, waters=FINE, flows=(), **more) -> FilterSigns:
    return FilterSigns(filter="X", waters=waters, flows=flows, **more)


def test_no_sign_is_coping_and_what_was_never_read_is_left_out():
    assert verdict(signs()) is Verdict.COPING
    assert verdict(signs(flows=checks(("2025-09-27", 80, 14, None), flow=100, head=10))) is Verdict.COPING


@pytest.mark.parametrize(
    "strained",
    [
        signs(waters=FINE + water_tests(("2025-10-03", 0.5, 0.1))),
        signs(flows=checks(("2025-09-27", 79, 10, None), flow=100, head=10)),
        signs(flows=checks(("2025-09-20", 90, 16, None), ("2025-09-27", 90, 17, None), flow=100, head=10)),
    ],
    ids=["tests", "flow", "head twice"],
)
def test_one_sign_is_straining(strained):
    assert verdict(strained) is Verdict.STRAINING


@pytest.mark.parametrize(
    "failing",
    [
        signs(waters=FINE + water_tests(("2025-10-03", 1.0, 0.1))),
        signs(flows=checks(("2025-09-27", 59, 10, None), flow=100, head=10)),
        signs(
            waters=FINE + water_tests(("2025-10-03", 0.5, 0.1)),
            flows=checks(("2025-09-27", 79, 10, None), flow=100, head=10),
        ),
    ],
    ids=["act value", "flow under 60 %", "two signs"],
)
def test_an_act_value_a_halved_flow_or_two_signs_are_not_coping(failing):
    assert verdict(failing) is Verdict.NOT_COPING


def test_a_raised_head_on_one_reading_asks_to_read_it_again():
    one = coping_of(signs(flows=checks(("2025-09-27", 90, 22, None), flow=100, head=14)), TODAY)
    assert one.verdict is Verdict.COPING
    assert "up on one reading (1.6 × its baseline): read it again" in one.sentence


def test_a_head_needs_both_half_again_and_5_mm():
    low = checks(("2025-09-20", 90, 7, None), ("2025-09-27", 90, 7, None), flow=100, head=4)
    assert verdict(signs(flows=low)) is Verdict.COPING
    small_ratio = checks(("2025-09-20", 90, 40, None), ("2025-09-27", 90, 40, None), flow=100, head=30)
    assert verdict(signs(flows=small_ratio)) is Verdict.COPING


def test_tests_are_required_whatever_the_flow_says():
    slow = checks(("2025-09-27", 50, 10, None), flow=100, head=10)
    untested = coping_of(signs(waters=(), flows=slow), TODAY)
    assert untested.verdict is Verdict.NOT_KNOWN
    assert untested.sentence.startswith("The water was never tested")
    old = signs(waters=water_tests(("2025-09-03", 0.05, 0.02)), flows=slow)
    assert coping_of(old, TODAY).sentence.startswith("No water test for 31 days: test it.")
    assert verdict(old, TODAY - timedelta(days=1)) is Verdict.NOT_COPING


def test_winter_rest_allows_sixty_days_without_a_test():
    resting = signs(
        waters=water_tests(("2024-11-05", 0.05, 0.02)),
        is_indoor=False,
        brumations=(Span(from_on=date(2024, 11, 2), to_on=date(2025, 3, 20)),),
    )
    assert verdict(resting, date(2025, 1, 4)) is Verdict.COPING
    assert verdict(resting, date(2025, 1, 5)) is Verdict.NOT_KNOWN


def test_a_ph_reading_alone_is_no_test_of_the_filter():
    only_ph = signs(waters=(WaterSign(on=TODAY, analyte="ph", value=7.5),))
    assert verdict(only_ph) is Verdict.NOT_KNOWN


def test_only_the_last_three_tests_count_and_only_while_young():
    bad_then_good = water_tests(("2025-09-14", 0.7, 0.1)) + FINE
    assert verdict(signs(waters=bad_then_good)) is Verdict.COPING
    old_look = water_tests(("2025-09-12", 0.7, 0.1), ("2025-10-01", 0.05, 0.02))
    assert verdict(signs(waters=old_look)) is Verdict.COPING  # 22 days, indoors
    assert verdict(signs(waters=old_look, is_indoor=False)) is Verdict.STRAINING  # within 50 outdoors


def test_a_reading_beyond_the_kit_counts_as_at_least_and_below_it_as_at_most():
    over = WaterSign(on=TODAY, analyte="tan", value=8.0, qualifier=">")
    under = WaterSign(on=TODAY, analyte="tan", value=0.5, qualifier="<")
    assert verdict(signs(waters=(*FINE, over))) is Verdict.NOT_COPING
    assert verdict(signs(waters=(*FINE, under))) is Verdict.COPING


def test_little_oxygen_at_the_outlet_is_a_sign():
    low = WaterSign(on=TODAY, analyte="do", value=3.5)
    result = coping_of(signs(waters=(*FINE, low)), TODAY)
    assert result.verdict is Verdict.STRAINING
    assert result.sentence.startswith("Oxygen 3.5 mg/L, under the look line of 4.")


def test_p1_is_straining_by_its_flow_alone():
    found = coping_of(station.P1, TODAY)
    assert found.verdict is Verdict.STRAINING
    assert found.signs == ("flow",)
    assert found.sentence == (
        "Water tests are fine. Flow is 79 % of baseline, under its look line of 80 %. "
        "Head difference is up on one reading (1.6 × its baseline): read it again."
    )


def test_the_two_wrong_enclosures_are_not_coping():
    assert verdict(p2_on_22_june_2024(), date(2024, 6, 22)) is Verdict.NOT_COPING
    assert verdict(p3_on(date(2025, 7, 26)), date(2025, 7, 26)) is Verdict.NOT_COPING


def test_a_facility_may_set_its_own_lines():
    strict = {**LIMITS, "tan": replace(LIMITS["tan"], look_high=0.04)}
    assert verdict(signs(limits=strict)) is Verdict.STRAINING


def test_look_lines_are_said_as_on_the_table():
    said = {analyte: LIMITS[analyte].look_words for analyte in ("tan", "nitrite", "nitrate", "ph", "kh", "do")}
    assert said == {
        "tan": "≥ 0.5",
        "nitrite": "≥ 0.3",
        "nitrate": "≥ 80",
        "ph": "< 6.5, > 8.5",
        "kh": "< 40",
        "do": "< 4",
    }


def test_a_converted_reading_is_said_without_false_precision():
    found = WaterSign(on=TODAY, analyte="tan", value=8 * 14.007 / 17.031, qualifier=">")  # "> 8" as NH3
    assert value_words(signs(), found) == "TAN > 6.58 mg/L as N, at or past the act line of 1"
