"""Who is under treatment stands on the list of animals, for those inside."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from tests.boards.courses import prescribed
from tests.boards.pond import make_pond, make_turtles

pytestmark = pytest.mark.django_db


def test_the_list_of_animals_names_those_under_treatment_to_people_inside(
    client: Any, facility: Any, supervisor: Any, coordinator: Any
) -> None:
    animal = make_turtles(make_pond(facility).enclosure)[0]
    page = reverse("animals")
    client.force_login(supervisor)
    assert "Under treatment" not in client.get(page).content.decode()
    prescribed(animal)
    assert "Under treatment: <a" in client.get(page).content.decode()
    client.force_login(coordinator)
    assert "Under treatment" not in client.get(page).content.decode()
