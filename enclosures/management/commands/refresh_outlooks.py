"""manage.py refresh_outlooks [--all]: compute and store what lists and dashboards show. For a nightly timer, or on demand."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.actions.outlooks import refresh_facility
from enclosures.models import Facility, Filter


class Command(BaseCommand):
    help = "Recompute the stored outlooks that are stale or of an earlier day; with --all, every one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--all", action="store_true", help="also those that are up to date")

    def handle(self, *args: Any, **options: Any) -> None:
        facility = Facility.objects.first()
        if facility is None:
            raise CommandError("There is no facility in this database yet: import records or run the demo first.")
        now = timezone.now()
        n_done = refresh_facility(
            facility=facility,
            today=now.astimezone(facility.zone).date(),
            now=now,
            only_needed=not options["all"],
            progress=self._told,
        )
        word = "outlook" if n_done == 1 else "outlooks"
        self.stdout.write(f"{n_done} {word} computed." if n_done else "Every outlook is up to date.")

    def _told(self, n_done: int, n_all: int, filter: Filter) -> None:
        self.stderr.write(f"{n_done}/{n_all} {filter.code}")
