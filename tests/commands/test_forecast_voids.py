"""What a person at the keyboard, or a script, gets from the forecasting commands."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.models import Facility, Filter, FilterOutlook
from tests.actions.station import days, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import NOW, TODAY

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def tub(facility: Any) -> Filter:
    place = make_enclosure(facility, "T1", kind="tub", indoor=True, water_volume_l=80, surface_m2=0.5)
    filter = make_filter(place, chamber_area_m2=0.046, void_height_mm=60, usable_fraction=0.85, due_fill=0.6)
    food = make_pellet()
    for day in days(TODAY - timedelta(days=200), TODAY, 2):
        line = LineGiven(food_item=food, offered_g=1.3)
        log_feeding(enclosure=place, moment=on(day, facility), lines=[line], stamp=entered_on(day))
    return filter


def test_json_is_alone_on_standard_output_in_the_published_form(
    tub: Filter, capsys: pytest.CaptureFixture[str]
) -> None:
    Filter.objects.create(enclosure=tub.enclosure, code="T1-S", kind="sponge")
    Filter.objects.create(enclosure=tub.enclosure, code="bare")
    call_command("forecast_voids", as_of="2025-10-04", format="json")
    out, err = capsys.readouterr()
    assert err == ""
    answers = {one["filter"]: one for one in json.loads(out)}
    assert set(answers) == {"T1-F", "bare"}
    known, bare = answers["T1-F"], answers["bare"]
    assert known["as_of"] == "2025-10-04"
    assert known["due_fill"] == 0.6
    assert known["fill"]["p10"] <= known["fill"]["p50"] <= known["fill"]["p90"]
    for name, depth in known["depth_mm"].items():
        assert depth / 60 == pytest.approx(known["fill"][name], abs=0.001)
    days_due = [known["due_on"][name] for name in ("p10", "p50", "p90")]
    assert all(day is None or date.fromisoformat(day) >= TODAY for day in days_due)
    assert known["not_before"] == (None if all(days_due) else "2028-10-03")  # 1 095 days on
    assert (bare["fill"], bare["due_on"], bare["band"], bare["sureness"]) == (None, None, "unknown", "none")
    assert any("not on record" in reason for reason in bare["reasons"])
    assert list(bare) == list(known)


def test_one_filter_can_be_asked_for_and_a_table_reads_plainly(tub: Filter, capsys: pytest.CaptureFixture[str]) -> None:
    make_filter(make_enclosure(tub.enclosure.facility, "P1"))
    call_command("forecast_voids", filter="T1-F", as_of="2025-10-04")
    out = capsys.readouterr().out
    assert out.startswith("As of 2025-10-04:\nfilter")
    assert "T1-F" in out
    assert "P1-F" not in out


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"filter": "T9-F"}, "There is no filter “T9-F”; the upflow filters are: T1-F."),
        ({"as_of": "4 October"}, "“4 October” is not a day; write it like 2025-10-04."),
        ({"as_of": "2025-02-30"}, "“2025-02-30” is not a day; write it like 2025-10-04."),
        ({"as_of": "2925-10-04"}, "2925-10-04 is more than three years ahead; nothing can be said of it."),
        ({"filter": "T1-S"}, "T1-S is a sponge filter; only upflow filters have a void to forecast."),
        ({"filter": "T1-F", "as_of": "2025-10-05"}, "T1-F has been out of use since 2025-10-05."),
    ],
)
def test_bad_input_gets_one_sentence(
    tub: Filter, options: dict[str, str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Filter.objects.create(enclosure=tub.enclosure, code="T1-S", kind="sponge")
    Filter.objects.filter(pk=tub.pk).update(retired_on="2025-10-05")
    with pytest.raises(CommandError) as refused:
        call_command("forecast_voids", **options)
    assert str(refused.value) == sentence
    assert capsys.readouterr().out == ""


def test_the_process_ends_non_zero_with_its_sentence_on_standard_error(tmp_path: Path) -> None:
    import os

    environment = {**os.environ, "DATABASE_URL": f"sqlite:///{tmp_path / 'none.sqlite3'}", "DEBUG": "1"}
    manage = [sys.executable, "manage.py"]
    subprocess.run([*manage, "migrate", "-v0"], cwd=ROOT, env=environment, check=True, capture_output=True)
    done = subprocess.run(
        [*manage, "forecast_voids", "--format", "json"],
        cwd=ROOT,
        env=environment,
        check=False,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.strip() == (
        "CommandError: There is no facility in this database yet: sign in as an administrator to begin one, or import records."
    )


def test_with_a_day_it_never_reads_what_is_stored(tub: Filter, capsys: pytest.CaptureFixture[str]) -> None:
    FilterOutlook.objects.create(
        filter=tub, as_of=TODAY, computed_at=NOW, band="overdue", answer={"filter": "T1-F", "band": "overdue"}
    )
    call_command("forecast_voids", as_of=TODAY.isoformat(), format="json")
    assert json.loads(capsys.readouterr().out)[0]["band"] == "fine"
    assert FilterOutlook.objects.get().band == "overdue"  # and stores nothing


def test_without_a_day_it_is_today_at_the_facility(
    tub: Filter, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Facility.objects.update(time_zone="Pacific/Kiritimati")  # fourteen hours ahead
    monkeypatch.setattr(timezone, "now", lambda: datetime(2025, 10, 4, 20, 0, tzinfo=UTC))
    call_command("forecast_voids", format="json")
    assert json.loads(capsys.readouterr().out)[0]["as_of"] == "2025-10-05"


def test_refresh_outlooks_tells_its_progress_on_standard_error(tub: Filter, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("refresh_outlooks")
    out, err = capsys.readouterr()
    assert out.startswith("1 outlook computed.\nPast forecasts: ")
    assert err.startswith("1/1 T1-F\nWhat was forecast on ")
    call_command("refresh_outlooks")
    assert capsys.readouterr().out == "Every outlook is up to date.\n"
    call_command("refresh_outlooks", all=True)
    assert capsys.readouterr().out == out
