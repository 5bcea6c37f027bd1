"""How long things take, as ratios to a bare run of the same work on the same machine in the same minute; people judge the figures.

Every ratio is the median of pairs: what is measured and what it is measured against take turns, and facilities of different ages
too, so that a busy machine slows both. A page is set against its own queries in two ways. "Statements" sends the same SQL once
more and fetches the rows as the database has them; on small tables that is a few milliseconds of C, and turning a query into SQL
takes Django ten times as long, so no page it makes comes near. "Querysets" evaluates the same querysets once more: what the
page's data costs before anything is thought, drawn or written. The aim for pages stands against the latter; both are printed.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from collections import defaultdict
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO, Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

# measured, against, what it is called, aim (None: only told)
RATIOS = (
    ("forecast", "bare run", "one forecast / one bare run of its particles", 15),
    ("answer", "bare run", "first answer after a sounding / one bare run", None),
    ("board", "board querysets", "filters board / its own querysets alone", 3),
    ("board", "board statements", "filters board / its own statements alone", None),
    ("dashboard", "dashboard querysets", "dashboard / its own querysets alone", 3),
    ("dashboard", "dashboard statements", "dashboard / its own statements alone", None),
    ("feeding", "empty view", "logging a feeding / an empty view", 15),
    ("package", "dump", "package of all records / a bare dump of their rows", 5),
)
OVER_YEARS = (("board", "filters board", 1.2), ("dashboard", "dashboard", 1.2), ("feeding", "logging a feeding", 1.2))
SLOW = ("bare run", "forecast", "answer", "package", "dump")
FAST = (
    "board", "board querysets", "board statements", "dashboard", "dashboard querysets", "dashboard statements",
    "feeding", "empty view",
)  # fmt: skip
Times = dict[str, list[float]]


class Command(BaseCommand):
    help = (
        "Print how long forecast, pages, a logged feeding and a package take, as ratios. Uses scratch databases only."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--years", type=int, nargs="+", help="years of records (default 1 10)")
        parser.add_argument("--quick", action="store_true", help="a small facility of 1 and 3 years, fewer rounds")
        parser.add_argument(
            "--inside", type=int, nargs=2, help="answer in this database, which must be empty (used by itself)"
        )

    def handle(
        self, *args: Any, years: list[int] | None, quick: bool, inside: list[int] | None, **options: Any
    ) -> None:
        if inside is not None:
            self._answer(*inside)
            return
        n_filters = 2 if quick else 8
        ages = sorted(set(years or ([1, 3] if quick else [1, 10])))
        if ages[0] < 1:
            raise CommandError("A facility needs at least one year.")
        with ExitStack() as stack:
            facilities = {}
            for n_years in ages:
                self.stderr.write(f"A facility of {n_filters} filters with {n_years} year(s) of records …")
                facilities[n_years] = stack.enter_context(_facility(n_filters, n_years))
            self.stderr.write("Measuring …")
            times = _measured(facilities, slow_rounds=2 if quick else 5, fast_rounds=7 if quick else 25)
            self._print(times, {n_years: each.n_meals for n_years, each in facilities.items()})

    def _answer(self, n_filters: int, n_years: int) -> None:
        from enclosures.management.measuring import answer_tasks
        from enclosures.models import Facility

        call_command("migrate", verbosity=0, interactive=False)
        if Facility.objects.exists():
            raise CommandError("This database holds records; the benchmark measures in an empty one only.")
        answer_tasks(n_filters=n_filters, n_years=n_years, asked=sys.stdin, said=sys.stdout)

    def _print(self, times: dict[int, Times], n_meals: dict[int, int]) -> None:
        for n_years, own in times.items():
            self.stdout.write(f"\n{n_years} year(s) of records, {n_meals[n_years]} meals")
            for name, against, words, aim in RATIOS:
                self._line(words, own[name], own[against], aim)
            told = ", ".join(f"{name} {1000 * statistics.median(own[name]):.1f} ms" for name in (*SLOW, *FAST))
            self.stdout.write(f"  {told}")
        first, *later = times
        for n_years in later:
            self.stdout.write(f"\n{n_years} years / {first} year(s)")
            for name, words, aim in OVER_YEARS:
                self._line(words, times[n_years][name], times[first][name], aim)

    def _line(self, what: str, measured: list[float], against: list[float], aim: float | None) -> None:
        ratio = statistics.median(a / b for a, b in zip(measured, against, strict=True))
        self.stdout.write(f"  {what:<52} {ratio:7.2f}" + (f"   aim {aim:g}" if aim is not None else ""))


class _Facility:
    """A process of its own on a database of its own, so that nobody's records are touched; it times what it is asked to."""

    def __init__(self, process: subprocess.Popen[str], errors: IO[str]) -> None:
        self.process, self.errors = process, errors
        self.n_meals = int(self._answered())

    def take(self, task: str) -> float:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{task}\n")
        self.process.stdin.flush()
        return float(self._answered())

    def _answered(self) -> str:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            self.errors.seek(0)
            said = self.errors.read().strip().splitlines()
            raise CommandError(said[-1] if said else "The measuring run failed.")
        return line


@contextmanager
def _facility(n_filters: int, n_years: int) -> Iterator[_Facility]:
    with (
        tempfile.TemporaryDirectory(prefix="benchmark-") as folder,
        tempfile.TemporaryFile("w+") as errors,
    ):
        scratch = {"DATABASE_URL": f"sqlite:///{Path(folder) / 'scratch.sqlite3'}", "DEBUG": "0", "BEHIND_TLS": "0"}
        process = subprocess.Popen(
            [sys.executable, sys.argv[0], "benchmark", "--inside", str(n_filters), str(n_years)],
            env={**os.environ, **scratch},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
        )
        try:
            yield _Facility(process, errors)
        finally:
            process.kill()
            process.communicate()


def _measured(facilities: dict[int, _Facility], *, slow_rounds: int, fast_rounds: int) -> dict[int, Times]:
    """Seconds by years and task, one figure a round; tasks and facilities take turns. The first round only warms up."""
    times: dict[int, Times] = {n_years: defaultdict(list) for n_years in facilities}
    for tasks, rounds in ((SLOW, slow_rounds), (FAST, fast_rounds)):
        for number in range(-1, rounds):
            for task in tasks:
                for n_years, facility in facilities.items():
                    took = facility.take(task)
                    if number >= 0:
                        times[n_years][task].append(took)
    return times
