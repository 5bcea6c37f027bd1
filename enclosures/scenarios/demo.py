"""The invented station's way into an empty database: through the importer, like any other record."""

from __future__ import annotations

from datetime import datetime

from enclosures.imports.importing import import_tables
from enclosures.imports.report import Report
from enclosures.scenarios.assembly import demo_tables, living_tables
from enclosures.scenarios.pictures import photograph

__all__ = ["demo_tables", "living_tables", "load_demo"]


def load_demo(*, now: datetime, shift: bool) -> Report:
    """Imports the station in one transaction: shifted so that it ends now, or with its own dates up to AS_OF."""
    report = import_tables(living_tables(now=now) if shift else demo_tables(), now=now)
    if report.is_saved:
        photograph()
    return report
