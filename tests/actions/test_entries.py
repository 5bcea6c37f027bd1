"""One door for writing: the same entry twice is one row; other content under its id is a conflict."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.measurements import log_measurement
from enclosures.actions.sludge import DepthGiven, log_cleanout, log_flow_check, log_sounding, log_upkeep
from enclosures.actions.water import ReadingGiven, log_water_change, log_water_test
from enclosures.models import Animal, Feeding, Sounding, Taxon
from tests.actions.station import at, make_enclosure, make_filter, make_pellet, on, stamp
from tests.conftest import NOW, TODAY

ENTRY = uuid.UUID("6a0f3f0e-58c5-4a5d-8a8a-3f6b2f6d1c11")


@pytest.fixture
def station(facility: Any) -> dict[str, Any]:
    place = make_enclosure(facility)
    taxon = Taxon.objects.create(scientific_name="Emys orbicularis")
    return {
        "facility": facility,
        "enclosure": place,
        "filter": make_filter(place),
        "food": make_pellet(),
        "animal": Animal.objects.create(code="BL-104", taxon=taxon),
    }


def _calls(station: dict[str, Any]) -> dict[str, tuple[Any, dict[str, Any], dict[str, Any]]]:
    """Per action: the call, its arguments, and one argument that makes other content."""
    line = LineGiven(food_item=station["food"], offered_g=20.0)
    place, chosen = {"enclosure": station["enclosure"]}, {"filter": station["filter"]}
    return {
        "feeding": (
            log_feeding,
            {**place, "lines": [line]},
            {"lines": [LineGiven(food_item=station["food"], offered_g=21)]},
        ),
        "water test": (
            log_water_test,
            {**place, "readings": [ReadingGiven(analyte="ph", value=7.5, unit="pH")]},
            {"readings": [ReadingGiven(analyte="ph", value=7.6, unit="pH")]},
        ),
        "water change": (log_water_change, {**place, "volume_l": 60.0}, {"volume_l": 61.0}),
        "sounding": (
            log_sounding,
            {**chosen, "depths": [DepthGiven(depth_mm=80)]},
            {"depths": [DepthGiven(depth_mm=81)]},
        ),
        "flow": (log_flow_check, {**chosen, "flow_l_per_h": 2400}, {"flow_l_per_h": 2300}),
        "cleanout": (log_cleanout, {**chosen, "outcome": "full", "depth_after_mm": 12}, {"depth_after_mm": 13}),
        "upkeep": (log_upkeep, {**chosen, "kind": "screen"}, {"kind": "weir"}),
        "weighing": (log_measurement, {"animal": station["animal"], "mass_g": 455.0}, {"mass_g": 456.0}),
    }


@pytest.mark.parametrize(
    "name", ["feeding", "water test", "water change", "sounding", "flow", "cleanout", "upkeep", "weighing"]
)
def test_an_entry_sent_twice_is_one_row_and_other_content_under_its_id_is_a_conflict(
    station: dict[str, Any], name: str
) -> None:
    action, arguments, other = _calls(station)[name]
    moment = at(TODAY, 7, 58, station["facility"])
    first = action(**arguments, moment=moment, stamp=stamp(), entry=ENTRY)
    later = stamp(NOW + timedelta(hours=5), by="K2", how="round")  # a retry from another tablet, hours later
    again = action(**arguments, moment=moment, stamp=later, entry=str(ENTRY))
    assert (first.is_new, again.is_new) == (True, False)
    assert first.record.pk == again.record.pk
    assert type(first.record).all_rows.count() == 1
    with pytest.raises(EntryConflict) as conflict:
        action(**{**arguments, **other}, moment=moment, stamp=stamp(), entry=ENTRY)
    assert conflict.value.record.pk == first.record.pk
    with pytest.raises(EntryConflict):
        action(**arguments, moment=on(TODAY, station["facility"]), stamp=stamp(), entry=ENTRY)
    assert type(first.record).all_rows.count() == 1


def test_an_entry_that_another_request_made_first_is_answered_not_doubled(
    station: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The look-up before the insert saw nothing, and the insert then met the other request's row."""
    from enclosures.actions import entries

    arguments = {
        "enclosure": station["enclosure"],
        "lines": [LineGiven(food_item=station["food"], offered_g=20.0)],
        "moment": on(TODAY, station["facility"]),
        "entry": ENTRY,
    }
    log_feeding(**arguments, stamp=stamp())
    known, seen = entries._known, []

    def blind_at_first(*args: Any) -> Any:
        seen.append(True)
        return None if len(seen) == 1 else known(*args)

    monkeypatch.setattr(entries, "_known", blind_at_first)
    assert log_feeding(**arguments, stamp=stamp()).is_new is False
    assert len(seen) == 2
    assert Feeding.all_rows.count() == 1


def test_what_is_still_to_come_is_refused_and_ten_minutes_of_clock_are_forgiven(station: dict[str, Any]) -> None:
    facility, chosen = station["facility"], station["filter"]
    read = {"filter": chosen, "flow_l_per_h": 2400.0, "stamp": stamp()}  # entered 10:30 local
    with pytest.raises(Refused) as ahead:
        log_flow_check(**read, moment=at(TODAY, 10, 41, facility))
    assert "still to come" in ahead.value.errors["occurred_at"]
    with pytest.raises(Refused):
        log_flow_check(**read, moment=on(TODAY + timedelta(days=1), facility))
    assert log_flow_check(**read, moment=at(TODAY, 10, 39, facility)).is_new
    assert log_flow_check(**read, moment=on(TODAY, facility)).is_new  # a day stands at noon, which is later than 10:30


def test_a_value_out_of_range_is_refused_with_the_sentence_of_its_field(station: dict[str, Any]) -> None:
    moment = on(TODAY, station["facility"])
    with pytest.raises(Refused) as heavy:
        log_measurement(animal=station["animal"], moment=moment, stamp=stamp(), mass_g=0.1)
    assert heavy.value.errors == {"mass_g": "mass g: at least 0.3 and at most 200000."}
    with pytest.raises(Refused) as odd:
        log_upkeep(filter=station["filter"], moment=moment, kind="dance", stamp=stamp())
    assert "“dance” is not one of screen" in odd.value.errors["kind"]
    with pytest.raises(Refused) as nothing:
        log_measurement(animal=station["animal"], moment=moment, stamp=stamp(), mass_g=float("nan"))
    assert nothing.value.errors == {"mass_g": "Mass, g: enter a number."}
    with pytest.raises(Refused) as long:
        log_upkeep(filter=station["filter"], moment=moment, kind="leak", stamp=stamp(), parts="x" * 121)
    assert "120" in long.value.errors["parts"]
    with pytest.raises(Refused) as more:
        log_cleanout(
            filter=station["filter"],
            moment=moment,
            stamp=stamp(),
            outcome="part",
            depth_before_mm=50,
            depth_after_mm=80,
        )
    assert more.value.errors == {"__all__": "The depth after is more than the depth before."}
    with pytest.raises(Refused):
        log_measurement(animal=station["animal"], moment=moment, stamp=stamp(), mass_g=9.0, entry="not-an-id")
    assert Sounding.all_rows.count() == 0


def test_a_wrong_device_clock_and_a_late_entry_are_flagged(station: dict[str, Any]) -> None:
    late = stamp(clock_offset_s=-3600, device_at=NOW - timedelta(hours=1))
    moment = at(TODAY - timedelta(days=2), 7, 30, station["facility"])
    record = log_flow_check(filter=station["filter"], moment=moment, stamp=late, flow_l_per_h=2400).record
    record.refresh_from_db()
    assert record.flags == ["CLK", "LATE"]
    assert record.occurred_on == TODAY - timedelta(days=2)
    assert record.entered_at == NOW


def test_a_refused_entry_leaves_nothing_half_written(station: dict[str, Any]) -> None:
    lines = [LineGiven(food_item=station["food"], offered_g=5.0), LineGiven(food_item=station["food"], offered_g=-1.0)]
    with pytest.raises(Refused) as refused:
        log_feeding(enclosure=station["enclosure"], moment=on(TODAY, station["facility"]), lines=lines, stamp=stamp())
    assert refused.value.errors == {"offered_g": "offered g: at least 0 and at most 100000."}
    assert Feeding.all_rows.count() == 0
    assert not connection.needs_rollback
