from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.boards.animals import age_words, build_animals
from enclosures.models import Animal, Enclosure, Membership, Moment, Stay, Taxon
from tests.conftest import TODAY


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (None, None, "age not known"),
        (date(2025, 9, 20), date(2025, 9, 20), "14 days"),
        (date(2024, 8, 21), date(2024, 8, 29), "13 months"),
        (date(1996, 1, 1), date(2002, 12, 31), "22 to 29 years"),
        (None, date(1990, 1, 1), "over 35 years"),
    ],
)
def test_an_age_is_said_as_well_as_it_is_known(first: date | None, last: date | None, said: str) -> None:
    assert age_words(hatched_from=first, hatched_to=last, today=TODAY) == said


@pytest.fixture
def animals(facility: Any) -> None:
    musk = Taxon.objects.create(scientific_name="Sternotherus minor", common_name="loggerhead musk")
    place = Enclosure.objects.create(facility=facility, code="T1", kind="tub", indoor=True, water_volume_l=80)
    since = Moment.of_day(date(2024, 1, 1), zone=facility.zone)
    for code, sex, program in (("BL-1", "male", "SM-PA-23"), ("BL-2", "female", "SM-PA-23"), ("BL-3", "unknown", "")):
        animal = Animal.objects.create(code=code, taxon=musk, sex=sex, program=program)
        Stay.objects.create(animal=animal, enclosure=place, from_at=since.at, from_on=since.on)


@pytest.mark.usefixtures("animals")
def test_the_count_is_males_females_unknown(keeper: Any) -> None:
    board = build_animals(membership=Membership.objects.get(user=keeper), today=TODAY)
    assert (board.count, board.total) == ("1.1.1", 3)


@pytest.mark.usefixtures("animals")
def test_an_outside_coordinator_sees_only_their_own_program(coordinator: Any, client: Any) -> None:
    client.force_login(coordinator)
    page = client.get("/animals/").content.decode()
    assert "BL-1" in page
    assert "BL-3" not in page
    assert client.get("/animals/BL-3/").status_code == 404
    assert client.get("/animals/BL-1/").status_code == 200


@pytest.mark.usefixtures("animals")
def test_a_stranger_sees_no_animal(stranger: Any, client: Any) -> None:
    client.force_login(stranger)
    assert client.get("/animals/").status_code == 403
    assert client.get("/animals/BL-1/").status_code == 403


@pytest.mark.usefixtures("animals")
def test_the_list_costs_the_same_queries_however_many_animals(keeper: Any, django_assert_num_queries: Any) -> None:
    membership = Membership.objects.get(user=keeper)
    with django_assert_num_queries(3):
        build_animals(membership=membership, today=TODAY)
