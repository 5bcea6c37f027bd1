"""Records become evidence: shares, possible repeats, guessed recipes, part cleanouts, disputes; and a fixed number of queries."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from enclosures.actions.animals import add_animal
from enclosures.actions.corrections import move_to_enclosure, withdraw
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.filters import add_build, confirm_baseline, fit_pump
from enclosures.actions.flags import settle_flag
from enclosures.actions.measurements import log_measurement
from enclosures.actions.sludge import DepthGiven, log_cleanout, log_flow_check, log_sounding, log_upkeep
from enclosures.actions.stays import arrive, move_animals
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.evidence import load_filter_evidence, load_filter_signs, load_filters
from enclosures.models import Filter, FoodItem, Pump, Taxon
from tests.actions.station import at, days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import TODAY

START = date(2025, 3, 1)


def feed(place: Any, day: date, grams: float, food: FoodItem, *, by: str = "K1", **more: Any) -> Any:
    return log_feeding(
        enclosure=place,
        moment=on(day, place.facility),
        lines=[LineGiven(food_item=food, offered_g=grams, eaten="all")],
        stamp=entered_on(day, by=by),
        **more,
    ).record


def evidence_of(filter: Filter, as_of: date = TODAY) -> Any:
    return load_filter_evidence([filter], as_of=as_of, zone=filter.enclosure.facility.zone)[filter.pk]


def signs_of(filter: Filter, as_of: date = TODAY) -> Any:
    return load_filter_signs([filter], as_of=as_of, zone=filter.enclosure.facility.zone)[filter.pk]


def test_the_number_of_queries_does_not_grow_with_filters_or_records(facility: Any) -> None:
    food, taxon = make_pellet(), Taxon.objects.create(scientific_name="Emys orbicularis")

    def furnish(code: str) -> Filter:
        place = make_enclosure(facility, code)
        filter = make_filter(place)
        animal = add_animal(code=f"BL-{code}", taxon=taxon)
        arrive(animal=animal, to=place, moment=on(START, facility), stamp=entered_on(START))
        for day in days(START, START + timedelta(days=20), 2):
            feed(place, day, 10, food, slot="am")
            feed(place, day, 10, food, slot="am", by="K2")
            log_sounding(
                filter=filter, moment=on(day, facility), depths=[DepthGiven(depth_mm=9)], stamp=entered_on(day)
            )
            log_flow_check(filter=filter, moment=on(day, facility), stamp=entered_on(day), flow_l_per_h=900)
        log_cleanout(filter=filter, moment=on(TODAY, facility), stamp=entered_on(TODAY), outcome="full")
        log_measurement(animal=animal, moment=on(START, facility), stamp=entered_on(START), mass_g=500)
        return filter

    def n_queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            load_filters(Filter.objects.order_by("code"), as_of=TODAY, zone=facility.zone)
        return len(seen)

    furnish("P1")
    with_one = n_queries()
    for code in ("P2", "P3", "P4"):
        furnish(code)
    assert n_queries() == with_one <= 24


def test_two_filters_on_one_enclosure_share_feed_by_measured_flow_else_by_area(facility: Any) -> None:
    place = make_enclosure(facility)
    one = make_filter(place, "A", baseline_flow_l_per_h=1000, chamber_area_m2=0.2)
    two = make_filter(place, "B", baseline_flow_l_per_h=3000, chamber_area_m2=0.6)
    by_baseline = load_filter_evidence([one, two], as_of=TODAY, zone=facility.zone)
    assert (by_baseline[one.pk].feed_share, by_baseline[two.pk].feed_share) == (0.25, 0.75)
    log_flow_check(filter=one, moment=on(START, facility), stamp=entered_on(START), flow_l_per_h=2000)
    assert evidence_of(one).feed_share == pytest.approx(0.4)
    assert evidence_of(two).feed_share == pytest.approx(0.6)
    assert evidence_of(one, START - timedelta(days=1)).feed_share == 0.25  # not measured yet
    third = make_filter(place, "C", chamber_area_m2=0.2)  # no flow known of it: area decides for all
    assert evidence_of(third).feed_share == pytest.approx(0.2)
    assert evidence_of(two).feed_share == pytest.approx(0.6)
    sponge = Filter.objects.create(enclosure=place, code="S", kind="sponge")
    assert evidence_of(sponge).feed_share == 1.0  # has no void, takes no share
    assert evidence_of(two).feed_share == pytest.approx(0.6)


def test_feed_before_a_second_filter_came_was_all_the_firsts(facility: Any) -> None:
    place, food = make_enclosure(facility), make_pellet(moisture=0)
    old = make_filter(place, "A", chamber_area_m2=0.3)
    new = make_filter(place, "B", chamber_area_m2=0.1, valid_from=date(2025, 6, 1))
    feed(place, date(2025, 5, 31), 12, food)
    feed(place, date(2025, 6, 1), 12, food)
    told = evidence_of(old)
    assert [portion.dry_g * told.feed_share for portion in told.feedings] == pytest.approx([12, 9])
    assert evidence_of(new).feedings[-1].dry_g * evidence_of(new).feed_share == pytest.approx(3)


def test_a_food_without_a_recipe_counts_by_its_class_and_says_so(facility: Any) -> None:
    place = make_enclosure(facility)
    filter, snail = make_filter(place), FoodItem.objects.create(code="snail", food_class="mollusc")
    feed(place, TODAY, 10, snail)
    feed(place, TODAY, 2, make_pellet())
    told = evidence_of(filter)
    snails, pellets = told.feedings
    assert snails.dry_g == pytest.approx(10 * (1 - 0.7920))  # snail, raw: USDA SR 90560, water 79.20 %
    assert told.assumed_feed_share == pytest.approx(snails.dry_g / (snails.dry_g + pellets.dry_g))
    assert told.notes == ("No recipe on record for snail: a usual one of its kind was taken.",)


def test_a_possible_repeat_counts_once_until_somebody_looked(facility: Any) -> None:
    place, food = make_enclosure(facility), make_pellet(moisture=0)
    filter, day = make_filter(place), TODAY - timedelta(days=3)
    first = feed(place, day, 5, food, slot="pm", by="K2")
    repeat = feed(place, day, 6, food, slot="pm", by="SUP")
    assert repeat.flags == ["DUP"]
    assert [p.dry_g for p in evidence_of(filter).feedings] == [5]
    assert "may be a repeat" in evidence_of(filter).notes[0]
    withdraw(first, stamp=entered_on(TODAY - timedelta(days=1)), reason="not me")
    assert [p.dry_g for p in evidence_of(filter).feedings] == [6]  # the other is gone, so this is the meal
    assert [p.dry_g for p in evidence_of(filter, TODAY - timedelta(days=2)).feedings] == [5]
    again = feed(place, day, 7, food, slot="pm", by="K1")
    assert [p.dry_g for p in evidence_of(filter).feedings] == [6]
    settle_flag(again, code="DUP", stamp=entered_on(TODAY))
    assert [p.dry_g for p in evidence_of(filter).feedings] == [6, 7]
    assert [p.dry_g for p in evidence_of(filter, TODAY - timedelta(days=1)).feedings] == [6]


def test_leftovers_taken_out_again_never_reach_the_void(facility: Any) -> None:
    place, food = make_enclosure(facility), make_pellet(moisture=0)
    filter = make_filter(place)
    line = LineGiven(food_item=food, offered_g=10, eaten="some")
    log_feeding(
        enclosure=place, moment=on(TODAY, facility), lines=[line], stamp=entered_on(TODAY), leftovers_removed=True
    )
    assert [(p.dry_g, p.removed_dry_g) for p in evidence_of(filter).feedings] == [(10, 5)]


def test_an_entry_moved_to_its_enclosure_counts_there_and_only_there(facility: Any) -> None:
    food = make_pellet(moisture=0)
    right, wrong, clean = (make_enclosure(facility, code) for code in ("P1", "P2", "P3"))
    filters = [make_filter(place) for place in (right, wrong, clean)]
    logged = feed(wrong, TODAY, 20, food)
    feed(clean, TODAY, 20, food)
    move_to_enclosure(logged, to=right, stamp=entered_on(TODAY, by="SUP"), reason="wrong pond")
    told = [evidence_of(filter).feedings for filter in filters]
    assert told == [told[2], (), told[2]]


def test_repeat_readings_are_one_sounding_and_the_grid_is_a_bound(facility: Any) -> None:
    filter = make_filter(make_enclosure(facility))
    seen = {
        date(2025, 5, 1): [DepthGiven(depth_mm=80), DepthGiven(depth_mm=84), DepthGiven(depth_mm=82)],
        date(2025, 6, 1): [DepthGiven(depth_mm=150, qualifier=">=")] * 2 + [DepthGiven(depth_mm=148)],
        date(2025, 7, 1): [DepthGiven(depth_mm=10, qualifier="<=")],
    }
    for day, depths in seen.items():
        moment = at(day, 9, 5, facility) if day.month == 5 else on(day, facility)
        log_sounding(filter=filter, moment=moment, depths=depths, stamp=entered_on(day))
    told = evidence_of(filter).soundings
    assert [(s.depths_mm, s.qualifier, s.minute) for s in told] == [
        ((80, 84, 82), "", 545), ((150, 150), ">=", None), ((10,), "<=", None),
    ]  # fmt: skip
    assert [(round(s.fill, 3), s.is_at_grid) for s in signs_of(filter).soundings] == [
        (0.547, False), (1.0, True), (0.067, False),
    ]  # fmt: skip


def test_a_part_cleanout_keeps_its_residual_and_a_begun_one_has_taken_nothing(facility: Any) -> None:
    filter = make_filter(make_enclosure(facility))
    log_cleanout(
        filter=filter,
        moment=on(date(2025, 7, 6), facility),
        stamp=entered_on(date(2025, 7, 6)),
        outcome="part",
        depth_before_qualifier=">=",
    )
    log_cleanout(
        filter=filter,
        moment=on(TODAY, facility),
        stamp=entered_on(TODAY),
        outcome="full",
        stage="before",
        depth_before_mm=90,
    )
    part, begun = evidence_of(filter).cleanouts
    assert (part.outcome, part.depth_before_mm, part.depth_before_qualifier) == ("part", 150, ">=")
    assert (part.depth_after_mm, part.slurry_l) == (None, None)
    assert (begun.outcome, begun.depth_before_mm) == ("attempted", 90)
    signs = signs_of(filter)
    assert signs.last_emptied_on is None
    assert signs.cleanouts_on == (date(2025, 7, 6),)


def test_a_rod_that_contradicts_flow_and_head_is_disputed_from_when_that_was_known(facility: Any) -> None:
    filter = make_filter(make_enclosure(facility), baseline_flow_l_per_h=2800, baseline_head_mm=14)
    read_on, checked_on = date(2025, 7, 26), date(2025, 7, 28)
    log_sounding(
        filter=filter, moment=on(read_on, facility), depths=[DepthGiven(depth_mm=19)], stamp=entered_on(read_on)
    )
    log_flow_check(
        filter=filter,
        moment=on(read_on, facility),
        stamp=entered_on(checked_on),
        flow_l_per_h=1050,
        head_difference_mm=96,
    )
    assert not evidence_of(filter, read_on).soundings[0].is_disputed
    assert evidence_of(filter, checked_on).soundings[0].is_disputed
    repaired = date(2025, 8, 9)
    add_build(
        filter, valid_from=repaired, chamber_area_m2=0.45, void_height_mm=150, usable_fraction=0.75,
        baseline_flow_l_per_h=2800, baseline_head_mm=14, closes_disagreement=True,
    )  # fmt: skip
    log_sounding(filter=filter, moment=on(TODAY, facility), depths=[DepthGiven(depth_mm=12)], stamp=entered_on(TODAY))
    assert [s.is_disputed for s in evidence_of(filter).soundings] == [True, False]
    signs = signs_of(filter)
    assert (signs.rebuilt_on, signs.did_rebuild_close_disagreement, signs.last_work_on) == (repaired, True, repaired)


def test_confirming_a_baseline_is_no_rebuild_and_a_new_void_is(facility: Any) -> None:
    filter = make_filter(make_enclosure(facility), baseline_flow_l_per_h=2800, due_fill=0.6)
    confirm_baseline(filter, valid_from=date(2025, 5, 1), flow_l_per_h=2000)
    told = evidence_of(filter)
    assert [b.valid_from for b in told.builds] == [date(2024, 1, 1)]
    assert told.builds[0].due_fill == 0.6
    log_flow_check(filter=filter, moment=on(TODAY, facility), stamp=entered_on(TODAY), flow_l_per_h=1900)
    signs = signs_of(filter)
    assert signs.last_flow().flow_share == pytest.approx(0.95)
    assert (signs.rebuilt_on, signs.last_work_on) == (date(2024, 1, 1), date(2025, 5, 1))
    add_build(filter, valid_from=date(2025, 6, 1), chamber_area_m2=0.45, void_height_mm=240, usable_fraction=0.75)
    assert [(b.valid_from.month, b.void_height_mm, b.due_fill) for b in evidence_of(filter).builds] == [
        (1, 150, 0.6), (6, 240, 0.7),
    ]  # fmt: skip


def test_flow_read_before_a_cleanout_of_the_day_says_nothing_of_the_filter_as_it_stands(facility: Any) -> None:
    filter = make_filter(make_enclosure(facility), baseline_flow_l_per_h=2400)
    log_flow_check(filter=filter, moment=at(TODAY, 8, 0, facility), stamp=entered_on(TODAY), flow_l_per_h=1700)
    log_cleanout(
        filter=filter,
        moment=at(TODAY, 10, 0, facility),
        stamp=entered_on(TODAY),
        outcome="full",
        flow_before_l_per_h=1780,
    )
    assert signs_of(filter).last_flow() is None
    log_flow_check(filter=filter, moment=at(TODAY, 13, 0, facility), stamp=entered_on(TODAY), flow_l_per_h=2380)
    assert signs_of(filter).last_flow().flow_l_per_h == 2380


def test_a_move_at_midday_leaves_the_animal_in_one_place_a_night(facility: Any) -> None:
    pond, tank = make_enclosure(facility, "P3"), make_enclosure(facility, "B2", kind="tank", indoor=True)
    filters = make_filter(pond), make_filter(tank)
    taxon = Taxon.objects.create(
        scientific_name="Graptemys ouachitensis",
        common_name="map turtle",
        feeding_stops_below_c=16,
        is_skin_sensitive=True,
    )
    turtle = add_animal(code="BL-115", taxon=taxon, sex="female", hatched_from=date(2010, 1, 1))
    moved = date(2025, 8, 2)
    arrive(animal=turtle, to=pond, moment=at(date(2025, 5, 1), 9, 0, facility), stamp=entered_on(date(2025, 5, 1)))
    log_measurement(animal=turtle, moment=on(moved, facility), stamp=entered_on(moved), mass_g=1060)
    move_animals(animals=[turtle], to=tank, moment=at(moved, 13, 40, facility), stamp=entered_on(moved))
    there, here = (evidence_of(filter) for filter in filters)
    assert [(s.from_on, s.to_on) for s in there.stays] == [(date(2025, 5, 1), moved)]
    assert [(s.from_on, s.to_on) for s in here.stays] == [(moved, None)]
    assert here.feeding_stops_below_c == there.feeding_stops_below_c == 16
    assert [w.mass_g for w in here.weights] == [1060]
    assert (signs_of(filters[1]).stock_kg, signs_of(filters[1]).is_skin_sensitive) == (1.06, True)
    assert (signs_of(filters[0]).stock_kg, signs_of(filters[0]).n_animals) == (None, 0)
    before = signs_of(filters[0], date(2025, 6, 1))
    assert (before.n_animals, before.has_nesting_females, before.has_gravid_or_nesting) == (1, True, True)


def test_those_that_come_in_every_autumn_are_expected_again(facility: Any) -> None:
    pond, tank = make_enclosure(facility, "P3"), make_enclosure(facility, "B2", kind="tank", indoor=True)
    filter = make_filter(tank)
    taxon = Taxon.objects.create(scientific_name="Graptemys ouachitensis", common_name="map turtle")
    turtles = [add_animal(code=f"BL-11{n}", taxon=taxon) for n in (3, 4)]
    for turtle in turtles:
        arrive(animal=turtle, to=pond, moment=on(date(2023, 5, 1), facility), stamp=entered_on(date(2023, 5, 1)))
    for day, place in (
        (date(2023, 10, 25), tank), (date(2024, 5, 1), pond), (date(2024, 10, 25), tank), (date(2025, 5, 1), pond),
    ):  # fmt: skip
        move_animals(animals=turtles, to=place, moment=on(day, facility), stamp=entered_on(day))
    assert [(e.on, e.text) for e in signs_of(filter).events_ahead] == [(date(2025, 10, 25), "The map turtles come in")]
    assert signs_of(filter, date(2024, 6, 1)).events_ahead == ()  # once is no habit
    assert signs_of(filter, date(2024, 11, 1)).arrivals_on == (date(2024, 10, 25),)


def test_waters_pumps_and_upkeep_are_read_as_they_stood(facility: Any) -> None:
    place = make_enclosure(facility, litter_g_m2_year=220)
    filter = make_filter(place)
    for day, value, where in ((date(2025, 9, 30), 15.0, "tank"), (TODAY, 13.0, "tank"), (TODAY, 10.0, "source")):
        log_water_test(
            enclosure=place,
            moment=on(day, facility),
            readings=[
                ReadingGiven(analyte="temperature", value=value, unit="degC"),
                ReadingGiven(analyte="tan", value=8, unit="mg/L", expressed_as="N", qualifier=">"),
            ],
            stamp=entered_on(day),
            place=where,
        )
    for code in ("a", "b"):
        fit_pump(
            filter=filter, pump=Pump.objects.create(code=code), from_on=START, stamp=entered_on(START), replaces=False
        )
    log_upkeep(filter=filter, moment=on(START, facility), kind="restack", stamp=entered_on(START))
    signs = signs_of(filter)
    assert [t.temp_c for t in evidence_of(filter).temperatures] == [15, 13]
    assert (signs.water_temp_c, signs.has_trees, signs.n_pumps, signs.rebuilt_on) == (14, True, 2, START)
    assert [(w.on, w.qualifier) for w in signs.waters if w.analyte == "tan"] == [(date(2025, 9, 30), ">"), (TODAY, ">")]
    assert (signs_of(filter, START - timedelta(days=1)).n_pumps, signs_of(filter, START).n_pumps) == (1, 2)
