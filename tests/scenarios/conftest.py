"""The invented station, made once for all tests here, and once in the database, rolled back at the end."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from enclosures.scenarios.assembly import demo_tables
from enclosures.scenarios.rows import Tables

LOADED_AT = datetime(2025, 10, 5, 6, tzinfo=UTC)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The database is made only for tests that say they need one; a fixture of a wider scope does not say it for them."""
    for item in items:
        if "loaded" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.django_db)


@pytest.fixture(scope="package")
def tables() -> Tables:
    return demo_tables()


@pytest.fixture(scope="package")
def loaded(tables: Tables, django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    """The importer's report; the station stays in the database until the last test here."""
    from django.db import transaction

    from enclosures.imports.importing import import_tables

    with django_db_blocker.unblock(), transaction.atomic():
        yield import_tables(tables, now=LOADED_AT)
        transaction.set_rollback(True)
