"""The importer takes the whole station as it is, and what it computes is what the story says."""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.scenarios.rows import Tables

from .reading import entries


def test_nothing_is_refused(loaded: Any) -> None:
    assert loaded.problems == []
    assert loaded.is_saved


def test_every_table_and_column_is_understood(loaded: Any) -> None:
    assert (loaded.unknown_columns, loaded.unknown_tables, loaded.new_taxa) == ({}, [], [])


def test_every_entry_arrived_once(loaded: Any, tables: Tables) -> None:
    for name in ("feedings", "water_tests", "soundings", "cleanouts", "measurements", "upkeep"):
        count = loaded.counts[name]
        assert (count.new, count.already) == (sum(1 for _ in entries(tables, name)), 0)


def test_late_and_slow_clock_entries_are_flagged_on_the_way_in(loaded: Any) -> None:
    from enclosures.models import Feeding, FlowCheck, Measurement, Upkeep, WaterTest

    logs = (Feeding, FlowCheck, Measurement, Upkeep, WaterTest)
    flags = [flag for log in logs for given in log.all_rows.values_list("flags", flat=True) for flag in given]
    assert flags.count("CLK") == 9
    assert flags.count("LATE") >= 31


def test_ammonia_kits_meet_on_nitrogen(loaded: Any) -> None:
    """0.2 by a kit that reads NH3 is 0.2 x 14.007 / 17.031 = 0.164 mg/L as N (IUPAC atomic weights); by one that reads N, 0.2."""
    from enclosures.models import Reading, WaterTest

    of_the_day = Reading.objects.filter(test__occurred_on="2024-01-27", analyte="tan")
    before = of_the_day.filter(kit="A-ammonia", test__in=WaterTest.all_rows.all())
    now = of_the_day.filter(test__in=WaterTest.objects.all())
    assert [row.canonical for row in before] == pytest.approx([0.2 * 14.007 / 17.031] * 3, rel=0.002)
    assert [row.canonical for row in now] == [0.2] * 3


def test_old_pellets_keep_their_recipe(loaded: Any) -> None:
    from enclosures.models import FeedingLine

    lines = FeedingLine.objects.filter(food_item__code="pellet", offered_g__gt=0)
    old = lines.filter(feeding__occurred_on__lt="2025-02-01").first()
    new = lines.filter(feeding__occurred_on__gte="2025-02-01").first()
    assert old.protein_g == pytest.approx(0.40 * old.offered_g)
    assert new.protein_g == pytest.approx(0.36 * new.offered_g)
