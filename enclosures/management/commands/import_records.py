"""manage.py import_records PATH [--dry-run]: a package, or any part of one, into this database; all of it or nothing."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.imports.importing import import_records


class Command(BaseCommand):
    help = "Import record tables (a folder, a zip or one CSV). Everything is imported, or nothing is and the report says why."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("path", help="folder, zip or CSV file")
        parser.add_argument("--dry-run", action="store_true", help="check everything and save nothing")

    def handle(self, *args: Any, path: str, dry_run: bool, **options: Any) -> None:
        report = import_records(path, now=timezone.now(), dry_run=dry_run, told=self._told)
        lines = report.lines()
        if not report.is_good:
            for line in lines[1:]:
                self.stderr.write(line)
            raise CommandError(lines[0])
        for line in lines:
            self.stdout.write(line)

    def _told(self, line: str) -> None:
        self.stderr.write(line)
