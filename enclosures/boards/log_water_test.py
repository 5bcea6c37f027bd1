"""What the water-test form offers: the kits in use, and what each analyte read last, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from enclosures.boards.entry_words import reading_words
from enclosures.models import Analyte, Enclosure, Reading, TestKit, WaterTest
from enclosures.verdicts.words import ago_words, kept_together

LAST_TEMP_DAYS = 10  # an older temperature says nothing about today's
LOOK_BACK_DAYS = 400


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterTestBoard:
    kits: tuple[TestKit, ...]
    lasts: dict[str, str]
    last_temp_c: float | None


def build_log_water_test(*, enclosure: Enclosure, today: date, before: WaterTest | None = None) -> WaterTestBoard:
    """Three queries. `before`: the test being corrected."""
    readings = (
        Reading.objects.filter(
            test__enclosure=enclosure,
            test__withdrawn=False,
            test__superseded_by__isnull=True,
            test__occurred_on__gte=today - timedelta(days=LOOK_BACK_DAYS),
        )
        .exclude(test=before)
        .select_related("test")
        .order_by("test__occurred_at", "test_id", "position")
    )
    newest: dict[str, Reading] = {reading.analyte: reading for reading in readings}
    temp = newest.get(Analyte.TEMPERATURE)
    is_recent = temp is not None and (today - temp.test.occurred_on).days <= LAST_TEMP_DAYS
    used = {reading.kit for reading in before.readings.all()} if before is not None else set()
    return WaterTestBoard(
        kits=tuple(kit for kit in TestKit.objects.all() if not kit.is_retired or kit.code in used),
        lasts={analyte: _words(reading, today) for analyte, reading in newest.items()},
        last_temp_c=temp.canonical if temp is not None and is_recent else None,
    )


def _words(reading: Reading, today: date) -> str:
    figure = reading_words(reading).partition(" ")[2]
    return kept_together(f"last {figure}, {ago_words(reading.test.occurred_on, today)}")
