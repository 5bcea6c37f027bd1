from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from enclosures.forecast.inputs import CleanoutDone, FeedPortion, FilterEvidence, Geometry, SoundingSeen
from enclosures.forecast.naive_rules import RULES, naive_days

START = date(2023, 1, 1)


def on(day: int) -> date:
    return START + timedelta(days=day)


def filter_fed(n_days: int, *, dry_g: float = 100.0, **more) -> FilterEvidence:
    """1 m2 usable and 100 mm high: a litre is a millimetre, and due is 70 L."""
    fields = {
        "filter": "F",
        "enclosure": "E",
        "commissioned_on": START,
        "builds": (Geometry(valid_from=START, chamber_area_m2=1.0, void_height_mm=100.0, usable_fraction=1.0),),
        "feedings": tuple(FeedPortion(on=on(day), dry_g=dry_g, food_class="pellet") for day in range(1, n_days + 1)),
    }
    return FilterEvidence(**(fields | more))


def read(day: int, mm: float) -> SoundingSeen:
    return SoundingSeen(entry=f"s{day}", on=on(day), depths_mm=(mm,))


def test_litres_per_kilogram_carried_on_with_recent_feed() -> None:
    """100 days at 0.1 kg gave 20 L, so 2 L/kg; 50 L more at 0.2 L a day is 250 days."""
    said = naive_days(filter_fed(100, soundings=(read(100, 20.0),)), as_of=on(100))
    assert said["feed of 90 days"] == 250
    assert said["straight line"] == 250
    assert said["fixed interval"] == 440


def test_litres_per_kilogram_are_learnt_from_past_cycles_too() -> None:
    """The first cycle: 200 days, 20 kg, 60 L at the cleanout, 3 L/kg. After it nothing has been read: 30 L by feed, 40 to go at 0.3 a day."""
    done = CleanoutDone(entry="c", on=on(200), outcome="full", depth_before_mm=60.0)
    said = naive_days(filter_fed(300, cleanouts=(done,)), as_of=on(300))
    assert said["feed of 90 days"] == pytest.approx(134, abs=1)
    assert said["fixed interval"] == 440


def test_last_year_repeats_its_seasons() -> None:
    """Nothing fed in the last 100 days of the year: the 90-day rule says never, last year's says after the same pause."""
    evidence = filter_fed(265, soundings=(read(265, 53.0),))
    said = naive_days(evidence, as_of=on(365))
    assert said["feed of 90 days"] == 1095
    assert 80 <= said["feed of last year"] <= 100


def test_a_due_void_is_due_today_and_no_geometry_has_no_rule() -> None:
    said = naive_days(filter_fed(500, soundings=(read(499, 90.0),)), as_of=on(500))
    assert said["feed of 90 days"] == 0
    assert set(said) == set(RULES)
    assert naive_days(replace(filter_fed(5), builds=()), as_of=on(5)) == {}


def test_a_filter_that_shares_its_enclosure_counts_its_share_of_the_feed() -> None:
    whole = naive_days(filter_fed(100), as_of=on(100))
    half = naive_days(filter_fed(100, feed_share=0.5), as_of=on(100))
    assert half["feed of 90 days"] > 1.9 * whole["feed of 90 days"]
