"""Nothing recorded is ever erased: the database itself refuses."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from enclosures.models import Enclosure, Feeding, FeedingLine, FoodItem, Moment
from enclosures.models.guards import guarded_tables
from tests.conftest import NOW, TODAY


@pytest.fixture
def feeding(facility: Any) -> Feeding:
    place = Enclosure.objects.create(facility=facility, code="T1", kind="tub", indoor=True, water_volume_l=80)
    moment = Moment.of_day(TODAY, zone=facility.zone)
    feeding = Feeding(enclosure=place, entered_at=NOW, entered_by="K1")
    feeding.moment = moment
    feeding.save()
    food = FoodItem.objects.create(code="crumb", food_class="pellet")
    FeedingLine.objects.create(feeding=feeding, food_item=food, offered_g=1)
    return feeding


@pytest.mark.parametrize("act", ["update", "delete", "bulk_update", "line"])
def test_a_logged_entry_cannot_be_changed_or_erased_by_any_road(feeding: Feeding, act: str) -> None:
    with pytest.raises(DatabaseError), transaction.atomic():
        if act == "update":
            Feeding.all_rows.update(note="changed")
        elif act == "delete":
            Feeding.all_rows.filter(pk=feeding.pk)._raw_delete("default")
        elif act == "bulk_update":
            feeding.note = "changed"
            Feeding.all_rows.bulk_update([feeding], ["note"])
        else:
            FeedingLine.objects.update(offered_g=2)
    feeding.refresh_from_db()
    assert feeding.note == ""
    assert feeding.lines.get().offered_g == 1


def test_every_log_table_and_its_parts_are_guarded() -> None:
    expected = {
        "measurement", "feeding", "feedingline", "watertest", "reading", "waterchange", "sounding", "soundingreading",
        "flowcheck", "instruction", "roundskip", "roundcheck", "photo", "cleanout", "upkeep", "outage", "healthnote", "transfer", "death",
            "plannedmove", "plannedmover", "plannedseason", "dose",
    }  # fmt: skip
    assert {name.removeprefix("enclosures_") for name in guarded_tables()} == expected


@pytest.mark.django_db
def test_the_guards_stand_in_a_fresh_database() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        names = {row[0] for row in cursor.fetchall()}
    assert {f"{table}_no_{act}" for table in guarded_tables() for act in ("update", "delete")} <= names


@pytest.mark.django_db(transaction=True)
def test_the_guards_stand_again_after_a_flush(feeding: Feeding) -> None:
    with pytest.raises(DatabaseError):
        Feeding.all_rows.update(note="changed")
