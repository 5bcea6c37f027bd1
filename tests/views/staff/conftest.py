"""One pond with its filter, its food, its kits and its animals, for the tests of the log forms."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest

from enclosures.models import Animal, Enclosure, Filter, FoodItem, Stay, Taxon, TestKit
from tests.actions.station import make_enclosure, make_filter, make_pellet
from tests.views.pages import HTMX, on_the_day, signed_in


@pytest.fixture
def pond(facility: Any) -> Enclosure:
    return make_enclosure(facility, "P1", name="Pond turtles", depth_mm=1000)


@pytest.fixture
def pond_filter(pond: Enclosure) -> Filter:
    """Void 150 mm, baseline 2 400 L/h, bed from the beginning of 2024."""
    return make_filter(pond, baseline_flow_l_per_h=2400, baseline_head_mm=14, due_fill=0.7, pipe_bore_mm=75)


@pytest.fixture
def pellet(db: None) -> FoodItem:
    return make_pellet()


@pytest.fixture
def kits(db: None) -> dict[str, TestKit]:
    steps = [0, 0.2, 0.5, 1, 2, 3, 5, 8]
    return {
        "A": TestKit.objects.create(code="A", name="Drops A", analyte="tan", reports_as="NH3", steps=steps, upper=8),
        "B": TestKit.objects.create(code="B", name="Drops B", analyte="tan", reports_as="N", steps=steps, upper=8),
    }


@pytest.fixture
def animals(pond: Enclosure) -> list[Animal]:
    taxon = Taxon.objects.create(scientific_name="Emys orbicularis", common_name="European pond turtle")
    made = [Animal.objects.create(code=f"BL-10{n}", taxon=taxon, sex="female") for n in (4, 5, 6)]
    for animal in made:
        Stay.objects.create(
            animal=animal, enclosure=pond, from_at=datetime(2024, 1, 1, 12, tzinfo=UTC), from_on=date(2024, 1, 1)
        )
    return made


@pytest.fixture
def post() -> Callable[..., Any]:
    """`post(user, path, data, plain=False)` on the day tests speak of; with htmx unless plain. The entry id is made unless given."""

    def posted(user: Any, path: str, data: dict[str, Any], *, plain: bool = False) -> Any:
        sent = {"when": "now", "entry": str(uuid.uuid4()), **data}
        client = signed_in(user)
        with on_the_day():
            return client.post(path, sent, headers={} if plain else HTMX)

    return posted


@pytest.fixture
def look() -> Callable[..., str]:
    """`look(user, path)`: the page as text."""

    def looked(user: Any, path: str, *, status: int = 200) -> str:
        client = signed_in(user)
        with on_the_day():
            answer = client.get(path)
        assert answer.status_code == status, answer.status_code
        return answer.content.decode()

    return looked
