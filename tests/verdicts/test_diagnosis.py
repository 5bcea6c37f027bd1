from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from enclosures.verdicts.diagnosis import diagnosed, is_disputed
from enclosures.verdicts.signs import FilterSigns, SoundingSign
from tests.verdicts import station
from tests.verdicts.outlooks import TODAY
from tests.verdicts.station import checks, p2_on_22_june_2024, p3_on, soundings, water_tests

JULY_26 = date(2025, 7, 26)


def test_p3_on_26_july_2025_disagrees_in_exactly_these_words():
    found = diagnosed(p3_on(JULY_26), JULY_26)
    assert found.is_disagreement
    assert found.sentence == (
        "Signals disagree: rod says 13 %, but flow is 38 % of baseline, head difference 7 × and ammonia over the limit "
        "twice. Look at pump and bed."
    )
    assert "far end" in found.check


def test_p3_disagrees_from_the_first_sounding_with_a_raised_head_and_says_no_ammonia_yet():
    found = diagnosed(p3_on(date(2025, 5, 24)), date(2025, 5, 24))
    assert found.sentence == (
        "Signals disagree: rod says 12 %, but flow is 51 % of baseline and head difference 1.6 ×. Look at pump and bed."
    )


def test_p3_after_the_bed_was_lifted_disagrees_no_more():
    assert diagnosed(station.P3, TODAY) is None


def test_p2_on_22_june_2024_is_full_and_not_a_disagreement():
    found = diagnosed(p2_on_22_june_2024(), date(2024, 6, 22))
    assert not found.is_disagreement
    assert found.say == "Vacuum the void"


def grid(*, rod=None, flow=100.0, head=10.0, level=None, tan=0.05, **more) -> FilterSigns:
    return FilterSigns(
        filter="X",
        flows=checks(("2025-09-27", flow, head, level), flow=100, head=10),
        soundings=soundings(("2025-09-27", rod)) if rod is not None else (),
        waters=water_tests(("2025-09-20", tan, 0.01), ("2025-09-27", tan, 0.01)),
        **more,
    )


@pytest.mark.parametrize(
    ("signs", "say"),
    [
        (grid(rod=0.8, flow=70), "Vacuum the void"),
        (grid(rod=0.8, flow=70, head=20), "Vacuum the void, then read the head again"),
        (grid(rod=0.8), "Book it"),
        (grid(rod=0.2, flow=70, head=20), "Look at pump and bed before vacuuming"),
        (grid(rod=0.2, flow=70, head=9), "Check pump and intake"),
        (grid(rod=0.2, tan=0.7), "Retest, count animals, check feed"),
        (grid(rod=0.2, flow=70, level=25), "Clear the outlet"),
        (grid(flow=70, head=20), "Take a sounding"),
        (grid(rod=0.2, head=20), "Read the head difference again, then look at the bed"),
    ],
)
def test_each_row_of_the_grid_names_its_fault(signs, say):
    found = diagnosed(signs, TODAY)
    assert found.say == say
    assert found.check


def test_nothing_stands_out_when_all_is_well():
    assert diagnosed(grid(rod=0.3), TODAY) is None


def test_a_fall_without_a_cleanout_asks_for_another_sounding():
    seen = soundings(("2025-08-01", 0.60), ("2025-09-20", 0.40))
    assert diagnosed(FilterSigns(filter="X", soundings=seen), TODAY).say == "Repeat the sounding"
    emptied = FilterSigns(filter="X", soundings=seen, cleanouts_on=(date(2025, 9, 1),), last_work_on=date(2025, 9, 1))
    assert diagnosed(emptied, TODAY) is None


def test_an_old_sounding_says_nothing_of_todays_flow():
    old = replace(grid(flow=70, head=20), soundings=soundings(("2025-06-01", 0.2)))
    assert not diagnosed(old, TODAY).is_disagreement


def test_a_small_head_must_also_rise_by_5_mm_to_count():
    signs = replace(
        grid(rod=0.2), flows=checks(("2025-09-27", 70, 6, None), flow=100, head=4)
    )  # 1.5 times, but only 2 mm
    assert not diagnosed(signs, TODAY).is_disagreement


def disputed(on: str, fill: float, **more) -> bool:
    return is_disputed(
        sounding=SoundingSign(on=date.fromisoformat(on), fill=fill),
        due_fill=0.7,
        flows=station.P3_FLOWS_BEFORE + station.P3_FLOWS_AFTER,
        works_on=(date(2024, 9, 28), date(2025, 8, 9)),
        **more,
    )


def test_soundings_of_p3_between_swap_and_rebuild_are_kept_out_of_learning():
    assert disputed("2025-05-24", 0.12)
    assert disputed("2025-06-28", 20 / 150)
    assert disputed("2025-07-26", 19 / 150)
    assert disputed("2025-08-09", 19 / 150)  # the depth before, on the day of the work


def test_soundings_before_and_after_the_disagreement_are_learnt_from():
    assert not disputed("2025-04-20", 0.30)
    assert not disputed("2025-08-13", 0.02)
    assert not disputed("2025-07-26", 138 / 150)  # deep at the far end: it settles the matter


def test_a_sounding_without_any_flow_check_is_not_disputed():
    assert not is_disputed(sounding=SoundingSign(on=TODAY, fill=0.1), due_fill=0.7, flows=())
