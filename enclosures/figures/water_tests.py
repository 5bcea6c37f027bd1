"""Water tests over time, one strip an analyte, each with its own scale and look line. Readings beyond the kit are open arrows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from enclosures.figures import theme
from enclosures.figures.sparkline import SCALES
from enclosures.verdicts.limits import LIMITS, Qualifier, WaterLimit

STRIP_PX, GAP_PX, EDGE_PX = 92, 30, 46
ORDER = ("temperature", "ph", "tan", "nitrite", "nitrate", "kh", "do", "chlorine", "salinity")
UNITS = {"salinity": ("Salinity", "g/L")}


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterMark:
    """One reading in canonical units (see verdicts/limits.py)."""

    on: date
    analyte: str
    value: float
    qualifier: Qualifier = ""
    place: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterRow:
    """One test day of the table: analyte -> '0.05', '> 8'."""

    on: date
    values: Mapping[str, str]


def water_tests(
    marks: Sequence[WaterMark], *, today: date, limits: Mapping[str, WaterLimit] = LIMITS, is_indoor: bool = True
) -> dict[str, Any]:
    """Small multiples as plain JSON. Analytes without a reading have no strip."""
    shown = analytes_in(marks)
    first, last = theme.span_of([mark.on for mark in marks], today=today)
    height = 2 * EDGE_PX + max(1, len(shown)) * (STRIP_PX + GAP_PX)
    inner = height - 2 * EDGE_PX
    data: list[dict[str, Any]] = []
    layout: dict[str, Any] = {"xaxis": theme.date_axis(first, last), "shapes": [], "annotations": []}
    most = theme.MOST_POINTS // max(1, len(shown))
    for i, analyte in enumerate(shown):
        axis = "" if i == 0 else str(i + 1)
        top = 1 - i * (STRIP_PX + GAP_PX) / inner
        own = [mark for mark in marks if mark.analyte == analyte]
        limit = limits.get(analyte)
        looks = _look_lines(limit, is_judged=analyte != "temperature" or is_indoor)
        layout[f"yaxis{axis}"] = {
            **theme.value_axis(is_from_zero=False),
            "domain": [max(0.0, top - STRIP_PX / inner), min(1.0, top)],
            "range": _range(analyte, own, looks),
            "nticks": 4,
        }
        layout["annotations"].append(_title(analyte, limit, top))
        layout["shapes"] += [_look_line(line, f"y{axis}") for line in looks]
        layout["annotations"] += [theme.beside(f"look {line:g}", y=line, yref=f"y{axis}") for line in looks]
        data += _traces(own, limit, f"y{axis}", most=most)
    bottom = "y" if len(shown) <= 1 else f"y{len(shown)}"
    layout["xaxis"]["anchor"] = bottom
    return theme.finished(data, layout, height=height, margin={"l": 52, "r": 96, "t": EDGE_PX, "b": EDGE_PX})


def analytes_in(marks: Sequence[WaterMark]) -> list[str]:
    """The analytes that were read, in the order of the table."""
    found = {mark.analyte for mark in marks}
    return [analyte for analyte in ORDER if analyte in found] + sorted(found - set(ORDER))


def _look_lines(limit: WaterLimit | None, *, is_judged: bool) -> list[float]:
    """Ponds follow the season: their temperature has no look line."""
    if limit is None or not is_judged:
        return []
    return [line for line in (limit.look_low, limit.look_high) if line is not None]


def _range(analyte: str, marks: Sequence[WaterMark], looks: Sequence[float]) -> list[float]:
    values = [mark.value for mark in marks]
    low, high = SCALES.get(analyte, (0.0, 0.0))
    low, high = min([low, *values]), max([high, *values, *looks])
    room = 0.08 * ((high - low) or 1.0)
    return [low - (room if low != 0 else 0), high + room]


def _title(analyte: str, limit: WaterLimit | None, top: float) -> dict[str, Any]:
    label, unit = (limit.label, limit.unit) if limit else UNITS.get(analyte, (analyte, ""))
    words = f"{label}, {unit}" if unit else label
    at = {"xref": "paper", "x": 0, "xanchor": "left", "yref": "paper", "y": top, "yanchor": "bottom", "yshift": 2}
    return {
        "text": words,
        **at,
        "showarrow": False,
        "font": {"color": theme.INK, "size": 13, "weight": "bold"},
        "name": "title",
    }


def _look_line(line: float, yref: str) -> dict[str, Any]:
    across = {"xref": "paper", "x0": 0, "x1": 1, "yref": yref, "y0": line, "y1": line}
    return {"type": "line", **across, "line": {"color": theme.INK_3, "width": 1, "dash": "3px,3px"}, "name": "look"}


def _traces(marks: Sequence[WaterMark], limit: WaterLimit | None, yaxis: str, *, most: int) -> list[dict[str, Any]]:
    unit = limit.unit if limit else ""
    points = theme.decimated([(mark.on, mark.value) for mark in marks], most=max(20, most // 2))
    kept = set(points)
    line = theme.scatter(
        x=[day.isoformat() for day, _ in points],
        y=[value for _, value in points],
        mode="lines",
        line={"color": theme.WATER, "width": 1.6},
        hoverinfo="skip",
        yaxis=yaxis,
        meta="water",
    )
    traces = [line]
    for qualifier, symbol, meta in (
        ("", "circle", "water reading"),
        (">", "triangle-up-open", "water reading beyond kit"),
        ("<", "triangle-down-open", "water reading below kit"),
    ):
        own = [mark for mark in marks if mark.qualifier == qualifier and (mark.on, mark.value) in kept]
        if own:
            traces.append(_points(own, symbol, unit, yaxis, meta))
    return traces


def _points(marks: Sequence[WaterMark], symbol: str, unit: str, yaxis: str, meta: str) -> dict[str, Any]:
    is_open = symbol != "circle"
    return theme.scatter(
        x=[mark.on.isoformat() for mark in marks],
        y=[mark.value for mark in marks],
        mode="markers",
        marker={
            "symbol": symbol,
            "size": 10 if is_open else 5,
            "color": theme.WATER,
            "line": {"color": theme.WATER, "width": 1.6 if is_open else 0},
        },
        text=[f"{theme.day_text(mark.on)}: {value_words(mark)} {unit}".strip() for mark in marks],
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
        yaxis=yaxis,
        meta=meta,
    )


def value_words(mark: WaterMark) -> str:
    """'0.05', '> 8'."""
    decimals = {"temperature": 1, "ph": 1, "tan": 2, "nitrite": 2, "do": 1, "chlorine": 2, "salinity": 1}
    return f"{mark.qualifier} {mark.value:.{decimals.get(mark.analyte, 0)}f}".strip()


def water_test_rows(marks: Sequence[WaterMark]) -> tuple[WaterRow, ...]:
    """The same as a table, newest day first; the last reading of a day stands for it."""
    days: dict[date, dict[str, str]] = {}
    for mark in marks:
        days.setdefault(mark.on, {})[mark.analyte] = value_words(mark)
    return tuple(WaterRow(on=day, values=days[day]) for day in sorted(days, reverse=True))
