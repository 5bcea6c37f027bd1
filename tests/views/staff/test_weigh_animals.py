from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.models import Measurement
from tests.conftest import TODAY
from tests.helpers import words_of

PATH = "/enclosures/P1/weights/"
LAST_WEEK = {"when": "earlier", "when_on": "2025-09-27"}


def text(answer: Any) -> str:
    return words_of(answer.content.decode()).replace("\u00a0", " ")


def masses(animals: Any, *values: str) -> dict[str, str]:
    return {f"mass_{animal.pk}": value for animal, value in zip(animals, values, strict=False)}


def test_animals_are_weighed_one_after_another_and_each_shows_its_change(
    animals: Any, keeper: Any, post: Any, look: Any
) -> None:
    assert post(keeper, PATH, masses(animals, "700", "238", "512") | LAST_WEEK).status_code == 201
    page = words_of(look(keeper, PATH)).replace("\u00a0", " ")
    assert "last 238 g , 27 Sep, 7 days ago" in page
    answer = post(keeper, PATH, masses(animals, "714", "", "512") | {"fed_state": "fasted", "method": "bench scale"})
    assert answer.status_code == 201
    assert "BL-104 714 g +2 % on 700 g" in text(answer)
    today = Measurement.objects.filter(occurred_on=TODAY)
    assert {row.animal.code: row.mass_g for row in today} == {"BL-104": 714, "BL-106": 512}
    assert {row.fed_state for row in today} == {"fasted"}


def test_a_batch_sent_twice_doubles_nothing(animals: Any, keeper: Any, post: Any) -> None:
    data = masses(animals, "700", "238") | {"entry": str(uuid.uuid4())}
    first, second = post(keeper, PATH, data), post(keeper, PATH, data)
    assert (first.status_code, second.status_code) == (201, 200)
    assert first.headers["X-Entry"] == data["entry"]
    assert Measurement.all_rows.count() == 2


def test_ounces_in_the_gram_field_are_offered_converted(animals: Any, keeper: Any, post: Any) -> None:
    """8.4 oz is 238.1 g (28.349523125 g the ounce, exact)."""
    post(keeper, PATH, masses(animals, "238", "500") | LAST_WEEK)
    data = masses(animals, "8.4", "505") | {"entry": str(uuid.uuid4())}
    asked = post(keeper, PATH, data)
    name = f"mass_{animals[0].pk}"
    assert asked.status_code == 422
    assert "that is −96 %. Did you mean 8.4 oz (238.1 g)?" in text(asked)
    assert f'value="{name}|use|238.1"' in asked.content.decode()
    assert Measurement.objects.filter(occurred_on=TODAY).count() == 0, "all of them or none"
    assert post(keeper, PATH, data | {"answer": f"{name}|use|238.1"}).status_code == 201
    rows = {row.animal.code: row for row in Measurement.objects.filter(occurred_on=TODAY)}
    assert rows["BL-104"].mass_g == 238.1
    assert rows["BL-104"].flags == ["UNIT"]
    assert "typed 8.4" in rows["BL-104"].note
    assert (rows["BL-105"].flags, rows["BL-105"].note) == ([], ""), "the doubt is of one animal"


def test_ounces_written_out_need_no_question(animals: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, masses(animals, "8.4 oz")).status_code == 201
    assert Measurement.objects.get().mass_g == pytest.approx(238.1)


def test_a_loss_that_is_true_is_kept_and_flagged(animals: Any, keeper: Any, post: Any) -> None:
    post(keeper, PATH, masses(animals, "700") | LAST_WEEK)
    assert post(keeper, PATH, masses(animals, "560")).status_code == 422
    kept = masses(animals, "560") | {"answer": f"mass_{animals[0].pk}|keep|560"}
    assert post(keeper, PATH, kept).status_code == 201
    assert Measurement.objects.get(occurred_on=TODAY).flags == ["OUT"]


def test_nothing_weighed_and_nonsense_are_refused(animals: Any, keeper: Any, post: Any) -> None:
    assert "weigh at least one" in text(post(keeper, PATH, {}))
    answer = post(keeper, PATH, masses(animals, "heavy", "500"))
    assert answer.status_code == 422
    assert 'value="heavy"' in answer.content.decode()
    assert 'value="500"' in answer.content.decode()
    assert Measurement.all_rows.count() == 0


def test_an_empty_enclosure_says_so(pond: Any, keeper: Any, look: Any) -> None:
    assert "No animal is on record in P1." in look(keeper, PATH)
