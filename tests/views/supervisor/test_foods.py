"""Foods, units, recipes and the order of the walk, without the records page."""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.models import Enclosure, FoodItem
from tests.actions.station import make_enclosure, make_pellet
from tests.boards.walk import feed, lived_in, the_round
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of
from tests.views.pages import on_the_day, signed_in

NEW = {
    "code": "worm", "name": "Earthworm", "food_class": "worm", "moisture_percent": "83,6", "protein_percent": "10.5",
    "source": "table", "unit_0": "piece", "grams_0": "1.2",
}  # fmt: skip


def send(user: Any, data: dict[str, Any], path: str = "/foods/") -> Any:
    with on_the_day():
        return signed_in(user).post(path, data)


def look(user: Any, path: str = "/foods/") -> str:
    with on_the_day():
        return signed_in(user).get(path).content.decode()


def test_a_food_with_a_unit_and_a_recipe_is_made_on_one_screen(facility: Any, supervisor: Any) -> None:
    assert send(supervisor, NEW).status_code == 302
    food = FoodItem.objects.get()
    assert (str(food), food.units.get().grams, food.composition_on(TODAY).moisture_percent) == ("Earthworm", 1.2, 83.6)
    html = look(supervisor)
    assert "Water 83.6 %, protein 10.5 %; table." in words_of(html).replace("\u00a0", " ")
    assert_reads_well(html)


def test_a_new_recipe_holds_from_its_day_and_what_was_fed_keeps_the_old(facility: Any, supervisor: Any) -> None:
    pellet, pond = make_pellet(), lived_in(facility, "P1")
    fed = feed(pond, pellet, TODAY)
    change = {
        "code": "ignored", "name": "Pellet", "food_class": "pellet", "grams_0": "30", "unit_1": "piece", "grams_1": "0.4",
        "moisture_percent": "10", "protein_percent": "36", "valid_from": "2025-10-04",
    }  # fmt: skip
    assert send(supervisor, change, "/foods/?food=pellet").status_code == 302
    pellet = FoodItem.objects.get()
    assert pellet.code == "pellet"
    assert {unit.name: unit.grams for unit in pellet.units.all()} == {"scoop": 30, "piece": 0.4}
    assert pellet.composition_on(TODAY).protein_percent == 36
    line = fed.lines.get()
    assert (line.offered_g, line.protein_g) == (26, pytest.approx(26 * 0.40))
    assert "Water 8 %" in words_of(look(supervisor, "/foods/?food=pellet")).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"code": ""}, "Give it a short code."),
        ({"code": "a b"}, "no spaces"),
        ({"protein_percent": ""}, "A recipe needs water and protein."),
        ({"protein_percent": "40"}, "Water and protein together are more than 100 per cent."),
        ({"moisture_percent": "120"}, "120 % cannot be; it is from 0 % to 99 %."),
        ({"grams_0": ""}, "What does one piece weigh?"),
        ({"unit_0": ""}, "Which unit?"),
        ({"grams_0": "0"}, "More than nothing"),
        ({"valid_from": "soon"}, "That is not a date"),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_is_kept(
    facility: Any, supervisor: Any, wrong: dict[str, str], sentence: str
) -> None:
    answer = send(supervisor, NEW | wrong)
    assert answer.status_code == 422
    html = answer.content.decode().replace("\u00a0", " ")
    assert sentence in html
    assert 'value="Earthworm"' in html
    assert not FoodItem.objects.exists()


def test_a_unit_that_was_used_stays(facility: Any, supervisor: Any) -> None:
    make_pellet()
    answer = send(supervisor, {"food_class": "pellet", "grams_0": ""}, "/foods/?food=pellet")
    assert "A unit that was used stays." in answer.content.decode()


def test_the_walk_is_put_in_order_and_quarantine_stays_last(facility: Any, supervisor: Any) -> None:
    for n, code in enumerate(("A1", "A2", "A3")):
        lived_in(facility, code, round_order=n)
    lived_in(facility, "Q1", kind="quarantine")
    ids = {place.code: f"place_{place.pk}" for place in Enclosure.objects.all()}
    said = {ids["A1"]: "2.5", ids["A2"]: "2", ids["A3"]: "3", ids["Q1"]: "1"}
    assert send(supervisor, said, "/round/order/").status_code == 302
    assert [row.code for row in the_round(facility).rows] == ["A2", "A1", "A3", "Q1"]
    wrong = send(supervisor, said | {ids["A3"]: "last"}, "/round/order/")
    assert wrong.status_code == 422
    assert "“last” is not a number." in wrong.content.decode()
    assert_reads_well(look(supervisor, "/round/order/"))


def test_foods_and_order_are_not_a_keepers_to_change(facility: Any, keeper: Any, reader: Any) -> None:
    make_enclosure(facility, "P1")
    for user in (keeper, reader):
        assert send(user, NEW).status_code == 403
        assert send(user, {}, "/round/order/").status_code == 403
