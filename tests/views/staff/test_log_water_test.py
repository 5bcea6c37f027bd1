from __future__ import annotations

import uuid
from typing import Any

import pytest

from enclosures.models import WaterTest
from tests.helpers import words_of
from tests.views.pages import HTMX, on_the_day, signed_in

PATH = "/enclosures/P1/water-tests/"


def text(answer: Any) -> str:
    return words_of(answer.content.decode()).replace("\u00a0", " ")


def read(analyte: str) -> Any:
    return WaterTest.objects.get().readings.get(analyte=analyte)


def test_a_kits_figure_is_kept_raw_and_said_on_one_basis(pond: Any, kits: Any, keeper: Any, post: Any) -> None:
    """0.5 mg/L as NH3 is 0.41 as N: 14.007 / 17.031 (IUPAC standard atomic weights)."""
    answer = post(keeper, PATH, {"step_tan": "0.5", "source_tan": "kit:A"})
    assert answer.status_code == 201
    reading = read("tan")
    assert (reading.value, reading.expressed_as, reading.kit) == (0.5, "NH3", "A")
    assert reading.canonical == pytest.approx(0.5 * 14.007 / 17.031, abs=1e-4)
    assert "TAN 0.41 mg/L as N" in text(answer)
    assert "A read 0.5 mg/L as NH₃" in text(answer)


def test_what_a_figure_is_expressed_as_is_never_guessed(pond: Any, kits: Any, keeper: Any, post: Any) -> None:
    asked = post(keeper, PATH, {"value_tan": "0.5"})
    assert asked.status_code == 422
    assert "Say which kit, or what the figure is expressed as." in text(asked)
    assert 'value="0.5"' in asked.content.decode()
    known_not = post(keeper, PATH, {"value_tan": "0.5", "source_tan": "as:?"})
    assert known_not.status_code == 201
    assert read("tan").canonical is None
    assert WaterTest.objects.get().flags == ["BASE"]
    assert "not counted" in text(known_not)


@pytest.mark.parametrize(
    ("typed", "value", "qualifier"), [("> 8", 8, ">"), (">8", 8, ">"), ("< 0,05", 0.05, "<"), ("0.4", 0.4, "")]
)
def test_a_reading_beyond_the_kit_keeps_its_sign(
    pond: Any, kits: Any, keeper: Any, post: Any, typed: str, value: float, qualifier: str
) -> None:
    answer = post(keeper, PATH, {"value_tan": typed, "source_tan": "kit:B"})
    assert answer.status_code == 201
    reading = read("tan")
    assert (reading.value, reading.qualifier) == (value, qualifier)


def test_the_steps_of_a_kit_can_be_tapped_up_to_over_the_last(
    pond: Any, kits: Any, keeper: Any, look: Any, post: Any
) -> None:
    page = look(keeper, PATH)
    assert 'name="step_tan" value="0.2"' in page
    assert 'name="step_tan" value="&gt; 8"' in page
    post(keeper, PATH, {"step_tan": "> 8", "source_tan": "kit:A"})
    assert (read("tan").value, read("tan").qualifier) == (8, ">")


def test_a_step_and_another_figure_are_not_both_believed(pond: Any, kits: Any, keeper: Any, post: Any) -> None:
    answer = post(keeper, PATH, {"step_tan": "0.5", "value_tan": "0.6", "source_tan": "kit:A"})
    assert answer.status_code == 422
    assert "Keep one." in text(answer)


def test_the_kit_is_chosen_once_a_day(pond: Any, kits: Any, keeper: Any) -> None:
    client = signed_in(keeper)
    with on_the_day():
        before = client.get(PATH).content.decode()
        client.post(PATH, {"when": "now", "step_tan": "0.2", "source_tan": "kit:B"}, headers=HTMX)
        after = client.get(PATH).content.decode()
    chosen = 'value="kit:B" id="id_source_tan_1" checked'
    assert "checked" not in before.partition('name="source_tan"')[2].partition("</details>")[0]
    assert chosen in after


def test_degrees_fahrenheit_in_the_celsius_field_are_offered_converted(pond: Any, keeper: Any, post: Any) -> None:
    """77 °F is 25 °C exactly."""
    data = {"value_temperature": "77", "entry": str(uuid.uuid4())}
    asked = post(keeper, PATH, data)
    page = asked.content.decode()
    assert asked.status_code == 422
    assert "77 °C? Did you mean 77 °F (25.0 °C)?" in text(asked)
    assert 'value="value_temperature|use|25"' in page
    assert "value_temperature|keep" not in page, "77 °C cannot be kept"
    assert post(keeper, PATH, data | {"answer": "value_temperature|use|25"}).status_code == 201
    assert read("temperature").canonical == 25
    test = WaterTest.objects.get()
    assert test.flags == ["UNIT"]
    assert test.note == "Water temperature: typed 77, meant 25\u00a0°C."


def test_a_unit_written_behind_the_figure_is_believed(pond: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, {"value_temperature": "77 °F"}).status_code == 201
    assert read("temperature").canonical == 25
    assert WaterTest.objects.get().note == "Water temperature: typed 77 °F."


def test_an_unusual_temperature_can_be_kept_with_one_tap_and_is_flagged(pond: Any, keeper: Any, post: Any) -> None:
    asked = post(keeper, PATH, {"value_temperature": "36"})
    assert asked.status_code == 422
    assert 'value="value_temperature|keep|36"' in asked.content.decode()
    kept = post(keeper, PATH, {"value_temperature": "36", "answer": "value_temperature|keep|36"})
    assert kept.status_code == 201
    assert WaterTest.objects.get().flags == ["OUT"]


def test_two_questions_are_answered_one_after_the_other_without_losing_the_first(
    pond: Any, keeper: Any, post: Any
) -> None:
    data = {"value_temperature": "77", "value_ph": "9.6", "entry": str(uuid.uuid4())}
    first = post(keeper, PATH, data).content.decode()
    assert "2 things need you" in first
    second = post(keeper, PATH, data | {"answer": "value_temperature|use|25"}).content.decode()
    assert 'name="was" value="value_temperature|77|25"' in second
    assert 'name="value_temperature" value="25"' in second
    answers = {"value_temperature": "25", "was": "value_temperature|77|25", "answer": "value_ph|keep|9.6"}
    assert post(keeper, PATH, data | answers).status_code == 201
    assert set(WaterTest.objects.get().flags) == {"UNIT", "OUT"}


def test_carbonate_hardness_in_german_degrees_is_said_in_mg_per_litre(pond: Any, keeper: Any, post: Any) -> None:
    """1 °dKH is 17.85 mg/L CaCO3 (10 mg/L CaO)."""
    assert post(keeper, PATH, {"value_kh": "6", "source_kh": "as:dKH"}).status_code == 201
    assert read("kh").canonical == pytest.approx(6 * 17.85, rel=1e-3)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"value_ph": "75"}, "Did you mean 7.5"),
        ({"value_ph": "1"}, "pH must be from"),
        ({"value_nitrite": "-1", "source_nitrite": "as:N"}, "Nitrite"),
        ({"value_do": "60"}, "Did you mean 6"),
        ({"value_tan": "0.2", "source_tan": "kit:Z"}, "Select a valid choice"),
        ({}, "Fill in at least one reading."),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    pond: Any, kits: Any, keeper: Any, post: Any, data: dict[str, str], said: str
) -> None:
    answer = post(keeper, PATH, data)
    assert answer.status_code == 422
    assert said in text(answer)
    assert WaterTest.all_rows.count() == 0
