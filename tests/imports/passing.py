"""Work in an empty database, and leave it empty: everything is rolled back, which the guards of the log tables allow."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from django.db import transaction

from enclosures.exports.archive import csv_blocks, write_package
from enclosures.exports.record_tables import TABLES
from enclosures.models import Facility

NOW = datetime(2025, 10, 4, 8, 30, tzinfo=UTC)
Result = TypeVar("Result")


def in_passing(work: Callable[[], Result]) -> Result:
    """What `work` returns; nothing it saved stays."""
    with transaction.atomic():
        result = work()
        transaction.set_rollback(True)
    return result


def package_files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.csv"))}


def all_csv() -> dict[str, str]:
    """Every record table as the package would write it."""
    return {table.name: b"".join(block for _, block in csv_blocks(table)).decode() for table in TABLES}


def written_package() -> Path:
    """The records as they are now, written to a new folder."""
    folder = Path(tempfile.mkdtemp(prefix="package-")) / "package"
    write_package(folder, facility=Facility.objects.get(), made_at=NOW, made_by="K1")
    return folder
