"""A correction is a new row; the old one stays, and nothing can be corrected twice over."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.corrections import move_to_enclosure, supersede, undo, withdraw
from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.flags import settle_flag
from enclosures.actions.sludge import DepthGiven, finish_cleanout, log_cleanout, log_sounding
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import Cleanout, Feeding, FilterOutlook, FoodComposition, Sounding, WaterTest
from tests.actions.station import make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY

ENTRY = "6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11"


@pytest.fixture
def two_ponds(facility: Any) -> Any:
    places = make_enclosure(facility, "P1"), make_enclosure(facility, "P2")
    for place in places:
        FilterOutlook.objects.create(filter=make_filter(place), as_of=TODAY, computed_at=NOW, band="fine")
    return places


@pytest.fixture
def meal(facility: Any, two_ponds: Any) -> Feeding:
    line = LineGiven(food_item=make_pellet(), offered_g=34, eaten="all")
    record = log_feeding(
        enclosure=two_ponds[1], moment=on(TODAY, facility), lines=[line], stamp=stamp(by="K1", note="windy")
    ).record
    FilterOutlook.objects.update(is_stale=False)
    return record


def test_a_meal_moved_to_its_enclosure_reads_as_if_entered_there(facility: Any, two_ponds: Any, meal: Feeding) -> None:
    right, wrong = two_ponds
    moved = move_to_enclosure(meal, to=right, stamp=stamp(by="SUP"), reason="wrong pond")
    clean = log_feeding(
        enclosure=right,
        moment=on(TODAY, facility),
        lines=[LineGiven(food_item=meal.lines.get().food_item, offered_g=34, eaten="all")],
        stamp=stamp(note="windy"),
    ).record
    assert moved.record.content() == clean.content()
    assert moved.record.lines.get().dry_g == clean.lines.get().dry_g
    assert set(Feeding.objects.filter(enclosure=wrong)) == set()
    assert Feeding.all_rows.filter(enclosure=wrong).count() == 1  # the old row stays, superseded
    assert not FilterOutlook.objects.filter(is_stale=False).exists()  # both ponds' filters recompute
    with pytest.raises(Refused):
        move_to_enclosure(moved.record, to=right, stamp=stamp(), reason="again")


def test_a_correction_sent_twice_is_one_row_and_a_second_correction_of_the_old_row_is_refused(meal: Feeding) -> None:
    more = {"lines": [LineGiven(food_item=meal.lines.get().food_item, offered_g=43)]}
    first = supersede(meal, parts=more, stamp=stamp(by="SUP"), reason="misread", entry=ENTRY)
    again = supersede(meal, parts=more, stamp=stamp(by="SUP"), reason="misread", entry=ENTRY)
    assert (first.is_new, again.is_new, again.record.pk) == (True, False, first.record.pk)
    with pytest.raises(Refused) as twice:
        supersede(meal, changes={"slot": "pm"}, stamp=stamp(), reason="late")
    assert "already corrected by SUP" in twice.value.errors["__all__"]
    with pytest.raises(EntryConflict):
        supersede(meal, changes={"slot": "pm"}, stamp=stamp(), reason="late", entry=ENTRY)
    with pytest.raises(Refused) as silent:
        supersede(first.record, changes={"slot": "pm"}, stamp=stamp(), reason=" ")
    assert "reason" in silent.value.errors
    assert [row.offered_g for row in Feeding.objects.get().lines.all()] == [43]
    assert Feeding.objects.get().note == "windy"


def test_a_line_that_does_not_change_keeps_its_dry_grams_and_one_that_does_is_computed_anew(
    facility: Any, meal: Feeding
) -> None:
    item = meal.lines.get().food_item
    FoodComposition.objects.filter(food_item=item).update(moisture_percent=50)
    slotted = supersede(meal, changes={"slot": "am"}, stamp=stamp(), reason="slot").record
    assert slotted.lines.get().dry_g == pytest.approx(34 * 0.92)
    other_day = supersede(slotted, moment=on(TODAY - timedelta(days=1), facility), stamp=stamp(), reason="day").record
    assert other_day.lines.get().dry_g == pytest.approx(17)


def test_undo_takes_back_ones_own_entry_for_ten_minutes(meal: Feeding) -> None:
    with pytest.raises(Refused):
        undo(meal, stamp=stamp(NOW + timedelta(minutes=5), by="K2"))
    with pytest.raises(Refused) as late:
        undo(meal, stamp=stamp(NOW + timedelta(minutes=11), by="K1"))
    assert "10 minutes" in late.value.errors["__all__"]
    undone = undo(meal, stamp=stamp(NOW + timedelta(minutes=9), by="K1")).record
    assert (undone.withdrawn, undone.reason, undone.supersedes_id) == (True, "undone", meal.pk)
    assert not Feeding.objects.exists()
    assert [row.offered_g for row in undone.lines.all()] == [34]  # a withdrawal repeats what it withdraws
    with pytest.raises(Refused):
        withdraw(meal, stamp=stamp(), reason="again")
    with pytest.raises(Refused):
        withdraw(undone, stamp=stamp(), reason="again")
    with pytest.raises(Refused):
        supersede(undone, stamp=stamp(), reason="again")


def test_undoing_a_correction_brings_back_what_stood_before(facility: Any, two_ponds: Any) -> None:
    filter = two_ponds[0].filters.get()
    begun = log_cleanout(
        filter=filter,
        moment=on(TODAY, facility),
        stamp=stamp(),
        outcome="attempted",
        stage="before",
        depth_before_mm=90,
    ).record
    done = finish_cleanout(begun, stamp=stamp(), outcome="full", depth_after_mm=5).record
    back = undo(done, stamp=stamp(NOW + timedelta(minutes=2))).record
    assert back.content() == begun.content()
    assert list(Cleanout.objects.all()) == [back]
    assert Cleanout.all_rows.count() == 3


def test_a_sounding_moved_to_another_day_or_filter_is_held_against_that_void(facility: Any, two_ponds: Any) -> None:
    shallow = make_filter(make_enclosure(facility, "T1"), void_height_mm=60)
    filter = two_ponds[0].filters.get()
    record = log_sounding(
        filter=filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=83)], stamp=stamp()
    ).record
    with pytest.raises(Refused) as deep:
        supersede(record, changes={"filter": shallow}, stamp=stamp(), reason="wrong filter")
    assert "depth_mm" in deep.value.errors
    with pytest.raises(Refused):
        supersede(record, moment=on(date(2020, 1, 1), facility), stamp=stamp(), reason="wrong day")
    parts = {"readings": [DepthGiven(depth_mm=38)]}
    put_right = supersede(record, changes={"filter": shallow}, parts=parts, stamp=stamp(), reason="wrong filter")
    assert list(Sounding.objects.all()) == [put_right.record]


def test_a_kits_basis_put_right_computes_the_value_and_drops_the_flag(facility: Any, two_ponds: Any) -> None:
    given = ReadingGiven(analyte="tan", value=0.5, unit="mg/L")
    test = log_water_test(enclosure=two_ponds[0], moment=on(TODAY, facility), readings=[given], stamp=stamp()).record
    assert test.flags == ["BASE"]
    known = ReadingGiven(analyte="tan", value=0.5, unit="mg/L", expressed_as="NH3")
    right = supersede(test, parts={"readings": [known]}, stamp=stamp(), reason="kit A").record
    assert right.flags == []
    assert right.readings.get().canonical == pytest.approx(0.411, abs=5e-4)
    assert WaterTest.objects.get() == right
    with pytest.raises(TypeError):
        supersede(right, parts={"lines": []}, stamp=stamp(), reason="no such part")


def test_a_settled_doubt_does_not_come_back_with_a_correction(facility: Any, two_ponds: Any, meal: Feeding) -> None:
    again = {
        "enclosure": two_ponds[0],
        "moment": on(TODAY, facility),
        "lines": [LineGiven(food_item=meal.lines.get().food_item, offered_g=5)],
        "slot": "pm",
    }
    log_feeding(**again, stamp=stamp(by="K2"))
    repeat = log_feeding(**again, stamp=stamp(by="SUP")).record
    assert repeat.flags == ["DUP"]
    FilterOutlook.objects.update(is_stale=False)
    settle_flag(repeat, code="DUP", stamp=stamp(by="SUP"))
    assert set(FilterOutlook.objects.filter(is_stale=True).values_list("filter__code", flat=True)) == {"P1-F"}
    with pytest.raises(Refused):
        settle_flag(repeat, code="DUP", stamp=stamp(by="ADM"))
    assert supersede(repeat, changes={"head_count": 4}, stamp=stamp(), reason="counted").record.flags == []
