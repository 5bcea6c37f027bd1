from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.models import Animal, Enclosure, Moment, Stay, Taxon


@pytest.fixture
def places(facility: Any) -> tuple[Enclosure, Enclosure]:
    return tuple(
        Enclosure.objects.create(facility=facility, code=code, kind="tub", indoor=True, water_volume_l=80)
        for code in ("T1", "P4")
    )


@pytest.fixture
def animal(facility: Any, places: tuple[Enclosure, Enclosure]) -> Animal:
    animal = Animal.objects.create(code="BL-120", taxon=Taxon.objects.create(scientific_name="Sternotherus minor"))
    since = Moment.of_day(date(2024, 1, 1), zone=facility.zone)
    Stay.objects.create(animal=animal, enclosure=places[0], from_at=since.at, from_on=since.on, from_precision="day")
    return animal


def test_a_keeper_moves_an_animal_and_its_old_stay_ends_at_that_minute(
    client: Any, keeper: Any, animal: Animal, places: tuple[Enclosure, Enclosure]
) -> None:
    client.force_login(keeper)
    assert "BL-120" in client.get("/enclosures/T1/move/").content.decode()
    answer = client.post("/enclosures/T1/move/", {"animals": [animal.pk], "to": places[1].pk, "reason": "outdoors"})
    assert answer.status_code == 302
    old, new = animal.stays.order_by("from_at")
    assert old.to_at == new.from_at
    assert (new.enclosure, new.to_at, new.entered_by) == (places[1], None, "K1")


def test_nobody_ticked_is_said_beside_the_field(client: Any, keeper: Any, animal: Animal) -> None:
    client.force_login(keeper)
    answer = client.post("/enclosures/T1/move/", {"reason": "routine"})
    assert answer.status_code == 422
    assert "Tick at least one animal." in answer.content.decode()
    assert animal.stays.get().to_at is None


def test_an_empty_enclosure_says_so(client: Any, keeper: Any, animal: Animal) -> None:
    client.force_login(keeper)
    assert "No animal is on record in P4" in client.get("/enclosures/P4/move/").content.decode()


def test_a_builder_does_not_move_animals(client: Any, builder: Any, animal: Animal) -> None:
    client.force_login(builder)
    assert client.get("/enclosures/T1/move/").status_code == 403
