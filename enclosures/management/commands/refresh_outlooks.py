"""manage.py refresh_outlooks [--all]: compute and store what lists and dashboards show, and hold past forecasts against what came.

For a nightly timer, or on demand.
"""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.actions.outlooks import refresh_facility
from enclosures.actions.past_forecasts import keep_past_forecasts
from enclosures.models import Facility, Filter


class Command(BaseCommand):
    help = (
        "Recompute the stored outlooks that are stale or of an earlier day, write down each quarter's forecasts, and hold past ones "
        "against what came; with --all, everything anew."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--all", action="store_true", help="also what is up to date, past forecasts included")

    def handle(self, *args: Any, **options: Any) -> None:
        facility = Facility.objects.first()
        if facility is None:
            raise CommandError(
                "There is no facility in this database yet: sign in as an administrator to begin one, or import records."
            )
        now = timezone.now()
        today = now.astimezone(facility.zone).date()
        n_done = refresh_facility(
            facility=facility,
            today=today,
            now=now,
            only_needed=not options["all"],
            progress=self._told,
        )
        word = "outlook" if n_done == 1 else "outlooks"
        self.stdout.write(f"{n_done} {word} computed." if n_done else "Every outlook is up to date.")
        n_made, n_changed = keep_past_forecasts(
            facility=facility, today=today, again=options["all"], progress=self._looked_back
        )
        if n_made or n_changed:
            self.stdout.write(f"Past forecasts: {n_made} written down, {n_changed} held against what came.")

    def _looked_back(self, day: date) -> None:
        self.stderr.write(f"What was forecast on {day} …")

    def _told(self, n_done: int, n_all: int, filter: Filter) -> None:
        self.stderr.write(f"{n_done}/{n_all} {filter.code}")
