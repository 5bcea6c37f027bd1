"""A meal becomes dry grams once, from the recipe of its day, and stays so."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.entries import Refused
from enclosures.actions.feedings import LineGiven, log_feeding, meals_already_logged
from enclosures.models import FilterOutlook, FoodComposition, FoodItem
from tests.actions.station import at, make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY


@pytest.fixture
def pond(facility: Any) -> Any:
    return make_enclosure(facility)


@pytest.fixture
def pellet(facility: Any) -> FoodItem:
    return make_pellet()


def test_scoops_become_grams_and_dry_grams_by_the_recipe_of_the_day(facility: Any, pond: Any, pellet: FoodItem) -> None:
    FoodComposition.objects.create(
        food_item=pellet, valid_from=date(2025, 2, 1), moisture_percent=10, protein_percent=36
    )
    line = LineGiven(food_item=pellet, amount=1.5, unit="scoop", eaten="most")
    old = log_feeding(enclosure=pond, moment=on(date(2025, 1, 31), facility), lines=[line], stamp=stamp()).record
    new = log_feeding(enclosure=pond, moment=on(TODAY, facility), lines=[line], stamp=stamp()).record
    assert [tuple(row) for row in old.lines.values_list("offered_g", "dry_g", "protein_g")] == [
        (39.0, pytest.approx(39 * 0.92), pytest.approx(39 * 0.40))
    ]
    assert new.lines.get().dry_g == pytest.approx(39 * 0.90)
    assert new.lines.get().protein_g == pytest.approx(39 * 0.36)
    FoodComposition.objects.filter(valid_from=None).update(moisture_percent=50)  # a recipe put right later
    old.refresh_from_db()
    assert old.lines.get().dry_g == pytest.approx(39 * 0.92)


def test_a_food_without_a_recipe_is_kept_without_dry_grams_and_flagged(facility: Any, pond: Any) -> None:
    snail = FoodItem.objects.create(code="snail", food_class="mollusc")
    line = LineGiven(food_item=snail, amount=4, unit="g")
    record = log_feeding(enclosure=pond, moment=on(TODAY, facility), lines=[line], stamp=stamp()).record
    assert record.flags == ["CMP"]
    assert record.lines.get().offered_g == 4
    assert record.lines.get().dry_g is None


def test_a_unit_that_the_food_does_not_have_is_refused_by_name(facility: Any, pond: Any, pellet: FoodItem) -> None:
    with pytest.raises(Refused) as refused:
        line = LineGiven(food_item=pellet, amount=2, unit="cube")
        log_feeding(enclosure=pond, moment=on(TODAY, facility), lines=[line], stamp=stamp())
    assert refused.value.errors == {"lines": "“cube” is not a unit of pellet (scoop)."}
    with pytest.raises(Refused):
        log_feeding(enclosure=pond, moment=on(TODAY, facility), lines=[], stamp=stamp())
    given = log_feeding(
        enclosure=pond, moment=on(TODAY, facility), lines=[], stamp=stamp(), outcome="not_fed", not_fed_reason="cold"
    )
    assert given.is_new


def test_the_same_meal_again_is_kept_and_flagged_whoever_logged_it_unless_it_is_said_to_be_another(
    facility: Any, pond: Any, pellet: FoodItem
) -> None:
    line, moment = LineGiven(food_item=pellet, offered_g=30), at(TODAY, 7, 52, facility)
    give = {"enclosure": pond, "moment": moment, "lines": [line], "slot": "am"}
    first = log_feeding(**give, stamp=stamp(by="K2")).record
    assert meals_already_logged(pond, on=TODAY, slot="am") == [first]
    assert log_feeding(**give, stamp=stamp(by="K2")).record.flags == ["DUP"]  # one's own, tapped twice or eaten twice
    assert log_feeding(**give, stamp=stamp(by="K2"), is_another=True).record.flags == []
    assert log_feeding(**give, stamp=stamp(by="SUP")).record.flags == ["DUP"]
    assert log_feeding(**give, stamp=stamp(by="SUP"), is_another=True).record.flags == []
    assert log_feeding(**{**give, "slot": "pm"}, stamp=stamp(by="SUP")).record.flags == []


def test_a_feeding_marks_its_filters_stale_and_no_others(
    facility: Any, pond: Any, pellet: FoodItem, django_assert_max_num_queries: Any
) -> None:
    other = make_enclosure(facility, "P2")
    for place in (pond, other):
        FilterOutlook.objects.create(filter=make_filter(place), as_of=TODAY, computed_at=NOW, band="fine")
    with django_assert_max_num_queries(13):  # six of them savepoints
        log_feeding(
            enclosure=pond,
            moment=on(TODAY, facility),
            lines=[LineGiven(food_item=pellet, amount=1, unit="scoop")],
            stamp=stamp(),
            slot="am",
            entry="6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11",
        )
    assert dict(FilterOutlook.objects.values_list("filter__code", "is_stale")) == {"P1-F": True, "P2-F": False}
    FilterOutlook.objects.update(is_stale=False)
    again = log_feeding(
        enclosure=pond,
        moment=on(TODAY, facility),
        lines=[LineGiven(food_item=pellet, amount=1, unit="scoop")],
        stamp=stamp(NOW + timedelta(minutes=3)),
        slot="am",
        entry="6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11",
    )
    assert not again.is_new
    assert not FilterOutlook.objects.filter(is_stale=True).exists()  # a retry changes nothing
