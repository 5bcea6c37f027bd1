"""Calendar, ruler and feed sum, worked by hand."""

from __future__ import annotations

from datetime import date, timedelta

from enclosures.forecast.baselines import feed_proportional, fixed_interval, last_emptied_on, straight_line
from enclosures.forecast.inputs import FeedPortion, FilterEvidence, Geometry

from .histories import cleanout, sounding

FIRST = date(2024, 1, 1)


def tank(**more) -> FilterEvidence:
    build = Geometry(valid_from=FIRST, chamber_area_m2=0.1, void_height_mm=100)
    return FilterEvidence(filter="F", enclosure="E", commissioned_on=None, builds=(build,), **more)


def test_without_a_past_the_interval_is_the_usual_one():
    assert fixed_interval(tank(), as_of=date(2024, 6, 1)) == FIRST + timedelta(days=540)
    assert fixed_interval(tank(), as_of=date(2024, 6, 1), without_history_days=365) == date(2024, 12, 31)


def test_with_a_past_it_is_the_median_interval():
    cleaned = tank(cleanouts=(cleanout("2024-06-01"), cleanout("2025-01-01"), cleanout("2025-12-01", "part")))
    assert fixed_interval(cleaned, as_of=date(2025, 3, 1)) == date(2025, 1, 1) + timedelta(days=214)


def test_a_date_gone_by_is_today():
    assert fixed_interval(tank(), as_of=date(2027, 1, 1)) == date(2027, 1, 1)


def test_the_line_is_forced_through_the_cleanout():
    # 20 mm at 100 days and 40 mm at 200: .2 mm a day, 70 mm on day 350
    read = tank(soundings=(sounding("2024-04-10", 20), sounding("2024-07-19", 40)))
    assert straight_line(read, as_of=date(2024, 7, 20)) == FIRST + timedelta(days=350)


def test_readings_before_the_cleanout_do_not_count():
    read = tank(soundings=(sounding("2024-04-10", 60),), cleanouts=(cleanout("2024-06-01"),))
    assert last_emptied_on(read, as_of=date(2024, 7, 1)) == date(2024, 6, 1)
    assert straight_line(read, as_of=date(2024, 7, 1)) is None


def test_a_line_that_would_take_years_gives_no_date():
    assert straight_line(tank(soundings=(sounding("2024-07-01", 1),)), as_of=date(2024, 7, 2)) is None


def fed(days: int, grams=lambda n: 10.0):
    return tuple(FeedPortion(on=FIRST + timedelta(days=n), dry_g=grams(n), food_class="pellet") for n in range(1, days))


def test_depth_in_proportion_to_feed_with_the_rate_of_late():
    # 100 days at 10 g/d and 20 mm: .02 mm/g; 50 mm more need 2,500 g, 250 days
    read = tank(feedings=fed(101), soundings=(sounding("2024-04-10", 20),))
    due = feed_proportional(read, as_of=date(2024, 4, 10), repeat_last_year=False)
    assert abs((due - date(2024, 4, 10)).days - 250) <= 1


def test_depth_in_proportion_to_feed_repeating_last_year():
    # nothing fed from day 180 to the end of the year: the repeated year waits as well
    read = tank(feedings=fed(366, lambda n: 10.0 if n < 180 else 1e-9), soundings=(sounding("2024-12-31", 36),))
    as_of = date(2024, 12, 31)
    again = feed_proportional(read, as_of=as_of, repeat_last_year=True)
    assert 165 <= (again - as_of).days <= 175
    assert feed_proportional(read, as_of=as_of, repeat_last_year=False) is None


def test_nothing_later_than_the_day_is_used():
    late = tank(soundings=(sounding("2024-04-10", 20), sounding("2024-08-01", 90)))
    assert straight_line(late, as_of=date(2024, 5, 1)) == FIRST + timedelta(days=350)


def test_no_geometry_no_date():
    bare = FilterEvidence(filter="F", enclosure="E", commissioned_on=None, builds=())
    assert fixed_interval(bare, as_of=FIRST) is None
    assert straight_line(bare, as_of=FIRST) is None
    assert feed_proportional(bare, as_of=FIRST, repeat_last_year=True) is None
