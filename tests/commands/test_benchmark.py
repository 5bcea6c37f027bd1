"""What the benchmark makes of the seconds it is told; the seconds themselves are for people to judge."""

from __future__ import annotations

from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from enclosures.management.commands import benchmark
from enclosures.management.measuring import _asked_by
from enclosures.models import Enclosure, Facility


class Numbering:
    """Answers with the number of the question, and notes it."""

    def __init__(self, name: int, asked: list[tuple[int, str]]) -> None:
        self.name, self.asked = name, asked

    def take(self, task: str) -> float:
        self.asked.append((self.name, task))
        return float(len(self.asked))


def test_tasks_and_facilities_take_turns_and_the_first_round_is_not_counted() -> None:
    asked: list[tuple[int, str]] = []
    facilities: Any = {years: Numbering(years, asked) for years in (1, 10)}
    times = benchmark._measured(facilities, slow_rounds=1, fast_rounds=3)
    n_slow = 2 * len(benchmark.SLOW) * 2
    assert asked[:4] == [
        (1, benchmark.SLOW[0]),
        (10, benchmark.SLOW[0]),
        (1, benchmark.SLOW[1]),
        (10, benchmark.SLOW[1]),
    ]
    assert {task: len(found) for task, found in times[1].items()} == {
        **dict.fromkeys(benchmark.SLOW, 1),
        **dict.fromkeys(benchmark.FAST, 3),
    }
    assert times[10][benchmark.FAST[0]][0] == n_slow + 2 * len(benchmark.FAST) + 2


def test_a_ratio_is_the_median_of_pairs_so_that_one_slow_moment_counts_for_nothing() -> None:
    out = StringIO()
    benchmark.Command(stdout=out)._line("page / queries", [3.0, 300.0, 4.0], [1.0, 100.0, 2.0], 3)
    assert out.getvalue().split() == ["page", "/", "queries", "3.00", "aim", "3"]


def test_everything_that_is_set_against_something_is_measured() -> None:
    measured = {*benchmark.SLOW, *benchmark.FAST}
    assert {name for ratio in benchmark.RATIOS for name in ratio[:2]} == measured
    assert {name for name, *_ in benchmark.OVER_YEARS} <= measured


@pytest.mark.django_db
def test_it_never_measures_among_records(facility: Any) -> None:
    with pytest.raises(CommandError, match="holds records"):
        call_command("benchmark", "--inside", "1", "1")
    with pytest.raises(CommandError, match="at least one year"):
        call_command("benchmark", "--years", "0")


@pytest.mark.django_db
def test_a_pages_own_queries_are_the_ones_it_asked(facility: Any) -> None:
    Enclosure.objects.create(facility=facility, code="P1", kind="pond", water_volume_l=100)

    def page() -> None:
        list(Facility.objects.prefetch_related("enclosures"))
        Enclosure.objects.get(code="P1")

    statements, querysets = _asked_by(page)
    assert len(statements) == len(querysets) == 3
    assert [type(row).__name__ for queryset in querysets for row in queryset.all()] == [
        "Facility",
        "Enclosure",
        "Enclosure",
    ]
