from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from enclosures.verdicts.signs import FilterSigns, Span, StockEvent
from enclosures.verdicts.windows import (
    blocked_sentence,
    closing_sentence,
    is_closing,
    is_nesting_season,
    window_for,
    workable_from,
    year_of_water,
)
from tests.verdicts import station
from tests.verdicts.outlooks import TODAY
from tests.verdicts.station import pond_water


def pond(today: date, **more) -> FilterSigns:
    return FilterSigns(
        filter="X", is_indoor=False, is_pond=True, water_ahead_c=pond_water(today), **{"water_temp_c": None, **more}
    )


def test_p1_window_closes_when_water_goes_under_12_degrees_and_comes_again_in_spring():
    window = window_for(station.P1, TODAY)
    assert window.is_open
    assert date(2025, 10, 14) <= window.closes_on <= date(2025, 10, 18)
    assert date(2026, 3, 20) <= window.reopens_on <= date(2026, 4, 1)


def test_indoors_nothing_closes_the_window():
    window = window_for(station.T2, TODAY)
    assert (window.is_open, window.closes_on) == (True, None)
    assert not is_closing(window, TODAY, TODAY)


def test_b2_closes_when_the_map_turtles_come_in_and_reopens_after_a_month():
    window = window_for(station.B2, TODAY)
    assert window.closes_on == date(2025, 10, 25)
    assert window.reopens_on == date(2025, 11, 25)


def test_closing_counts_only_when_it_would_be_due_before_the_next_window():
    window = window_for(station.P1, TODAY)
    assert is_closing(window, date(2026, 3, 1), TODAY)
    assert not is_closing(window, date(2026, 8, 1), TODAY)
    assert not is_closing(window, None, TODAY)


def test_closing_further_off_than_thirty_days_is_not_urgent():
    early = date(2025, 9, 10)
    assert not is_closing(window_for(pond(early), early), early, early)


def test_a_window_about_to_open_and_close_again_counts_and_one_far_off_does_not():
    today = date(2025, 9, 25)
    arrived = pond(today, arrivals_on=(date(2025, 9, 1),))  # opens 2 October, closes 17 October
    assert is_closing(window_for(arrived, today), date(2025, 11, 1), today)
    winter = date(2025, 12, 1)
    assert not is_closing(window_for(pond(winter), winter), date(2026, 1, 1), winter)


def test_winter_rest_without_an_end_lasts_until_the_water_is_warm():
    today = date(2024, 11, 20)
    window = window_for(pond(today, brumations=(Span(from_on=date(2024, 11, 2)),)), today)
    assert window.blocked_by.kind == "brumation"
    assert date(2025, 3, 20) <= window.opens_on <= date(2025, 4, 1)
    said = blocked_sentence(pond(today), window, today)
    assert said == "They are in winter rest: leave them be until about April."
    assert workable_from(window, is_southern=False) == date(2025, 4, 1)  # what every page then plans with


def test_work_may_begin_today_while_the_window_is_open():
    assert workable_from(window_for(pond(TODAY), TODAY), is_southern=False) == TODAY


def test_cold_water_over_nobody_is_no_reason_to_leave_anybody_be():
    today = date(2025, 12, 1)
    empty, lived_in = pond(today, n_animals=0), pond(today, n_animals=4)
    assert (
        blocked_sentence(empty, window_for(empty, today), today)
        == "Water is under 12 °C: leave it be until about April."
    )
    assert "leave them be" in blocked_sentence(lived_in, window_for(lived_in, today), today)


def test_nesting_closes_ponds_with_females_from_mid_may_to_mid_july():
    today = date(2025, 5, 1)
    window = window_for(pond(today, has_nesting_females=True), today)
    assert (window.closes_on, window.reopens_on) == (date(2025, 5, 15), date(2025, 7, 16))
    assert closing_sentence(pond(today), window, today) == (
        "Nesting begins in the middle of May: about 13 days are left, else July."
    )
    assert window_for(pond(today), today).closes_on.month == 10


@pytest.mark.parametrize(("day", "is_southern"), [(date(2025, 6, 1), False), (date(2025, 12, 24), True)])
def test_nesting_season_is_half_a_year_later_in_the_south(day, is_southern):
    assert is_nesting_season(day, is_southern=is_southern)
    assert not is_nesting_season(day, is_southern=not is_southern)


def test_a_new_bed_is_left_alone_for_six_weeks():
    signs = FilterSigns(filter="X", rebuilt_on=TODAY)
    window = window_for(signs, TODAY)
    assert window.blocked_by.kind == "young bed"
    assert window.opens_on == TODAY + timedelta(days=42)


def test_an_event_that_brings_no_animals_closes_nothing():
    signs = replace(
        station.B2, events_ahead=(StockEvent(on=date(2025, 10, 25), text="The vet comes", is_arrival=False),)
    )
    assert window_for(signs, TODAY).closes_on is None


def test_one_mild_week_in_winter_is_no_window():
    mild = list(pond_water(TODAY))
    mild[90:94] = [12.5] * 4
    window = window_for(replace(station.P1, water_ahead_c=tuple(mild)), TODAY)
    assert window.reopens_on > date(2026, 3, 1)


def test_hot_water_allows_only_a_short_stop_of_the_pump():
    assert window_for(pond(TODAY, water_temp_c=28.5), TODAY).pump_off_min == 30
    assert window_for(pond(TODAY, water_temp_c=28.0), TODAY).pump_off_min == 60


def test_year_of_water_passes_through_the_middle_of_each_month():
    months = (4.0, 5, 8, 13, 18, 22, 24, 24, 20, 14, 9, 5)
    values = year_of_water(months, date(2025, 1, 1), n_days=365)
    assert values[15] == pytest.approx(4, abs=0.2)
    assert values[196] == pytest.approx(24, abs=0.2)
    assert max(values) <= 24
    assert min(values) >= 4
