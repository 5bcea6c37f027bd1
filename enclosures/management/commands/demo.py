"""manage.py demo: the invented station in its own database, signed in and served on this machine.

manage.py itself sets DEBUG and DATABASE_URL=sqlite:///demo.sqlite3 for this command before settings are read.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from enclosures.actions.outlooks import refresh_facility
from enclosures.actions.past_forecasts import keep_past_forecasts
from enclosures.models import Facility, Filter
from enclosures.scenarios.demo import load_demo
from enclosures.scenarios.people import PEOPLE, make_people
from enclosures.scenarios.station import CODE, NAME

PASSWORD = "turtle-demo"
ADDRESS = "127.0.0.1"
QUICK_PARTICLES = 300  # half of a night's: nobody waits at night


class Command(BaseCommand):
    help = (
        "Make the invented demo station in its own database, print one sign-in per role, and serve it on this machine."
    )
    requires_system_checks: list[str] = []  # runserver makes them

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="port on 127.0.0.1 (default 8000)")
        parser.add_argument("--no-serve", action="store_true", help="make it ready and stop")
        parser.add_argument("--fixed", action="store_true", help="keep the station's own dates, up to 2025-10-04")

    def handle(self, *args: Any, port: int, no_serve: bool, fixed: bool, **options: Any) -> None:
        if not settings.DEBUG:
            raise CommandError("The demo has sign-ins everybody knows; it runs only with DEBUG=1, on your own machine.")
        if not 1 <= port <= 65535:
            raise CommandError(f"{port} is not a port; choose one from 1 to 65535.")
        now = timezone.now()
        self._bring_tables_up_to_date()
        facility = self._station(now=now, fixed=fixed)
        make_people(facility, password=PASSWORD)
        today = now.astimezone(facility.zone).date()
        refresh_facility(facility=facility, today=today, now=now, progress=self._judged)
        self.stderr.write("Looking back at what was forecast …")
        keep_past_forecasts(facility=facility, today=today, n_particles=QUICK_PARTICLES)
        self._say_who_signs_in()
        if no_serve:
            return
        self.stdout.write(f"\nOpen http://{ADDRESS}:{port}/   (Ctrl-C stops it)")
        self.stdout.flush()
        call_command("runserver", f"{ADDRESS}:{port}", use_reloader=False)

    def _bring_tables_up_to_date(self) -> None:
        try:
            executor = MigrationExecutor(connection)
            if executor.migration_plan(executor.loader.graph.leaf_nodes()):
                self.stderr.write("Making the tables …")
                call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as wrong:
            raise CommandError(f"The demo's database cannot be opened: {wrong}") from wrong

    def _station(self, *, now: datetime, fixed: bool) -> Facility:
        there = Facility.objects.first()
        if there is not None:
            if (there.code, there.name) != (CODE, NAME):
                raise CommandError(
                    f"This database holds {there.name} ({there.code}), not the demo; "
                    "point DATABASE_URL somewhere else, or leave it unset."
                )
            self.stderr.write(
                "The station is there already; delete its database file to have it made anew, up to today."
            )
            return there
        self.stderr.write("Making thirty months of records …")
        report = load_demo(now=now, shift=not fixed)
        if not report.is_good:
            raise CommandError("\n".join(report.lines()))
        self.stderr.write(report.lines()[0])
        return Facility.objects.get()

    def _judged(self, done: int, n: int, filter: Filter) -> None:
        end = "\n" if done == n else ""
        if sys.stderr.isatty() or done == n:
            self.stderr.write(f"\rJudging the filters: {done} of {n}", ending=end)

    def _say_who_signs_in(self) -> None:
        self.stdout.write(f"{NAME}: nobody and nothing in it exists. Password of all: {PASSWORD}")
        for person in PEOPLE:
            self.stdout.write(f"  {person.username:<7} {person.role.label}: {person.does}")
