"""Power cuts, health notes, seasons: thin records with the same door."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from enclosures.actions.entries import Refused
from enclosures.actions.events import begin_season, end_season, log_health_note, log_outage
from enclosures.actions.flags import raise_flag
from enclosures.models import FilterOutlook, RecordFlag
from tests.actions.station import at, make_enclosure, make_filter, stamp
from tests.conftest import NOW, TODAY

ENTRY = "6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11"


def test_a_power_cut_names_its_enclosures_and_cannot_end_before_it_began(facility: Any) -> None:
    places = [make_enclosure(facility, code) for code in ("P2", "P1")]
    began = at(date(2025, 7, 8), 2, 10, facility)
    cut = {"moment": began, "kind": "power", "enclosures": places, "stamp": stamp(), "entry": ENTRY}
    first = log_outage(**cut, ended_at=began.at + timedelta(hours=9))
    assert first.record.enclosures == "P1 P2"
    assert not log_outage(**cut, ended_at=began.at + timedelta(hours=9)).is_new
    with pytest.raises(Refused) as backwards:
        log_outage(**{**cut, "entry": None}, ended_at=began.at - timedelta(hours=1))
    assert "before" in backwards.value.errors["__all__"]


def test_a_health_note_is_about_somebody_and_says_something(facility: Any) -> None:
    place, moment = make_enclosure(facility), at(TODAY, 8, 0, facility)
    assert log_health_note(moment=moment, text="pale", stamp=stamp(), enclosure=place, severity=2).is_new
    for wrong, field in (({"text": "pale"}, "animal"), ({"text": " ", "enclosure": place}, "text")):
        with pytest.raises(Refused) as refused:
            log_health_note(moment=moment, stamp=stamp(), **wrong)
        assert list(refused.value.errors) == [field]


def test_the_start_and_the_end_of_a_winter_rest_make_the_forecast_stale(facility: Any) -> None:
    place = make_enclosure(facility)
    FilterOutlook.objects.create(filter=make_filter(place), as_of=TODAY, computed_at=NOW, band="fine")
    season = begin_season(enclosure=place, kind="brumation", from_on=date(2024, 11, 2), stamp=stamp())
    assert FilterOutlook.objects.get().is_stale
    FilterOutlook.objects.update(is_stale=False)
    end_season(season, to_on=date(2025, 3, 20))
    assert FilterOutlook.objects.get().is_stale
    with pytest.raises(Refused):
        end_season(season, to_on=date(2024, 11, 1))


def test_a_doubt_raised_twice_is_one(facility: Any) -> None:
    note = log_health_note(
        moment=at(TODAY, 8, 0, facility), text="pale", stamp=stamp(), enclosure=make_enclosure(facility)
    )
    for _ in range(2):
        raise_flag(note.record, code="LIM", stamp=stamp(), text="look again")
    assert RecordFlag.objects.get().table == "healthnote"
