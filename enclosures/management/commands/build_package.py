"""manage.py build_package --out PATH [--program …] [--from …] [--to …] [--without-photos]: the records as one package anybody can open."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.actions.entries import Refused
from enclosures.actions.packages import build_package
from enclosures.models import Facility


class Command(BaseCommand):
    help = (
        "Write the record tables to a zip or a folder. Without --program, --from and --to it is the whole record, which "
        "import_records reads back without loss; with them it is a part of it, and says so."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--out", required=True, help="a new folder, or a file ending in .zip")
        parser.add_argument(
            "--program", default="", help="only this program's animals and the enclosures they stayed in"
        )
        parser.add_argument("--from", dest="from_on", metavar="DAY", help="events from this day, like 2025-01-01")
        parser.add_argument("--to", dest="to_on", metavar="DAY", help="events to this day")
        parser.add_argument(
            "--without-photos", action="store_true", help="leave the photo files out; they stay described"
        )
        parser.add_argument("--by", default="command line", help="who takes it out")

    def handle(self, *args: Any, **options: Any) -> None:
        facility = Facility.objects.first()
        if facility is None:
            raise CommandError("There is no facility in this database yet, so there is nothing to pack.")
        try:
            package = build_package(
                facility=facility,
                out=Path(options["out"]),
                made_at=timezone.now(),
                made_by=options["by"],
                program=options["program"],
                from_on=_day(options["from_on"], "--from"),
                to_on=_day(options["to_on"], "--to"),
                with_photo_files=not options["without_photos"],
            )
        except Refused as wrong:
            raise CommandError(str(wrong)) from wrong
        for table, n_rows in package.row_counts.items():
            if n_rows:
                self.stderr.write(f"{table}: {n_rows}")
        self.stdout.write(f"{options['out']}  {sum(package.row_counts.values())} rows  sha256 {package.sha256}")


def _day(text: str | None, name: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as wrong:
        raise CommandError(f"{name}: “{text}” is not a date; write it like 2025-10-04.") from wrong
