"""What a person gets when asking how past forecasts turned out."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from enclosures.actions.feedings import LineGiven, log_feeding
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def test_simulated_json_is_alone_on_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backtest", simulated=3, particles=120, format="json")
    captured = capsys.readouterr()
    said = json.loads(captured.out)
    assert said["groups"][0]["group"] == "all"
    assert said["groups"][0]["resolved"] == 3
    assert set(said["groups"][0]["rules"]) == {
        "fixed interval", "straight line", "feed of 90 days", "feed of last year",
    }  # fmt: skip
    assert said["model_version"]
    assert len(said["filters"]) == 3
    assert "Made-up facility 1 of 1" in captured.err


def test_simulated_table_has_a_row_per_group_and_a_line_per_filter(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backtest", simulated=2, particles=120)
    table = capsys.readouterr().out
    assert "80 % range" in table
    assert "\nall " in table
    assert "S1-0: The last forecast was" in table


@pytest.mark.parametrize(("options", "words"), [({"simulated": 0}, "between 1"), ({"particles": 5}, "between 100")])
def test_a_number_out_of_range_is_one_clear_sentence(options: dict[str, int], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("backtest", **options)


def test_no_facility_and_no_history_are_said_plainly(facility: Any) -> None:
    with pytest.raises(CommandError, match="too short to look back"):
        call_command("backtest")
    facility.delete()
    with pytest.raises(CommandError, match="no facility"):
        call_command("backtest")


def test_own_records_without_a_void_come_due_say_so(facility: Any, capsys: pytest.CaptureFixture[str]) -> None:
    place = make_enclosure(facility, "T1", kind="tub", indoor=True, water_volume_l=80, surface_m2=0.5)
    make_filter(place, chamber_area_m2=0.046, void_height_mm=60, usable_fraction=0.85, due_fill=0.6)
    food = make_pellet()
    for day in days(TODAY - timedelta(days=400), TODAY, 4):
        line = LineGiven(food_item=food, offered_g=1.3)
        log_feeding(enclosure=place, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    call_command("backtest", particles=120)
    captured = capsys.readouterr()
    assert "nothing to score" in captured.out
    assert "What was forecast on" in captured.err
