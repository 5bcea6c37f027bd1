"""What all charts share. Colours are CSS custom properties by name ("var(--sludge)"): the page's script puts in the values of the scheme
in force, so a chart follows day and night like the rest of the page.

Charts are SVG traces only (no WebGL under a strict policy), small enough to send with the page, and never offer to upload anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import MONTHS

PLOTLY_CONFIG: dict[str, Any] = {
    "showSendToCloud": False,
    "showEditInChartStudio": False,
    "plotlyServerURL": "",
    "displaylogo": False,
    "displayModeBar": False,
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": False,
    "modeBarButtonsToRemove": ["sendDataToCloud", "lasso2d", "select2d", "zoom2d", "pan2d", "autoScale2d"],
}
MOST_POINTS = 800
NO_TEMPLATE: dict[str, Any] = {"data": {"scatter": [{"type": "scatter"}]}}  # plotly's own "none"

INK, INK_2, INK_3 = "var(--ink)", "var(--ink-2)", "var(--ink-3)"
PAPER, SHADE = "var(--paper)", "var(--shade)"
RULE, RULE_STRONG = "var(--rule)", "var(--rule-strong)"
WATER = "var(--water)"
SLUDGE, SLUDGE_PALE, SLUDGE_LINE = "var(--sludge)", "var(--sludge-pale)", "var(--sludge-line)"
FONT = "var(--narrow)"

WIDE_ONLY = "wide"  # name of annotations that have no room on a phone


def finished(
    data: Sequence[dict[str, Any]], layout: dict[str, Any], *, height: int, margin: dict[str, int] | None = None
) -> dict[str, Any]:
    """Layout all charts share, and the figure as plain JSON: data, layout and config."""
    shared: dict[str, Any] = {
        "template": NO_TEMPLATE,
        "height": height,
        "margin": margin or {"l": 48, "r": 112, "t": 18, "b": 40},
        "font": {"family": FONT, "size": 13, "color": INK_2},
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "showlegend": False,
        "hovermode": "closest",
        "hoverlabel": {"bgcolor": PAPER, "bordercolor": RULE_STRONG, "font": {"color": INK, "size": 13}},
        "dragmode": False,
    }
    own = {
        name: {**value, "fixedrange": True} if name.startswith(("xaxis", "yaxis")) else value
        for name, value in {"xaxis": {}, "yaxis": {}, **layout}.items()
    }
    return {"data": list(data), "layout": {**own, **shared}, "config": PLOTLY_CONFIG}


def scatter(**said: Any) -> dict[str, Any]:
    """One trace of points or lines, by plotly's own names. Written down rather than built: the library's objects check every
    value anew for each page, which took longer than the page's queries; the tests let the library check them instead."""
    return {"type": "scatter", **said}


def date_axis(first: date, last: date) -> dict[str, Any]:
    """A time axis with ticks on the first of months, the year said once a year."""
    ticks = date_ticks(first, last)
    return {
        "type": "date",
        "range": [first.isoformat(), last.isoformat()],
        "tickmode": "array",
        "tickvals": [day.isoformat() for day, _ in ticks],
        "ticktext": [words for _, words in ticks],
        "showgrid": False,
        "zeroline": False,
        "linecolor": RULE_STRONG,
        "ticks": "outside",
        "ticklen": 5,
        "tickcolor": RULE_STRONG,
        "tickangle": 0,
    }


def date_ticks(first: date, last: date, *, most: int = 13) -> list[tuple[date, str]]:
    """Firsts of months, every 1, 3, 6 or 12 months so that at most `most` stand in the range."""
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    every = next((step for step in (1, 3, 6, 12) if months / step <= most), 12 * -(-months // (12 * most)))
    start = first.year * 12 + first.month - 1
    found: list[tuple[date, str]] = []
    for number in range(start - start % every, last.year * 12 + last.month, every):
        day = date(number // 12, number % 12 + 1, 1)
        if not first <= day <= last:
            continue
        has_year = not found or day.year != found[-1][0].year
        found.append((day, f"{MONTHS[day.month - 1]} {day.year}" if has_year else MONTHS[day.month - 1]))
    return found


def value_axis(*, title: str = "", is_from_zero: bool = True) -> dict[str, Any]:
    named = {"title": {"text": title, "standoff": 6, "font": {"size": 13}}} if title else {}
    return {
        **named,
        "rangemode": "tozero" if is_from_zero else "normal",
        "gridcolor": RULE,
        "zeroline": False,
        "ticks": "",
        "nticks": 5,
    }


def upright(day: date, *, colour: str, name: str, dash: str = "solid", width: float = 1.5) -> dict[str, Any]:
    """A vertical line through the whole chart."""
    at = day.isoformat()
    line = {"color": colour, "width": width, "dash": dash}
    return {
        "type": "line",
        "xref": "x",
        "yref": "paper",
        "x0": at,
        "x1": at,
        "y0": 0,
        "y1": 1,
        "line": line,
        "name": name,
    }


def rest_boxes(rests: Iterable[Span], first: date, last: date) -> list[dict[str, Any]]:
    """Winter rests within a range of days, as a quiet ground behind the lines."""
    boxes = []
    for start, end in rests_within(rests, first, last):
        box = {"x0": start.isoformat(), "x1": end.isoformat(), "xref": "x", "yref": "paper", "y0": 0, "y1": 1}
        look = {"fillcolor": SHADE, "opacity": 0.75, "line": {"width": 0}, "layer": "below", "name": "rest"}
        boxes.append({"type": "rect", **box, **look})
    return boxes


def rests_within(rests: Iterable[Span], first: date, last: date) -> list[tuple[date, date]]:
    cut = [(max(span.from_on, first), min(span.to_on or last, last)) for span in rests]
    return [(start, end) for start, end in cut if start < end]


def beside(text: str, *, y: float, colour: str = INK_2, yref: str = "y", is_bold: bool = False) -> dict[str, Any]:
    """Words in the right margin, level with a value; a phone has no room for them.

    Bold is a font weight: bold tags would become inline styles, which a strict policy refuses.
    """
    return {
        "text": text,
        "xref": "paper",
        "x": 1,
        "xanchor": "left",
        "xshift": 8,
        "yref": yref,
        "y": y,
        "yanchor": "middle",
        "showarrow": False,
        "font": {"color": colour, "size": 13, "weight": "bold" if is_bold else "normal"},
        "name": WIDE_ONLY,
    }


def decimated(points: Sequence[tuple[date, float]], *, most: int = MOST_POINTS) -> list[tuple[date, float]]:
    """At most `most` points of a series, sorted by day: first and last, and the lowest and highest of each stretch between."""
    if len(points) <= most:
        return list(points)
    stretches = (most - 2) // 2
    inner = points[1:-1]
    kept: list[tuple[date, float]] = [points[0]]
    for i in range(stretches):
        stretch = inner[i * len(inner) // stretches : (i + 1) * len(inner) // stretches]
        if stretch:
            low, high = min(stretch, key=lambda p: p[1]), max(stretch, key=lambda p: p[1])
            kept += sorted({low, high}, key=lambda p: p[0])
    return [*kept, points[-1]]


def day_text(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def span_of(days: Iterable[date], *, today: date, least_days: int = 90) -> tuple[date, date]:
    """From the first to the last day, at least three months, so that one reading does not fill the chart."""
    known = list(days)
    first, last = (min(known), max([*known, today])) if known else (today, today)
    return min(first, last - timedelta(days=least_days)), last + timedelta(days=4)
