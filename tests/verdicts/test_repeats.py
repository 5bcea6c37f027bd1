from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from enclosures.verdicts.repeats import MealEntry, identical_readings, repeats_of_meals

DAY = date(2025, 9, 20)
EVENING = MealEntry(
    entry="a", enclosure="P4", on=DAY, slot="pm", at=datetime(2025, 9, 20, 16, 48), by="K2"  # noqa: DTZ001 - wall clock
)  # fmt: skip


def test_the_same_meal_of_one_place_logged_twice_is_named_second():
    second = replace(EVENING, entry="b", by="SUP")
    (found,) = repeats_of_meals([EVENING, second])
    assert (found.entry, found.of) == ("b", "a")
    assert found.sentence == "Fed at 16:48 by K2. Add another?"


def test_other_meals_days_and_places_are_no_repeats():
    others = [
        replace(EVENING, entry="b", slot="am"),
        replace(EVENING, entry="c", on=date(2025, 9, 21)),
        replace(EVENING, entry="d", enclosure="P1"),
    ]
    assert repeats_of_meals([EVENING, *others]) == ()


def test_without_a_meal_name_the_clock_decides():
    plain = replace(EVENING, slot="")
    near = replace(plain, entry="b", at=datetime(2025, 9, 20, 18, 0))  # noqa: DTZ001 - wall clock
    far = replace(plain, entry="c", at=datetime(2025, 9, 20, 7, 40))  # noqa: DTZ001 - wall clock
    assert [found.entry for found in repeats_of_meals([plain, near, far])] == ["b"]


def test_three_equal_readings_running_are_flagged_from_the_third_on():
    seen = [("a", 0.0), ("b", 0.0), ("c", 0.0), ("d", 0.0), ("e", 5.0), ("f", 0.0), ("g", 0.0)]
    assert identical_readings(seen) == ("c", "d")
    assert identical_readings([("a", 1.0), ("b", 2.0), ("c", 1.0)]) == ()
