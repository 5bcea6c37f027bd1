"""One measured facility in a scratch database: it answers the name of a task on its input with the seconds that task took."""

from __future__ import annotations

import csv
import sqlite3
import statistics
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import IO, Any
from unittest.mock import patch

import numpy as np
from django.contrib.auth import get_user_model
from django.db import connection, transaction
from django.db.models import QuerySet
from django.test import Client
from django.test.utils import override_settings
from django.utils import timezone

from enclosures.actions.entries import Stamp
from enclosures.actions.outlooks import refresh_facility, refresh_outlook
from enclosures.actions.sludge import DepthGiven, log_sounding
from enclosures.evidence import load_filter_evidence
from enclosures.exports.archive import write_package
from enclosures.exports.record_tables import TABLES
from enclosures.forecast import run
from enclosures.forecast.history import history_for
from enclosures.forecast.outlook import outlook_for
from enclosures.imports.importing import import_tables
from enclosures.models import Facility, Feeding, Filter, FoodItem, Membership, Moment
from enclosures.scenarios.simulated import simulated_tables

PARTICLES = 1000
AS_SERVED = {
    "ALLOWED_HOSTS": ["testserver"],
    "STORAGES": {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    },
}
Timed = Callable[[], float]


class Measured:
    """A facility with its first filter, and the tasks that can be timed on it."""

    def __init__(self, *, n_filters: int, n_years: int) -> None:
        self.now = timezone.now()
        until = self.now.date() - timedelta(days=1)
        report = import_tables(simulated_tables(n_filters=n_filters, n_years=n_years, until=until), now=self.now)
        if not report.is_good:
            raise RuntimeError("\n".join(report.lines()))
        self.facility = Facility.objects.get()
        self.today: date = self.now.astimezone(self.facility.zone).date()
        refresh_facility(facility=self.facility, today=self.today, now=self.now)
        self.filter = Filter.objects.upflow().with_place().order_by("code")[0]
        user = get_user_model().objects.create_user(username="measure", initials="MEA", password="not-used")
        Membership.objects.create(facility=self.facility, user=user, role="supervisor")
        self.client = Client()
        self.client.force_login(user)

    def tasks(self) -> dict[str, Timed]:
        board = self._getter("/filters/")
        dashboard = self._getter(f"/enclosures/{self.filter.enclosure.code}/")
        fed = (
            Filter.objects.upflow().with_place().order_by("code").last()
        )  # not where the forecast is measured: it grows stale
        assert fed is not None
        return {
            "bare run": self._bare_run(),
            "forecast": self._forecast(),
            "answer": self._answer,
            **_page("board", board),
            **_page("dashboard", dashboard),
            "empty view": timed(self._getter("/health/"), times=5),
            "feeding": timed(self._feeder(fed.enclosure.code)),
            "package": self._package,
            "dump": self._dump,
        }

    def _bare_run(self) -> Timed:
        """The same particles once through the same history in numpy: what the forecast's arithmetic alone costs."""
        history = history_for(self._evidence(), as_of=self.today)
        assert history is not None
        drawn = run.unpack(np.random.default_rng(1).standard_normal((PARTICLES, len(history.names))), history)
        return timed(lambda: run.run_history(history, drawn))

    def _forecast(self) -> Timed:
        evidence = self._evidence()
        return timed(lambda: outlook_for(evidence, as_of=self.today, n_particles=PARTICLES))

    def _evidence(self) -> Any:
        return load_filter_evidence([self.filter], as_of=self.today, zone=self.facility.zone)[self.filter.pk]

    def _answer(self) -> float:
        """From a sounding just logged to the new answer stored: records read, forecast made, words found. Taken back afterwards."""
        with transaction.atomic():
            log_sounding(
                filter=self.filter,
                moment=Moment.of_instant(self.now - timedelta(minutes=5), zone=self.facility.zone),
                depths=[DepthGiven(depth_mm=40)],
                stamp=Stamp(entered_at=self.now, entered_by="MEA"),
            )
            took = timed(lambda: refresh_outlook(self.filter, today=self.today, now=self.now))()
            transaction.set_rollback(True)
        return took

    def _getter(self, path: str) -> Callable[[], Any]:
        def get() -> Any:
            response = self.client.get(path)
            if response.status_code != 200:
                raise RuntimeError(f"{path} answered {response.status_code}.")
            return response

        return get

    def _feeder(self, enclosure: str) -> Callable[[], Any]:
        """Logs one feeding of the facility's food, each time with a fresh id, as a tablet would."""
        food = FoodItem.objects.order_by("pk")[0]
        said = {"when_": "now", f"amount_{food.pk}": "2", f"unit_{food.pk}": "g", "fed": "yes", "eaten": "all"}

        def feed() -> Any:
            answer = self.client.post(
                f"/enclosures/{enclosure}/feedings/",
                {"entry": str(uuid.uuid4()), **said},
                headers={"HX-Request": "true"},
            )
            if answer.status_code not in (200, 201):
                raise RuntimeError(f"Logging a feeding answered {answer.status_code}.")
            return answer

        return feed

    def _package(self) -> float:
        with tempfile.TemporaryDirectory(prefix="benchmark-") as folder:
            target = Path(folder) / "package"
            return timed(lambda: write_package(target, facility=self.facility, made_at=self.now, made_by="benchmark"))()

    def _dump(self) -> float:
        """The same rows out of the same file by the standard library alone: SELECT * and csv, every column as it is stored."""
        models = {table.model for table in TABLES}
        models |= {
            model._meta.get_field(part).related_model for model in models for part in getattr(model, "PARTS", ())
        }
        names = sorted(model._meta.db_table for model in models)

        def dump() -> None:
            with tempfile.TemporaryDirectory(prefix="benchmark-") as folder:
                file = sqlite3.connect(connection.settings_dict["NAME"])
                for name in names:
                    with (Path(folder) / name).open("w", newline="") as stream:
                        csv.writer(stream).writerows(file.execute(f'SELECT * FROM "{name}"'))
                file.close()

        return timed(dump)()


def answer_tasks(*, n_filters: int, n_years: int, asked: IO[str], said: IO[str]) -> None:
    """Make the facility, say how many meals it has, then time what is asked, line by line, until nothing more is."""
    with override_settings(**AS_SERVED):
        tasks = Measured(n_filters=n_filters, n_years=n_years).tasks()
        print(Feeding.all_rows.count(), file=said, flush=True)
        for line in asked:
            print(f"{tasks[line.strip()]():.9f}", file=said, flush=True)


def timed(act: Callable[[], Any], *, times: int = 1) -> Timed:
    """Seconds one call takes; the median of some where one is too short to trust."""

    def take() -> float:
        taken = []
        for _ in range(times):
            start = time.perf_counter()
            act()
            taken.append(time.perf_counter() - start)
        return statistics.median(taken)

    return take


def _page(name: str, get: Callable[[], Any]) -> dict[str, Timed]:
    """A page, and its own queries alone in two ways: the statements, and the querysets they came from."""
    get()  # the first one warms caches and imports
    statements, querysets = _asked_by(get)

    def statements_again() -> None:
        with connection.cursor() as cursor:
            for sql, params in statements:
                cursor.execute(sql, params)
                cursor.fetchall()

    def querysets_again() -> None:
        for queryset in querysets:
            list(queryset.all())

    return {
        name: timed(get),
        f"{name} statements": timed(statements_again, times=3),
        f"{name} querysets": timed(querysets_again, times=3),
    }


def _asked_by(get: Callable[[], Any]) -> tuple[list[tuple[str, Any]], list[QuerySet[Any]]]:
    statements: list[tuple[str, Any]] = []
    querysets: list[QuerySet[Any]] = []

    def listen(execute: Any, sql: str, params: Any, many: Any, context: Any) -> Any:
        if sql.lstrip().upper().startswith("SELECT"):
            statements.append((sql, params))
        return execute(sql, params, many, context)

    with _noted(querysets), connection.execute_wrapper(listen):
        get()
    return statements, querysets


@contextmanager
def _noted(querysets: list[QuerySet[Any]]) -> Iterator[None]:
    """Keeps a copy of every queryset that is evaluated, without what it prefetches: those are querysets of their own."""
    fetch = QuerySet._fetch_all  # type: ignore[attr-defined]

    def noting(queryset: Any) -> None:
        if queryset._result_cache is None:
            copy = queryset._chain()
            copy._prefetch_related_lookups = ()
            querysets.append(copy)
        fetch(queryset)

    with patch.object(QuerySet, "_fetch_all", noting):
        yield
