from __future__ import annotations

from typing import Any

import pytest

from enclosures.models import WaterChange
from tests.helpers import words_of

PATH = "/enclosures/P1/water-changes/"


def test_litres_changed_are_kept_with_where_from_and_why(pond: Any, keeper: Any, post: Any, look: Any) -> None:
    data = {"volume_l": "780", "source": "well", "conditioner": "none", "temp_difference_c": "-2", "cause": "routine"}
    answer = post(keeper, PATH, data)
    assert answer.status_code == 201
    change = WaterChange.objects.get()
    assert (change.volume_l, change.source, change.temp_difference_c, change.cause) == (780, "well", -2, "routine")
    assert "10 % of the water" in words_of(answer.content.decode()).replace("\u00a0", " ")
    assert 'name="source" value="well"' in look(keeper, PATH)


def test_gallons_are_converted_once_it_is_known_which(pond: Any, keeper: Any, post: Any) -> None:
    """40 US gallons are 151 L (3.785411784 L the gallon, exact)."""
    page = post(keeper, PATH, {"volume_l": "40 gal"}).content.decode()
    assert 'value="volume_l|use|40 us gal"' in page
    assert post(keeper, PATH, {"volume_l": "40 gal", "answer": "volume_l|use|40 us gal"}).status_code == 201
    assert WaterChange.objects.get().volume_l == pytest.approx(151.4)


def test_more_than_three_times_the_water_is_refused(pond: Any, keeper: Any, post: Any) -> None:
    answer = post(keeper, PATH, {"volume_l": "30000"})
    assert answer.status_code == 422
    assert "more than three times the water in P1" in answer.content.decode()


def test_nothing_and_less_than_nothing_are_refused(pond: Any, keeper: Any, post: Any) -> None:
    assert "How much water?" in post(keeper, PATH, {}).content.decode()
    assert post(keeper, PATH, {"volume_l": "-5"}).status_code == 422
    assert post(keeper, PATH, {"volume_l": "0"}).status_code == 422


def test_chemicals_are_warned_of(pond: Any, keeper: Any, look: Any) -> None:
    assert "Dechlorinate top-ups." in look(keeper, PATH)
