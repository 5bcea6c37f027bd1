"""What else is due on the round: jobs that have a rhythm of their own there, from their own past; nothing in the winter rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from enclosures.boards.round_facts import PlaceFacts
from enclosures.models import (
    Cleanout,
    Filter,
    FilterKind,
    FlowCheck,
    Measurement,
    Reading,
    Sounding,
    Upkeep,
    UpkeepKind,
    WaterChange,
)
from enclosures.verdicts.rhythm import due_again
from enclosures.verdicts.words import day_words, kept_together

BACK_DAYS = 200
COLD_C = 12.0  # as for working windows: below it a pond's filter is left be


@dataclass(frozen=True, kw_only=True, slots=True)
class DueJob:
    """`page` is the address name of its form, `code` the enclosure's or filter's; `since` says when it was last done."""

    label: str
    since: str
    page: str
    code: str

    @property
    def words(self) -> str:
        return f"{self.label}, {self.since}"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Job:
    label: str
    page: str
    least: int
    most: int
    days: dict[Any, list[date]]
    is_of_filter: bool = False
    in_cold: bool = True
    at_least_every: int | None = None  # days: due after so long even where it was never a habit


def load_due(facts: Iterable[PlaceFacts], *, day: date) -> dict[int, tuple[DueJob, ...]]:
    """By enclosure id. A constant number of queries."""
    awake = [each for each in facts if each.season is None and each.animals]
    places = [each.place.pk for each in awake]
    filters: dict[int, list[Filter]] = defaultdict(list)
    for one in Filter.objects.in_use_on(day).filter(enclosure__in=places).order_by("code"):
        filters[one.enclosure_id].append(one)
    jobs = _jobs(awake, places, day=day)
    return {each.place.pk: tuple(_due_at(each, filters[each.place.pk], jobs, day=day)) for each in awake}


def _due_at(each: PlaceFacts, filters: list[Filter], jobs: list[_Job], *, day: date) -> Iterable[DueJob]:
    is_cold = each.water is not None and each.water[1] < COLD_C
    for job in jobs:
        if is_cold and not job.in_cold:
            continue
        for subject in filters if job.is_of_filter else [each.place]:
            done = job.days.get(subject.pk, [])
            if due_again(done, day, least=job.least, most=job.most) or _is_long_ago(job, subject, done, day=day):
                since = kept_together(f"last {day_words(max(done), day)}") if done else "not in the last half year"
                yield DueJob(label=job.label, since=since, page=job.page, code=subject.code)


def _is_long_ago(job: _Job, subject: Any, done: list[date], *, day: date) -> bool:
    """A void fills whether or not somebody has made a habit of looking; a filter is not asked for before it has run so long."""
    if job.at_least_every is None or subject.kind != FilterKind.UPFLOW:
        return False
    last = max(done, default=subject.commissioned_on)
    return last is None or (day - last).days >= job.at_least_every


def _jobs(awake: list[PlaceFacts], places: list[int], *, day: date) -> list[_Job]:
    since = day - timedelta(days=BACK_DAYS)
    here: dict[str, Any] = {"occurred_on__gte": since, "occurred_on__lt": day + timedelta(days=1)}
    of = {**here, "enclosure__in": places}
    on = {**here, "filter__enclosure__in": places}
    tests = Reading.objects.filter(
        **{f"test__{name}": value for name, value in of.items()},
        test__withdrawn=False,
        test__superseded_by__isnull=True,
    ).exclude(analyte="temperature")
    lives_in = {animal.pk: each.place.pk for each in awake for animal in each.animals}
    weighed = Measurement.objects.filter(**here, animal__in=lives_in, mass_g__isnull=False)
    by_animal = weighed.values_list("animal_id", "occurred_on").distinct()
    rinsed = Upkeep.objects.filter(**on, kind__in=[UpkeepKind.SCREEN, UpkeepKind.SPONGE])
    depths = _days(Sounding.objects.filter(**on), "filter_id")
    for subject, days in _days(Cleanout.objects.filter(**on), "filter_id").items():
        depths[subject] += days
    return [
        _Job(label="Water test", page="log-water-test", least=5, most=45, days=_days(tests, "test__enclosure_id", "test__")),
        _Job(label="Water change", page="log-water-change", least=5, most=45,
             days=_days(WaterChange.objects.filter(**of), "enclosure_id")),
        _Job(label="Weighing", page="weigh-animals", least=6, most=100,
             days=_grouped((lives_in[animal], on) for animal, on in by_animal)),
        _Job(label="Rinse the prefilter", page="log-upkeep", least=2, most=30, days=_days(rinsed, "filter_id"),
             is_of_filter=True),
        _Job(label="Flow", page="log-flow", least=5, most=60, days=_days(FlowCheck.objects.filter(**on), "filter_id"),
             is_of_filter=True, in_cold=False),
        _Job(label="Sounding", page="log-sounding", least=28, most=60, days=depths, is_of_filter=True, in_cold=False,
             at_least_every=60),
    ]  # fmt: skip


def _days(rows: QuerySet[Any], subject: str, path: str = "") -> dict[int, list[date]]:
    return _grouped(rows.order_by().values_list(subject, f"{path}occurred_on").distinct())


def _grouped(pairs: Iterable[tuple[int, date]]) -> dict[int, list[date]]:
    days: dict[int, list[date]] = defaultdict(list)
    for subject, on in pairs:
        days[subject].append(on)
    return days
