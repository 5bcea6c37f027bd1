"""How long things take, as ratios to a bare run of the same work on the same machine in the same minute; people judge the figures."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from argparse import ArgumentParser
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

AIMS = {
    "forecast": 15,
    "board": 3,
    "dashboard": 3,
    "board over years": 1.2,
    "dashboard over years": 1.2,
    "feeding": 15,
}
N_FILTERS = 8
ROUNDS = 9


class Command(BaseCommand):
    help = (
        "Print how long forecast, board, dashboard and a logged feeding take, as ratios. Uses scratch databases only."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--years", type=int, nargs="+", default=[1, 10], help="years of records (default 1 10)")
        parser.add_argument("--inside", type=int, help="measure in this database, which must be empty (used by itself)")

    def handle(self, *args: Any, years: list[int], inside: int | None, **options: Any) -> None:
        if inside is not None:
            self._measure(inside)
            return
        figures: dict[int, dict[str, float]] = {}
        for n_years in years:
            self.stderr.write(f"A facility of {N_FILTERS} filters with {n_years} year(s) of records …")
            figures[n_years] = self._in_scratch(n_years)
        self._print(figures)

    def _in_scratch(self, n_years: int) -> dict[str, float]:
        """A process of its own, on a database of its own, so that nothing is warm and nobody's records are touched."""
        with tempfile.TemporaryDirectory(prefix="benchmark-") as folder:
            environment = {**os.environ, "DATABASE_URL": f"sqlite:///{Path(folder) / 'scratch.sqlite3'}", "DEBUG": "0"}
            environment["BEHIND_TLS"] = "0"
            command = [sys.executable, sys.argv[0], "benchmark", "--inside", str(n_years)]
            done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
        if done.returncode:
            raise CommandError(
                done.stderr.strip().splitlines()[-1] if done.stderr.strip() else "The measuring run failed."
            )
        lines = (line.split("\t") for line in done.stdout.splitlines() if "\t" in line)
        return {name: float(value) for name, value in lines}

    def _print(self, figures: dict[int, dict[str, float]]) -> None:
        years = sorted(figures)
        for n_years in years:
            f = figures[n_years]
            self.stdout.write(f"\n{n_years} year(s) of records, {f['rows']:.0f} rows")
            self._line("one forecast / one bare run of its particles", f["forecast"] / f["bare run"], AIMS["forecast"])
            self._line("filters board / its own queries alone", f["board"] / f["board queries"], AIMS["board"])
            self._line("dashboard / its own queries alone", f["dashboard"] / f["dashboard queries"], AIMS["dashboard"])
            self._line("logging a feeding / an empty view", f["feeding"] / f["empty view"], AIMS["feeding"])
            ms = ("forecast", "bare run", "board", "dashboard", "feeding", "empty view")
            self.stdout.write("  " + ", ".join(f"{name} {1000 * f[name]:.1f} ms" for name in ms))
        if len(years) > 1:
            first, last = figures[years[0]], figures[years[-1]]
            self.stdout.write(f"\n{years[-1]} years / {years[0]} year(s)")
            self._line("filters board", last["board"] / first["board"], AIMS["board over years"])
            self._line("dashboard", last["dashboard"] / first["dashboard"], AIMS["dashboard over years"])

    def _line(self, what: str, ratio: float, aim: float) -> None:
        self.stdout.write(f"  {what:<46} {ratio:6.2f}   aim {aim:g}")

    # --- inside the scratch database ---

    def _measure(self, n_years: int) -> None:
        from enclosures.actions.outlooks import refresh_facility
        from enclosures.imports.importing import import_tables
        from enclosures.models import Facility, Feeding, Filter
        from enclosures.scenarios.simulated import simulated_tables

        call_command("migrate", verbosity=0, interactive=False)
        if Facility.objects.exists():
            raise CommandError("This database holds records; the benchmark measures in an empty one only.")
        now = timezone.now()
        until = now.date() - timedelta(days=1)
        report = import_tables(simulated_tables(n_filters=N_FILTERS, n_years=n_years, until=until), now=now)
        if not report.is_good:
            raise CommandError("\n".join(report.lines()))
        facility = Facility.objects.get()
        refresh_facility(facility=facility, today=now.astimezone(facility.zone).date(), now=now)
        self._say("rows", float(Feeding.all_rows.count()))
        filter = Filter.objects.upflow().with_place().order_by("code")[0]
        self._measure_forecast(filter, facility, now)
        self._measure_pages(filter, facility)

    def _measure_forecast(self, filter: Any, facility: Any, now: Any) -> None:
        from enclosures.evidence import load_filter_evidence
        from enclosures.forecast import run
        from enclosures.forecast.history import history_for
        from enclosures.forecast.outlook import outlook_for

        today = now.astimezone(facility.zone).date()
        evidence = load_filter_evidence([filter], as_of=today, zone=facility.zone)[filter.pk]
        history = history_for(evidence, as_of=today)
        assert history is not None
        drawn = run.unpack(np.random.default_rng(1).standard_normal((1000, len(history.names))), history)
        self._say("bare run", _median(lambda: run.run_history(history, drawn), 5))
        self._say("forecast", _median(lambda: outlook_for(evidence, as_of=today), 3))

    def _measure_pages(self, filter: Any, facility: Any) -> None:
        from django.contrib.auth import get_user_model
        from django.test import Client
        from django.test.utils import override_settings

        from enclosures.models import Membership

        user = get_user_model().objects.create_user(username="measure", initials="MEA", password="not-used")
        Membership.objects.create(facility=facility, user=user, role="supervisor")
        with override_settings(
            ALLOWED_HOSTS=["testserver"],
            STORAGES={
                "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
                "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
            },
        ):
            client = Client()
            client.force_login(user)
            for name, path in (("board", "/filters/"), ("dashboard", f"/enclosures/{filter.enclosure.code}/")):
                get = _getter(client, path)
                self._say(name, _median(get, ROUNDS))
                self._say(f"{name} queries", _queries_alone(get))
            self._say("empty view", _median(_getter(client, "/health/"), ROUNDS * 3))
            self._say("feeding", _median(_feeder(client, filter.enclosure.code), ROUNDS * 3))

    def _say(self, name: str, seconds: float) -> None:
        self.stdout.write(f"{name}\t{seconds:.9f}")


def _median(act: Callable[[], Any], times: int) -> float:
    act()  # the first one warms caches and imports
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def _getter(client: Any, path: str) -> Callable[[], Any]:
    def get() -> Any:
        response = client.get(path)
        if response.status_code != 200:
            raise CommandError(f"{path} answered {response.status_code}.")
        return response

    return get


def _queries_alone(get: Callable[[], Any]) -> float:
    """The page's own statements again, without view and template, rows fetched."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    statements: list[tuple[str, Any]] = []

    def listen(execute: Any, sql: str, params: Any, many: Any, context: Any) -> Any:
        if sql.lstrip().upper().startswith("SELECT"):
            statements.append((sql, params))
        return execute(sql, params, many, context)

    with CaptureQueriesContext(connection), connection.execute_wrapper(listen):
        get()

    def again() -> None:
        with connection.cursor() as cursor:
            for sql, params in statements:
                cursor.execute(sql, params)
                cursor.fetchall()

    return _median(again, ROUNDS)


def _feeder(client: Any, enclosure: str) -> Callable[[], Any]:
    """Logs one feeding of the food last used there, each time with a fresh id, as a tablet would."""
    import uuid

    from enclosures.models import FoodItem

    food = FoodItem.objects.order_by("pk")[0]

    def feed() -> Any:
        answer = client.post(
            f"/enclosures/{enclosure}/feedings/",
            {
                "entry": str(uuid.uuid4()),
                "when_": "now",
                f"amount_{food.pk}": "2",
                f"unit_{food.pk}": "g",
                "fed": "yes",
                "eaten": "all",
            },
            headers={"HX-Request": "true"},
        )
        if answer.status_code not in (200, 201):
            raise CommandError(f"Logging a feeding answered {answer.status_code}.")
        return answer

    return feed
