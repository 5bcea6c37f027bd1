from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.models import Feeding, FoodUnit
from tests.conftest import NOW, TODAY
from tests.helpers import words_of
from tests.views.pages import HTMX, on_the_day, signed_in

PATH = "/enclosures/P1/feedings/"


def lines(pellet: Any, amount: str, unit: str = "g", **more: str) -> dict[str, str]:
    return {f"amount_{pellet.pk}": amount, f"unit_{pellet.pk}": unit, "fed": "yes", "slot": "am", **more}


@pytest.mark.parametrize(
    ("amount", "unit", "grams"),
    [("12,5", "g", 12.5), ("½", "scoop", 13), ("1½", "scoop", 39), ("2", "scoop", 52), ("1 oz", "g", 28.35)],
)
def test_food_is_given_in_the_keepers_own_units(
    pond: Any, pellet: Any, keeper: Any, post: Any, amount: str, unit: str, grams: float
) -> None:
    """One scoop of this pellet is 26 g; an ounce is 28.35 g (exact: 28.349523125, international avoirdupois ounce)."""
    answer = post(keeper, PATH, lines(pellet, amount, unit, eaten="most"))
    assert answer.status_code == 201
    line = Feeding.objects.get().lines.get()
    assert line.offered_g == pytest.approx(grams, rel=1e-3)
    assert line.eaten == "most"
    assert line.dry_g == pytest.approx(grams * 0.92, rel=1e-3)


def test_a_meal_not_given_needs_its_reason_and_only_that(pond: Any, pellet: Any, keeper: Any, post: Any) -> None:
    asked = post(keeper, PATH, {"fed": "no"})
    assert asked.status_code == 422
    assert "Say why nothing was given." in asked.content.decode()
    assert post(keeper, PATH, {"fed": "no", "not_fed_reason": "winter rest", "slot": "am"}).status_code == 201
    feeding = Feeding.objects.get()
    assert (feeding.outcome, feeding.not_fed_reason, feeding.lines.count()) == ("not_fed", "winter rest", 0)


def test_amounts_and_not_fed_together_are_sorted_out_by_the_keeper(
    pond: Any, pellet: Any, keeper: Any, post: Any
) -> None:
    answer = post(keeper, PATH, lines(pellet, "12") | {"fed": "no", "not_fed_reason": "fasting day"})
    assert answer.status_code == 422
    assert "Choose Fed, or clear them." in answer.content.decode()


def test_who_refused_and_who_was_counted_is_kept(pond: Any, pellet: Any, animals: Any, keeper: Any, post: Any) -> None:
    data = lines(pellet, "12", eaten="some") | {
        "refused": ["BL-104", "BL-106"],
        "head_count": "3",
        "leftovers_removed": "on",
    }
    assert post(keeper, PATH, data).status_code == 201
    feeding = Feeding.objects.get()
    assert (feeding.refused, feeding.head_count, feeding.leftovers_removed) == ("BL-104 BL-106", 3, True)
    assert post(keeper, PATH, lines(pellet, "12") | {"refused": ["BL-999"]}).status_code == 422


def test_a_meal_already_on_record_is_asked_about_once_and_another_is_no_possible_repeat(
    pond: Any, pellet: Any, keeper: Any, other_keeper: Any, post: Any
) -> None:
    post(other_keeper, PATH, lines(pellet, "12"))
    data = lines(pellet, "12") | {"entry": str(uuid.uuid4())}
    asked = post(keeper, PATH, data)
    assert asked.status_code == 422
    page = asked.content.decode()
    assert "Fed at 10:30 by K2. Add another meal?" in words_of(page).replace("\u00a0", " ")
    assert Feeding.objects.count() == 1
    first = Feeding.objects.get()
    answered = post(keeper, PATH, data | {"answer": f"again|keep|{first.entry}"})
    assert answered.status_code == 201
    assert Feeding.objects.count() == 2
    assert Feeding.objects.get(entered_by="K1").flags == []
    assert post(keeper, PATH, lines(pellet, "12") | {"slot": "pm"}).status_code == 201, (
        "another meal of the day is none"
    )


def test_ten_times_the_last_meal_is_asked_about_and_a_slipped_point_put_back_with_one_tap(
    pond: Any, pellet: Any, keeper: Any, post: Any
) -> None:
    post(keeper, PATH, lines(pellet, "12") | {"when": "earlier", "when_on": "2025-10-02"})
    data = lines(pellet, "120") | {"entry": str(uuid.uuid4())}
    page = post(keeper, PATH, data).content.decode()
    assert "120 g of pellet? Last time it was 12 g." in words_of(page).replace("\u00a0", " ")
    name = f"amount_{pellet.pk}"
    assert f'value="{name}|use|12"' in page
    assert f'value="{name}|keep|120"' in page
    assert post(keeper, PATH, data | {"answer": f"{name}|use|12"}).status_code == 201
    feeding = Feeding.objects.get(occurred_on=TODAY)
    assert feeding.lines.get().offered_g == 12
    assert "typed 120" in feeding.note


def test_a_large_meal_that_is_right_is_kept_and_flagged(pond: Any, pellet: Any, keeper: Any, post: Any) -> None:
    post(keeper, PATH, lines(pellet, "12") | {"when": "earlier", "when_on": "2025-10-02"})
    data = lines(pellet, "40") | {"answer": f"amount_{pellet.pk}|keep|40"}
    assert post(keeper, PATH, data).status_code == 201
    assert Feeding.objects.get(occurred_on=TODAY).flags == ["OUT"]
    changed = lines(pellet, "400") | {"answer": f"amount_{pellet.pk}|keep|40", "slot": "pm"}
    assert post(keeper, PATH, changed).status_code == 422, "an answer holds for the figure it was about"


def test_the_form_says_when_it_was_last_fed_and_fills_in_the_last_meal(
    pond: Any, pellet: Any, keeper: Any, post: Any
) -> None:
    FoodUnit.objects.create(food_item=pellet, name="piece", grams=0.4)
    post(keeper, PATH, lines(pellet, "2", "scoop", eaten="all") | {"when": "earlier", "when_on": "2025-10-02"})
    client = signed_in(keeper)
    with on_the_day():
        page = client.get(PATH).content.decode()
        same = client.get(f"{PATH}?same=1").content.decode()
    assert "Last fed on Thu 2 Oct: pellet 2 scoops, all eaten." in words_of(page).replace("\u00a0", " ")
    assert f'name="amount_{pellet.pk}" value="2"' in same
    assert 'data-same-amount="2.0" data-same-unit="scoop"' in page


def test_the_answer_is_the_meal_in_words(pond: Any, pellet: Any, keeper: Any, post: Any) -> None:
    page = post(keeper, PATH, lines(pellet, "12", eaten="all")).content.decode()
    assert "Fed: pellet 12 g; all eaten" in words_of(page).replace("\u00a0", " ")
    assert "Undo" in page


def test_an_amount_below_nothing_and_an_unknown_unit_are_refused(
    pond: Any, pellet: Any, keeper: Any, post: Any
) -> None:
    assert "less than nothing" in post(keeper, PATH, lines(pellet, "-3")).content.decode()
    answer = post(keeper, PATH, lines(pellet, "3", "bucket"))
    assert answer.status_code == 422
    assert Feeding.all_rows.count() == 0


def test_an_empty_meal_is_asked_for(pond: Any, pellet: Any, keeper: Any, post: Any) -> None:
    answer = post(keeper, PATH, lines(pellet, ""))
    assert "Say how much of which food, or choose Not fed." in answer.content.decode()


def test_more_dry_food_than_six_per_cent_of_what_lives_there_is_asked_about(
    pond: Any, pellet: Any, animals: Any, keeper: Any, post: Any
) -> None:
    """Three animals of 100 g: 6 % is 18 g dry; 30 g of this pellet is 27.6 g dry."""
    client = signed_in(keeper)
    masses = {f"mass_{animal.pk}": "100" for animal in animals}
    with on_the_day():
        weighed = client.post("/enclosures/P1/weights/", {"when": "now", **masses}, headers=HTMX)
        assert weighed.status_code == 201
    page = post(keeper, PATH, lines(pellet, "30")).content.decode()
    assert "27.6 g" in page.replace("\u00a0", " ")
    assert "Six per cent of what lives there is 18 g" in words_of(page).replace("\u00a0", " ")
    assert post(keeper, PATH, lines(pellet, "15")).status_code == 201


def test_now_is_the_moment_on_the_facilitys_clock(pond: Any, pellet: Any, keeper: Any, post: Any) -> None:
    post(keeper, PATH, lines(pellet, "12"))
    feeding = Feeding.objects.get()
    assert feeding.occurred_at == NOW
    assert feeding.utc_offset_min == 120
