"""A page's bounded evidence against the forecast's whole: the same sums, the same signs, from fewer rows."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.measurements import log_measurement
from enclosures.actions.sludge import log_cleanout
from enclosures.actions.stays import arrive
from enclosures.evidence import AsOf, load_filters
from enclosures.evidence.meals import load_meals
from enclosures.evidence.now import load_enclosure_now
from enclosures.models import Animal, FoodItem, Taxon
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db
EMPTIED = date(2024, 3, 2)
CAME = date(2025, 6, 1)


def feed(place: Any, day: date, grams: float, food: FoodItem, *, by: str = "K1", slot: str = "am") -> None:
    log_feeding(
        enclosure=place,
        moment=on(day, place.facility),
        lines=[LineGiven(food_item=food, offered_g=grams, eaten="all")],
        stamp=entered_on(day, by=by),
        slot=slot,
    )


@pytest.fixture
def place(facility: Any) -> Any:
    """Two filters, the second from June 2025; fed every tenth day for four years, at times twice, at times without a recipe."""
    place, pellet = make_enclosure(facility), make_pellet(moisture=8)
    prey = FoodItem.objects.create(code="smelt", name="Smelt", food_class="fish")
    old = make_filter(place, "A", chamber_area_m2=0.3, valid_from=date(2021, 10, 4))
    make_filter(place, "B", chamber_area_m2=0.1, valid_from=CAME)
    for n, day in enumerate(days(date(2021, 10, 4), TODAY, 10)):
        feed(place, day, 10 + n % 7, pellet, slot="am")
        if n % 9 == 0:
            feed(place, day, 10, pellet, slot="am", by="K2")
        if n % 5 == 0:
            feed(place, day, 4, prey, slot="pm")
    log_cleanout(filter=old, moment=on(EMPTIED, facility), stamp=entered_on(EMPTIED), outcome="full")
    return place


def both(place: Any) -> tuple[Any, Any]:
    rows = list(place.filters.order_by("code"))
    whole = load_filters(rows, as_of=TODAY, zone=place.facility.zone)
    return whole, load_enclosure_now(place, filters=rows, today=TODAY).filters


def dry_since(known: Any, day: date) -> float:
    return sum(portion.dry_g for portion in known.evidence.feedings if portion.on >= day)


@pytest.mark.parametrize("start", [EMPTIED, CAME, *(TODAY - timedelta(days=n) for n in (364, 27, 6))])
def test_feed_in_sums_comes_to_what_the_lines_come_to(place: Any, start: date) -> None:
    whole, now = both(place)
    for pk, known in whole.items():
        assert dry_since(known, start) > 0
        assert dry_since(now[pk], start) == pytest.approx(dry_since(known, start))
        assert sum(p.protein_g for p in now[pk].evidence.feedings if p.on >= start) == pytest.approx(
            sum(p.protein_g for p in known.evidence.feedings if p.on >= start)
        )


def test_what_the_page_says_of_the_records_is_what_the_forecast_is_told(place: Any) -> None:
    whole, now = both(place)
    for pk, known in whole.items():
        assert now[pk].signs == known.signs
        assert now[pk].evidence.assumed_feed_share == pytest.approx(known.evidence.assumed_feed_share)
        assert 0 < now[pk].evidence.assumed_feed_share < 1
        assert now[pk].evidence.feed_share == known.evidence.feed_share
        assert (now[pk].emptied, now[pk].first_fed_on) == (known.emptied, known.first_fed_on)


def test_repeats_count_once_in_sums_too(place: Any) -> None:
    as_of = AsOf.of(TODAY, zone=place.facility.zone)
    assert load_meals([place.pk], as_of=as_of)[place.pk].n_repeats_left_out > 0
    assert load_enclosure_now(place, today=TODAY).meals.n_repeats_left_out > 0
    place.filters.update(commissioned_on=None)
    never_emptied = load_enclosure_now(place, filters=[place.filters.get(code="B")], today=TODAY)
    assert never_emptied.meals.n_repeats_left_out == load_meals([place.pk], as_of=as_of)[place.pk].n_repeats_left_out


def test_sums_stay_few_however_long_it_was_fed(place: Any) -> None:
    now = load_enclosure_now(place, filters=place.filters.all(), today=TODAY)
    stretches = 1 + len({EMPTIED, CAME}) + 3
    assert len(now.meals.portions) <= stretches * 2  # two classes of food


def test_only_the_latest_weight_of_each_animal_is_read(place: Any, facility: Any) -> None:
    animal = Animal.objects.create(code="BL-1", taxon=Taxon.objects.create(scientific_name="Emys inventa"))
    arrive(animal=animal, to=place, moment=on(EMPTIED, facility), stamp=entered_on(EMPTIED))
    for n in range(3):
        day = EMPTIED + timedelta(days=100 * n)
        log_measurement(animal=animal, moment=on(day, facility), stamp=entered_on(day), mass_g=500 + n)
    residents = load_enclosure_now(place, today=TODAY).residents
    assert [(weight.on, weight.mass_g) for weight in residents.weights] == [(EMPTIED + timedelta(days=200), 502)]
    assert residents.stock_kg == pytest.approx(0.502)
