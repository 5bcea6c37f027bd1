"""An animal is in one place at a time, to the minute."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.animals import add_animal, merge_animals
from enclosures.actions.entries import Refused
from enclosures.actions.events import begin_season, log_death, log_transfer
from enclosures.actions.stays import add_stay, arrive, end_stay, move_animals
from enclosures.models import Stay, Taxon
from tests.actions.station import at, make_enclosure, on, stamp
from tests.conftest import NOW, TODAY

MOVED = date(2025, 8, 2)


@pytest.fixture
def places(facility: Any) -> Any:
    return make_enclosure(facility, "P3"), make_enclosure(facility, "B2", kind="tank", indoor=True)


@pytest.fixture
def turtle(facility: Any) -> Any:
    return add_animal(code="BL-115", taxon=Taxon.objects.create(scientific_name="Graptemys ouachitensis"))


def test_a_move_at_midday_ends_one_stay_and_begins_the_next_at_the_same_minute(
    facility: Any, places: Any, turtle: Any
) -> None:
    pond, tank = places
    arrive(animal=turtle, to=pond, moment=at(date(2025, 5, 1), 9, 30, facility), stamp=stamp())
    noon = at(MOVED, 13, 40, facility)
    move_animals(animals=[turtle], to=tank, moment=noon, stamp=stamp(), reason="hospital")
    old, new = Stay.objects.filter(animal=turtle).order_by("from_at")
    assert (old.to_at, new.from_at, new.to_at) == (noon.at, noon.at, None)
    assert (old.to_on, new.from_on, new.reason) == (MOVED, MOVED, "hospital")
    assert old.ended_entered_at == new.entered_at == NOW
    again = move_animals(animals=[turtle], to=tank, moment=noon, stamp=stamp(), reason="hospital")
    assert [stay.pk for stay in again] == [new.pk]
    assert Stay.objects.count() == 2


def test_two_places_at_once_and_moves_out_of_order_are_refused(facility: Any, places: Any, turtle: Any) -> None:
    pond, tank = places
    arrive(animal=turtle, to=pond, moment=on(date(2025, 5, 1), facility), stamp=stamp())
    with pytest.raises(Refused) as twice:
        arrive(animal=turtle, to=tank, moment=on(MOVED, facility), stamp=stamp())
    assert "was in P3 from 2025-05-01 and still is" in twice.value.errors["animal"]
    with pytest.raises(Refused) as before:
        move_animals(animals=[turtle], to=tank, moment=on(date(2025, 4, 1), facility), stamp=stamp())
    assert "only on 2025-05-01" in before.value.errors["occurred_at"]
    with pytest.raises(Refused):
        move_animals(animals=[turtle], to=pond, moment=on(MOVED, facility), stamp=stamp())
    with pytest.raises(Refused):
        move_animals(animals=[turtle], to=tank, moment=on(TODAY + timedelta(days=1), facility), stamp=stamp())
    with pytest.raises(Refused):
        add_stay(
            animal=turtle,
            enclosure=tank,
            start=on(date(2025, 4, 20), facility),
            end=on(date(2025, 5, 3), facility),
            stamp=stamp(),
        )
    assert Stay.objects.get().to_at is None
    past = add_stay(
        animal=turtle,
        enclosure=tank,
        start=on(date(2024, 10, 25), facility),
        end=on(date(2025, 5, 1), facility),
        stamp=stamp(),
    )
    assert past.to_on == date(2025, 5, 1)


def test_a_group_moves_together_or_not_at_all(facility: Any, places: Any, turtle: Any) -> None:
    pond, tank = places
    other = add_animal(code="BL-116", taxon=turtle.taxon)
    arrive(animal=turtle, to=pond, moment=on(date(2025, 5, 1), facility), stamp=stamp())
    arrive(animal=other, to=tank, moment=on(date(2025, 5, 1), facility), stamp=stamp())
    with pytest.raises(Refused):
        move_animals(animals=[turtle, other], to=tank, moment=on(MOVED, facility), stamp=stamp())
    assert turtle.stays.get().enclosure == pond


def test_death_and_departure_end_the_stay_at_their_moment_once(facility: Any, places: Any, turtle: Any) -> None:
    pond, _ = places
    other = add_animal(code="BL-104", taxon=turtle.taxon)
    for animal in (turtle, other):
        arrive(animal=animal, to=pond, moment=on(date(2025, 5, 1), facility), stamp=stamp())
    entry = "6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11"
    assert log_death(animal=turtle, moment=on(MOVED, facility), stamp=stamp(), entry=entry).is_new
    assert not log_death(animal=turtle, moment=on(MOVED, facility), stamp=stamp(), entry=entry).is_new
    with pytest.raises(Refused):
        log_death(animal=turtle, moment=on(TODAY, facility), stamp=stamp())
    log_transfer(
        animal=other, direction="out", kind="loan_out", moment=on(MOVED, facility), stamp=stamp(), counterpart="A"
    )
    assert set(Stay.objects.values_list("to_on", flat=True)) == {MOVED}
    with pytest.raises(Refused):
        end_stay(animal=other, moment=on(TODAY, facility), stamp=stamp())


def test_an_animal_entered_twice_is_merged_and_its_alias_is_nowhere(facility: Any, places: Any, turtle: Any) -> None:
    pond, _ = places
    alias = add_animal(code="BL-126", taxon=turtle.taxon)
    for animal in (turtle, alias):
        arrive(animal=animal, to=pond, moment=on(date(2025, 5, 1), facility), stamp=stamp())
    merge_animals(alias=alias, into=turtle, stamp=stamp(by="ADM"), reason="notch misread")
    alias.refresh_from_db()
    assert alias.merged_into == turtle
    assert "ADM" in alias.note
    stay = alias.stays.get()
    assert stay.to_at == stay.from_at
    with pytest.raises(Refused):
        merge_animals(alias=alias, into=turtle, stamp=stamp(), reason="again")


def test_a_season_begins_once_and_never_twice_at_a_time(facility: Any, places: Any) -> None:
    pond, _ = places
    first = begin_season(enclosure=pond, kind="brumation", from_on=date(2024, 11, 2), stamp=stamp())
    assert begin_season(enclosure=pond, kind="brumation", from_on=date(2024, 11, 2), stamp=stamp()).pk == first.pk
    with pytest.raises(Refused):
        begin_season(enclosure=pond, kind="brumation", from_on=date(2024, 12, 2), stamp=stamp())
