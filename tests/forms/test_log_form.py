"""When, questions and answers: what every log form shares."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.utils.datastructures import MultiValueDict

from enclosures.forms.fields import DepthField, QuantityField
from enclosures.forms.log_form import Clock, LogForm
from enclosures.forms.typed import LENGTH, TEMPERATURE, Choice
from enclosures.models import Moment
from tests.conftest import NOW, TODAY

PARIS = ZoneInfo("Europe/Paris")


class Asking(LogForm):
    temp = QuantityField(TEMPERATURE, label="Water")
    depth = DepthField(LENGTH, label="Depth")
    name = forms.CharField(required=False)

    def clean(self) -> dict[str, Any]:
        self.look_at("temp", "water_temp_c")
        if self.number("depth") == 120:
            self.ask("depth", "120 mm? Is it right?", use=(Choice("Use 12 mm", "12"),), keep="Yes, 120 mm")
        return self.cleaned_data


def clock(tap: datetime | None = None) -> Clock:
    return Clock(now=NOW, zone=PARIS, today=TODAY, tap=tap)


def asked(tap: datetime | None = None, **data: Any) -> Asking:
    sent = MultiValueDict({k: v if isinstance(v, list) else [v] for k, v in {"when": "now", **data}.items()})
    form = Asking(sent, clock=clock(tap))
    form.is_valid()
    return form


def test_now_is_the_tap_when_the_device_told_it_else_the_servers_time() -> None:
    assert asked().cleaned_data["when"] == Moment.of_instant(NOW.astimezone(PARIS), zone=PARIS)
    tapped = NOW - timedelta(minutes=40, seconds=12)
    assert asked(tapped).cleaned_data["when"].at == NOW - timedelta(minutes=41)


def test_a_time_at_the_facility_is_by_its_own_clock_summer_and_winter() -> None:
    summer = asked(when="earlier", when_on="2025-07-01", when_at="07:45").cleaned_data["when"]
    winter = asked(when="earlier", when_on="2025-01-15", when_at="07:45").cleaned_data["when"]
    assert (summer.text(), winter.text()) == ("2025-07-01T07:45+02:00", "2025-01-15T07:45+01:00")


def test_a_day_alone_is_enough() -> None:
    moment = asked(when="earlier", when_on="2025-07-01").cleaned_data["when"]
    assert (moment.text(), moment.precision) == ("2025-07-01", "day")
    assert asked(when="earlier").cleaned_data["when"].on == TODAY


@pytest.mark.parametrize("on", ["2025-10-05", "2026-01-01", "1492-10-12", "tomorrow", "2025-02-30"])
def test_days_that_cannot_be_are_refused(on: str) -> None:
    assert "when" in asked(when="earlier", when_on=on).errors


def test_a_question_is_asked_once_and_its_answer_kept_while_the_figure_is_the_same() -> None:
    assert asked(depth="120").questions["depth"].text == "120 mm? Is it right?"
    kept = asked(depth="120", answer="depth|keep|120")
    assert kept.is_valid()
    assert kept.entry_flags() == ("OUT",)
    changed = asked(depth="1200", answer="depth|keep|120")
    assert changed.number("depth") == 1200
    assert changed.entry_flags() == ()


def test_a_used_answer_puts_the_figure_into_the_field_and_tells_what_was_typed() -> None:
    form = asked(depth="120", answer="depth|use|12", note="wet")
    assert form.is_valid()
    assert form["depth"].value() == "12"
    assert form.entry_flags() == ("UNIT",)
    assert form.full_note() == "wet\nDepth: typed 120, meant 12\u00a0mm."


def test_an_answer_survives_the_next_question() -> None:
    first = asked(temp="77", depth="120")
    assert set(first.questions) == {"temp", "depth"}
    second = asked(temp="77", depth="120", answer="temp|use|25")
    assert set(second.questions) == {"depth"}
    assert ("was", "temp|77|25") in second.hidden_answers()
    third = asked(temp="25", depth="120", was="temp|77|25", answer=["depth|keep|120"])
    assert third.is_valid()
    assert set(third.entry_flags()) == {"OUT", "UNIT"}
    assert "typed 77" in third.full_note()


def test_a_figure_changed_by_hand_forgets_what_was_typed_before() -> None:
    form = asked(temp="24", was="temp|77|25")
    assert form.is_valid()
    assert (form.entry_flags(), form.full_note()) == ((), "")


def test_past_what_can_be_only_the_converted_figure_can_be_saved() -> None:
    form = asked(temp="77")
    assert [answer.value for answer in form.questions["temp"].answers] == ["temp|use|25"]
    assert not asked(temp="77", answer="temp|keep|77").is_valid()
    assert asked(temp="500").questions == {}, "no slip explains it: refused, not asked"


def test_remarks_and_flags_can_be_of_some_fields_only() -> None:
    form = asked(temp="77 °F", depth="12 cm")
    form.is_valid()
    assert form.full_note(about={"temp"}) == "Water: typed 77 °F."
    assert form.entry_flags(about={"name"}) == ()


@pytest.mark.parametrize("answer", ["", "|", "depth", "depth|use", "nobody|use|5", "temp|keep|", "a|b|c|d"])
def test_a_mangled_answer_changes_nothing(answer: str) -> None:
    form = asked(depth="50", answer=answer)
    assert form.number("depth") == 50 or answer == "depth|use"
