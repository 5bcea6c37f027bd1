"""Plans become evidence: who is still to move, what no longer counts, what is known when; and what the forecast makes of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from enclosures.actions.animals import add_animal
from enclosures.actions.events import begin_season, end_season
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.measurements import log_measurement
from enclosures.actions.planned import begin_planned_season, call_off, change_plan, plan_move, plan_season, tick_off
from enclosures.actions.plans import save_feeding_plan
from enclosures.actions.stays import arrive, end_stay, move_animals
from enclosures.evidence import load_filter_evidence, load_filter_signs, load_filters
from enclosures.forecast.inputs import FilterEvidence, Outlook
from enclosures.forecast.outlook import outlook_for
from enclosures.models import Enclosure, Filter, Season, Taxon
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import TODAY

SINCE = date(2025, 5, 3)
MAY = date(2026, 5, 1)
DECIDED = date(2025, 9, 20)
MASS_G = 100.0  # a grown musk turtle: nothing grows while the test looks


@pytest.fixture
def musk(db: None) -> Taxon:
    return Taxon.objects.create(scientific_name="Sternotherus minor", common_name="loggerhead musk")


@pytest.fixture
def tub(facility: Any, musk: Taxon) -> Filter:
    return lived_in(facility, "T1", musk, n=4)


@pytest.fixture
def pond(facility: Any, musk: Taxon) -> Filter:
    """Under a roof too, so that the tests need no weather."""
    return lived_in(facility, "P3", musk, n=4)


def lived_in(facility: Any, code: str, taxon: Taxon, *, n: int) -> Filter:
    """Animals since SINCE, fed two days of three: a void half full by TODAY or so."""
    place = make_enclosure(facility, code, kind="tub", indoor=True, surface_m2=None)
    built = make_filter(place, valid_from=SINCE, chamber_area_m2=0.05, void_height_mm=60)
    food = make_pellet(f"pellet {code}")
    for k in range(n):
        animal = add_animal(code=f"{code}-{k}", taxon=taxon)
        arrive(animal=animal, to=place, moment=on(SINCE, facility), stamp=entered_on(SINCE))
        for day in (SINCE, date(2025, 9, 6)):
            log_measurement(animal=animal, moment=on(day, facility), stamp=entered_on(day), mass_g=MASS_G)
    for day in days(SINCE, TODAY):
        if day.toordinal() % 3:
            feed(place, day, 4.0, food)
    return built


def feed(place: Enclosure, day: date, grams: float, food: Any) -> None:
    line = LineGiven(food_item=food, offered_g=grams, eaten="all")
    log_feeding(enclosure=place, moment=on(day, place.facility), lines=[line], stamp=entered_on(day))


def evidence_of(each: Filter, as_of: date = TODAY) -> FilterEvidence:
    return load_filter_evidence([each], as_of=as_of, zone=each.enclosure.facility.zone)[each.pk]


def outlook_of(each: Filter, as_of: date = TODAY) -> Outlook:
    return outlook_for(evidence_of(each, as_of), as_of=as_of, n_particles=300)


def median_due(each: Filter, as_of: date = TODAY) -> date:
    due = outlook_of(each, as_of).due_on
    assert due is not None
    return due.p50 or date.max


def moving(start: Filter | None, end: Filter | None, *, day: date = DECIDED, planned_on: date = MAY, **who: Any) -> Any:
    facility = (start or end).enclosure.facility  # type: ignore[union-attr]
    return plan_move(
        planned_on=planned_on,
        moment=on(day, facility),
        stamp=entered_on(day, by="SUP"),
        from_enclosure=start.enclosure if start else None,
        to_enclosure=end.enclosure if end else None,
        **who,
    ).record


def living_in(each: Filter) -> list[Any]:
    return [stay.animal for stay in each.enclosure.stays.filter(to_at=None).select_related("animal").order_by("animal")]


def test_a_planned_move_brings_the_pond_nearer_and_the_tub_further(tub: Filter, pond: Filter) -> None:
    sooner, later = median_due(pond), median_due(tub)
    soon = TODAY + timedelta(days=20)
    plan = moving(tub, pond, animals=living_in(tub), planned_on=soon)
    assert median_due(pond) < sooner
    assert median_due(tub) > later
    assert outlook_of(tub).ahead == (
        "On about 24 Oct 2025 four animals move to P3: the feed here is expected to fall to nothing.",
    )
    assert outlook_of(pond).ahead == (
        "On about 24 Oct 2025 four animals come from T1: the feed here is expected to rise to about twice as much.",
    )
    call_off(plan, stamp=entered_on(TODAY, by="SUP", hour=9), reason="the pond leaks")
    assert (median_due(pond), median_due(tub)) == (sooner, later)
    assert not outlook_of(tub).ahead


def test_of_four_that_weigh_the_same_one_that_goes_takes_a_quarter(tub: Filter, pond: Filter) -> None:
    """Feed goes by the mass^.75 of those present, so of equals each has the same part."""
    moving(tub, pond, animals=living_in(tub)[:1])
    assert outlook_of(tub).ahead == (
        "On about 1 May 2026 T1-0 moves to P3: the feed here is expected to fall by about 25 %.",
    )


def test_before_it_was_entered_nobody_knew_of_it(tub: Filter, pond: Filter) -> None:
    plan = moving(tub, pond, animals=living_in(tub))
    eve = DECIDED - timedelta(days=1)
    assert not evidence_of(tub, eve).planned_moves
    assert evidence_of(tub, DECIDED).planned_moves
    change_plan(
        plan, changes={"planned_on": date(2026, 6, 1)}, stamp=entered_on(TODAY, by="SUP"), reason="a cold spring"
    )
    assert [move.on for move in evidence_of(tub, TODAY - timedelta(days=1)).planned_moves] == [MAY]
    assert [move.on for move in evidence_of(tub).planned_moves] == [date(2026, 6, 1)]
    call_off(plan, stamp=entered_on(TODAY, by="SUP", hour=20))
    assert evidence_of(tub, TODAY - timedelta(days=1)).planned_moves
    assert not evidence_of(tub).planned_moves


@pytest.mark.parametrize("is_ticked", [True, False])
def test_a_move_that_was_made_does_not_count_twice(tub: Filter, pond: Filter, is_ticked: bool) -> None:
    animals = living_in(tub)
    plan = moving(tub, pond, animals=animals, planned_on=TODAY)
    move_animals(
        animals=animals, to=pond.enclosure, moment=on(TODAY, tub.enclosure.facility), stamp=entered_on(TODAY, hour=9)
    )
    if is_ticked:
        tick_off(plan, stamp=entered_on(TODAY, hour=9))
    for each in (tub, pond):
        told = evidence_of(each)
        assert not told.planned_moves
        assert not told.notes


def test_by_number_the_heaviest_are_to_go_and_those_who_went_since_count(
    tub: Filter, pond: Filter, facility: Any
) -> None:
    one, *others = living_in(tub)
    log_measurement(animal=one, moment=on(DECIDED, facility), stamp=entered_on(DECIDED), mass_g=120)
    moving(tub, pond, n_animals=2)
    assert evidence_of(tub).planned_moves[0].leaving == ("T1-0", "T1-1")
    assert [comer.animal for comer in evidence_of(pond).planned_moves[0].coming] == ["T1-0", "T1-1"]
    day = TODAY - timedelta(days=2)
    move_animals(animals=others[-1:], to=pond.enclosure, moment=on(day, facility), stamp=entered_on(day))
    assert evidence_of(tub).planned_moves[0].leaving == ("T1-0",)


def test_an_animal_never_weighed_weighs_what_its_kind_does_at_its_age(pond: Filter, musk: Taxon, facility: Any) -> None:
    twin = add_animal(code="X-1", taxon=musk, hatched_from=date(2024, 5, 1), hatched_to=date(2024, 5, 1))
    stranger = add_animal(code="X-2", taxon=musk, hatched_from=date(2025, 5, 1), hatched_to=date(2025, 5, 1))
    log_measurement(animal=twin, moment=on(SINCE, facility), stamp=entered_on(SINCE), mass_g=21.0)
    moving(None, pond, animals=[stranger])
    assert evidence_of(pond).planned_moves[0].coming[0].usual_mass_g == 21.0  # a year old both
    moving(None, pond, n_animals=1, taxon=musk, mass_g=55.0, planned_on=MAY + timedelta(days=1))
    assert evidence_of(pond).planned_moves[1].coming[0].usual_mass_g == 55.0


def test_who_died_or_left_meanwhile_goes_nowhere(tub: Filter, pond: Filter, facility: Any) -> None:
    one, *_ = animals = living_in(tub)
    moving(tub, pond, animals=animals)
    end_stay(animal=one, moment=on(TODAY, facility), stamp=entered_on(TODAY), reason="died")
    assert "T1-0" not in evidence_of(tub).planned_moves[0].leaving
    assert len(evidence_of(pond).planned_moves[0].coming) == 3


def test_a_plan_overdue_counts_from_tomorrow_for_a_month_and_then_is_doubted(tub: Filter, pond: Filter) -> None:
    moving(tub, pond, animals=living_in(tub), planned_on=date(2025, 9, 22))
    assert (
        outlook_of(tub)
        .ahead[0]
        .startswith(
            "Planned for about 22 Sep 2025 and not ticked off: four animals move to P3. It is counted from tomorrow: "
        )
    )
    told = evidence_of(tub, date(2025, 10, 23))
    assert not told.planned_moves
    assert told.notes[-1].endswith("four animals move to P3. It is no longer counted.")


def test_arrivals_planned_close_the_working_window(tub: Filter, pond: Filter, facility: Any) -> None:
    moving(tub, pond, animals=living_in(tub))
    events = load_filter_signs([pond], as_of=TODAY, zone=facility.zone)[pond.pk].events_ahead
    assert [(event.on, event.text) for event in events] == [(MAY, "The loggerhead musks come in")]


def test_the_number_of_queries_does_not_grow_with_filters_or_plans(
    tub: Filter, pond: Filter, musk: Taxon, facility: Any
) -> None:
    def plan_for(start: Filter, end: Filter, n: int) -> None:
        stranger = add_animal(code=f"Y-{n}", taxon=musk, hatched_from=date(2025, 5, n), hatched_to=date(2025, 5, n))
        for day in (MAY, MAY + timedelta(days=n)):
            moving(start, end, animals=living_in(start), planned_on=day)
        moving(None, end, animals=[stranger])
        moving(start, None, n_animals=1)
        plan_season(
            enclosure=start.enclosure, kind="resting", from_on=date(2026, 6, n), to_on=date(2026, 6, n), moment=on(DECIDED, facility),
            stamp=entered_on(DECIDED),
        )  # fmt: skip
        save_feeding_plan(
            lines=[LineGiven(food_item=make_pellet(f"p{n}"), offered_g=9)], from_on=MAY, stamp=entered_on(DECIDED),
            enclosure=start.enclosure, slot="am",
        )  # fmt: skip

    def n_queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            load_filters(Filter.objects.order_by("code"), as_of=TODAY, zone=facility.zone)
        return len(seen)

    plan_for(tub, pond, 1)
    with_few = n_queries()
    more = lived_in(facility, "T2", musk, n=2)
    for n, (start, end) in enumerate(((pond, more), (more, pond)), 2):
        plan_for(start, end, n)
    assert n_queries() == with_few <= 32


# Seasons ------------------------------------------------------------------------------------------------------------


def resting(each: Filter, first: date, last: date | None, *, kind: str = "resting") -> Any:
    facility = each.enclosure.facility
    return plan_season(
        enclosure=each.enclosure, kind=kind, from_on=first, to_on=last, moment=on(DECIDED, facility),
        stamp=entered_on(DECIDED, by="SUP"),
    ).record  # fmt: skip


def test_a_planned_rest_puts_the_day_off_and_is_said(tub: Filter) -> None:
    before = median_due(tub)
    resting(tub, TODAY + timedelta(days=10), TODAY + timedelta(days=150))
    assert median_due(tub) > before + timedelta(days=60)
    assert outlook_of(tub).ahead == (
        "A rest without animals is planned from about 14 Oct 2025 to about 3 Mar 2026: no feed is counted then.",
    )
    assert not evidence_of(tub, DECIDED - timedelta(days=1)).planned_seasons


def test_a_rest_that_has_begun_keeps_the_end_that_was_planned_until_it_ends(tub: Filter) -> None:
    plan = resting(tub, DECIDED, TODAY + timedelta(days=150))
    begin_planned_season(plan, on=DECIDED, stamp=entered_on(DECIDED, by="SUP"))
    told = evidence_of(tub)
    assert [(s.from_on, s.to_on) for s in told.seasons] == [(DECIDED, None)]
    assert [s.to_on for s in told.planned_seasons] == [TODAY + timedelta(days=150)]
    assert median_due(tub) > TODAY + timedelta(days=150)
    end_season(Season.objects.get(), to_on=TODAY - timedelta(days=1))
    assert not evidence_of(tub).planned_seasons


def test_years_without_a_plan_still_have_their_winter(tub: Filter, facility: Any) -> None:
    """Setting the dates of this winter says nothing of the next ones."""
    begin_season(enclosure=tub.enclosure, kind="brumation", from_on=date(2024, 11, 2), stamp=entered_on(SINCE))
    end_season(Season.objects.get(), to_on=date(2025, 3, 20))
    resting(tub, date(2025, 11, 10), date(2026, 3, 1), kind="brumation")
    from enclosures.forecast.seasons_ahead import unfed_mask
    from enclosures.forecast.temperature import temperatures_c

    told = evidence_of(tub)
    temp_c = temperatures_c(told, start=TODAY, n_days=900, as_of=TODAY)
    unfed = unfed_mask(told, start=TODAY, n_days=900, as_of=TODAY, temp_c=temp_c)
    said = {day: bool(unfed[(day - TODAY).days]) for day in (
        date(2025, 11, 9), date(2025, 11, 10), date(2026, 3, 1), date(2026, 3, 2), date(2026, 11, 20), date(2027, 1, 5),
    )}  # fmt: skip
    assert list(said.values()) == [False, True, True, False, True, True]


# Feeding plans ------------------------------------------------------------------------------------------------------


def planned_meal(each: Filter, grams: float, from_on: date, *, day: date = DECIDED, replaces: Any = None) -> Any:
    food = each.enclosure.feedings.first().lines.first().food_item
    return save_feeding_plan(
        lines=[LineGiven(food_item=food, offered_g=grams)], from_on=from_on, stamp=entered_on(day),
        enclosure=each.enclosure, replaces=replaces, slot="am",
    )  # fmt: skip


def test_a_plan_that_halves_the_food_from_a_day_ahead_halves_the_feed_ahead(tub: Filter) -> None:
    """4 g two days of three is 2.67 g a day, as planned; 1.33 g a day is half of it."""
    before = median_due(tub)
    old = planned_meal(tub, 4 * 2 / 3, date(2025, 6, 1), day=date(2025, 6, 1))
    planned_meal(tub, 4 / 3, TODAY + timedelta(days=10), replaces=old)
    (change,) = evidence_of(tub).planned
    assert change.on == TODAY + timedelta(days=10)
    assert change.feed_factor == pytest.approx(0.5, abs=0.03)
    assert median_due(tub) > before


@pytest.mark.parametrize(
    ("was", "now", "from_on", "why"),
    [
        (4.0, 2.67, TODAY + timedelta(days=10), "the plan only comes down to what is fed"),
        (2.67, 3.0, TODAY + timedelta(days=10), "amounts set anew for animals that grow"),
        (9.0, 4.0, TODAY + timedelta(days=10), "less than planned before, and more than is fed"),
        (2.67, 6.0, date(2025, 8, 1), "in force for two months: the log speaks"),
        (2.67, 6.0, date(2025, 9, 20), "begun a fortnight ago, and nobody follows it"),
    ],
)
def test_a_plan_that_is_no_news_moves_nothing(tub: Filter, was: float, now: float, from_on: date, why: str) -> None:
    old = planned_meal(tub, was, date(2025, 6, 1), day=date(2025, 6, 1))
    planned_meal(tub, now, from_on, day=min(DECIDED, from_on), replaces=old)
    assert not evidence_of(tub).planned, why


def test_a_plan_made_for_a_move_is_counted_as_the_move(tub: Filter, pond: Filter) -> None:
    old = planned_meal(pond, 2.67, date(2025, 6, 1), day=date(2025, 6, 1))
    planned_meal(pond, 5.4, MAY, replaces=old)
    assert evidence_of(pond).planned
    moving(tub, pond, animals=living_in(tub))
    assert not evidence_of(pond).planned


def test_a_change_that_has_just_begun_fades_into_the_log(tub: Filter) -> None:
    """No jump on the day it begins: the log tells slowly what the plan said at once."""
    begins = date(2025, 10, 2)
    old = planned_meal(tub, 2.67, date(2025, 6, 1), day=date(2025, 6, 1))
    planned_meal(tub, 1.33, begins, replaces=old)
    on_the_eve, now = evidence_of(tub, begins - timedelta(days=1)).planned[0], evidence_of(tub).planned[0]
    assert on_the_eve.feed_factor < now.feed_factor < 0.6
    assert now.on == TODAY + timedelta(days=1)
