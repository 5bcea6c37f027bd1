"""Water tests of one enclosure over twelve months: the last few as a table, each value a line, every reading as it was read.

Values stand on one basis (mg/L as N, as NO₃, as CaCO₃); where a kit ran out its sign stays and the raw reading stands under it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, NamedTuple

from django.db.models import QuerySet

from enclosures.boards.entry_words import DECIMALS, raw_unit, sign_and, when_said
from enclosures.estimates.units import as_recorded
from enclosures.figures.sparkline import sparkline_svg
from enclosures.figures.water_tests import WaterMark, water_tests
from enclosures.models import Analyte, Enclosure, Place, Reading, TestKit, WaterTest
from enclosures.verdicts.limits import LIMITS, WaterLimit
from enclosures.verdicts.words import NBSP, day_words, kept_together

BACK_DAYS = 365
TESTS_SHOWN = 5
ORDER = ("temperature", "ph", "tan", "nitrite", "nitrate", "kh", "do", "chlorine", "salinity")


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    analyte: str
    label: str
    unit: str
    spark: str
    look: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """`level` is "look" or "act" past those lines, else empty; `raw` the reading as read where the figure hides something."""

    text: str
    level: str = ""
    raw: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TestRow:
    iso: str
    when: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class RawRow:
    iso: str
    when: str
    what: str
    as_read: str
    kit: str
    counted: str
    who: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterBoard:
    columns: tuple[Column, ...]
    rows: tuple[TestRow, ...]
    series: tuple[tuple[str, tuple[tuple[date, float, str], ...]], ...]  # analyte -> (day, value, qualifier)
    last_test_on: date | None
    has_sign: bool  # a kit ran out somewhere in the table

    @property
    def is_empty(self) -> bool:
        return not self.columns


def build_how_the_water_is(*, enclosure: Enclosure, today: date) -> WaterBoard:
    """Two queries: plain rows for the lines of the year, and the tests of the table."""
    readings = _year(enclosure, today=today)
    series: dict[str, list[tuple[date, float, str]]] = defaultdict(list)
    for reading in readings:
        if reading.canonical is not None:
            series[reading.analyte].append((reading.on, reading.canonical, reading.qualifier))
    seen = {reading.analyte for reading in readings}
    shown = [analyte for analyte in ORDER if analyte in seen]
    rows = _rows(readings, shown, enclosure=enclosure, today=today)
    return WaterBoard(
        columns=tuple(_column(analyte, series[analyte], enclosure=enclosure) for analyte in shown),
        rows=rows,
        series=tuple((analyte, tuple(series[analyte])) for analyte in shown if series[analyte]),
        last_test_on=max((r.on for r in readings if r.analyte != Analyte.TEMPERATURE), default=None),
        has_sign=any(cell.raw for row in rows for cell in row.cells),
    )


class _Read(NamedTuple):
    """One reading of the year."""

    test_id: int
    on: date
    analyte: str
    value: float
    qualifier: str
    unit: str
    expressed_as: str
    canonical: float | None


def _year(enclosure: Enclosure, *, today: date) -> list[_Read]:
    tests = _tests(enclosure, today=today).exclude(place=Place.SOURCE)
    rows = Reading.objects.filter(test__in=tests).order_by("test__occurred_at", "test_id", "position")
    columns = ("test_id", "test__occurred_on", "analyte", "value", "qualifier", "unit", "expressed_as", "canonical")
    return [_Read(*row) for row in rows.values_list(*columns)]


def _tests(enclosure: Enclosure, *, today: date) -> QuerySet[WaterTest]:
    """Those of twelve months; the instant, a day earlier than it can be, is there for the index."""
    after = today - timedelta(days=BACK_DAYS)
    earliest = datetime.combine(after, time(), tzinfo=UTC) - timedelta(days=1)
    return WaterTest.objects.filter(enclosure=enclosure, occurred_on__gt=after, occurred_at__gte=earliest)


def limit_of(analyte: str, *, enclosure: Enclosure) -> WaterLimit | None:
    """Ponds follow the season: outdoors no temperature line is set."""
    return None if analyte == Analyte.TEMPERATURE and not enclosure.indoor else LIMITS.get(analyte)


def _column(analyte: str, values: list[tuple[date, float, str]], *, enclosure: Enclosure) -> Column:
    known, limit = LIMITS.get(analyte), limit_of(analyte, enclosure=enclosure)
    looks = [line for line in (limit.look_low, limit.look_high) if line is not None] if limit else []
    return Column(
        analyte=analyte,
        label=known.label if known else Analyte(analyte).label.capitalize(),
        unit=known.unit if known else "g/L",
        spark=sparkline_svg(_by_day(values), analyte=analyte, look_lines=looks),
        look=re.sub(r"(?<=[<>≥]) ", NBSP, limit.look_words) if limit else "–",
    )


def _by_day(values: list[tuple[date, float, str]]) -> list[tuple[date, float]]:
    """One value a day, the mean of that day's."""
    days: dict[date, list[float]] = defaultdict(list)
    for day, value, _ in values:
        days[day].append(value)
    return [(day, sum(found) / len(found)) for day, found in sorted(days.items())]


def _rows(readings: list[_Read], shown: list[str], *, enclosure: Enclosure, today: date) -> tuple[TestRow, ...]:
    """The last tests of more than the temperature; their day's temperature stands in its column though read apart."""
    by_test: dict[int, list[_Read]] = defaultdict(list)
    temp_on: dict[date, _Read] = {}
    for reading in readings:
        by_test[reading.test_id].append(reading)
        if reading.analyte == Analyte.TEMPERATURE:
            temp_on[reading.on] = reading
    full = [found for found in by_test.values() if any(r.analyte != Analyte.TEMPERATURE for r in found)]
    latest = (full or list(by_test.values()))[-TESTS_SHOWN:]
    tests = WaterTest.objects.in_bulk([found[0].test_id for found in latest])
    rows = []
    for found in reversed(latest):
        test = tests[found[0].test_id]
        own = {reading.analyte: reading for reading in found}
        if Analyte.TEMPERATURE not in own and test.occurred_on in temp_on:
            own[Analyte.TEMPERATURE] = temp_on[test.occurred_on]
        rows.append(
            TestRow(
                iso=test.moment.text(),
                when=kept_together(day_words(test.occurred_on, today)),
                cells=tuple(_cell(own.get(analyte), analyte, enclosure=enclosure) for analyte in shown),
            )
        )
    return tuple(rows)


def _cell(reading: _Read | None, analyte: str, *, enclosure: Enclosure) -> Cell:
    if reading is None:
        return Cell(text="–")
    as_read = kept_together(f"{sign_and(reading.qualifier, as_recorded(reading.value))} {raw_unit(reading)}".strip())
    if reading.canonical is None:
        return Cell(text="?", raw=f"{as_read}, basis not noted")
    figure = sign_and(reading.qualifier, f"{reading.canonical:.{DECIMALS[analyte]}f}")
    limit = limit_of(analyte, enclosure=enclosure)
    level = limit.level(reading.canonical, reading.qualifier) if limit else "ok"  # type: ignore[arg-type]
    return Cell(
        text=kept_together(figure.replace(" ", "\u00a0")),
        level=level if level in ("look", "act") else "",
        raw=f"{as_read} as read" if reading.qualifier and _differs(reading) else "",
    )


def _differs(reading: _Read) -> bool:
    return reading.canonical is not None and abs(reading.canonical - reading.value) > 0.005


def _raw(reading: Reading, names: dict[str, str], *, today: date) -> RawRow:
    known = LIMITS.get(reading.analyte)
    label = known.label if known else reading.get_analyte_display()
    if reading.canonical is None:
        counted = "not counted: basis not noted"
    else:
        figure = sign_and(reading.qualifier, f"{reading.canonical:.{DECIMALS[reading.analyte]}f}")
        counted = f"{figure} {known.unit if known else 'g/L'}".strip()
    return RawRow(
        iso=reading.test.moment.text(),
        when=when_said(reading.test.moment, today),
        what=label,
        as_read=kept_together(f"{sign_and(reading.qualifier, as_recorded(reading.value))} {raw_unit(reading)}".strip()),
        kit=names.get(reading.kit) or reading.kit or "–",
        counted=kept_together(counted),
        who=reading.test.entered_by,
    )


def build_readings_as_read(*, enclosure: Enclosure, today: date) -> tuple[RawRow, ...]:
    """Every reading of twelve months with its kit and basis, newest first. Two queries; made only when somebody asks for it."""
    tests = _tests(enclosure, today=today)
    readings = (
        Reading.objects.filter(test__in=tests.exclude(place=Place.SOURCE))
        .select_related("test")
        .order_by("-test__occurred_at", "-test_id", "position")
    )
    names = dict(TestKit.objects.values_list("code", "name"))
    return tuple(_raw(reading, names, today=today) for reading in readings)


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterChart:
    """All readings of twelve months as strips, plain JSON for the page's script."""

    figure: dict[str, Any]
    is_empty: bool


def build_water_chart(*, enclosure: Enclosure, today: date) -> WaterChart:
    """One query; made only when somebody asks for it."""
    tests = _tests(enclosure, today=today)
    readings = (
        Reading.objects.filter(test__in=tests.exclude(place=Place.SOURCE), canonical__isnull=False)
        .order_by("test__occurred_at", "test_id", "position")
        .values_list("test__occurred_on", "analyte", "canonical", "qualifier")
    )
    marks = [WaterMark(on=on, analyte=analyte, value=value, qualifier=sign) for on, analyte, value, sign in readings]
    return WaterChart(figure=water_tests(marks, today=today, is_indoor=enclosure.indoor), is_empty=not marks)
