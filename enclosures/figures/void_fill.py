"""Fill of the void over time: what the rod showed, the likeliest line, the band it lies in eight times of ten, and what is ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any, Literal

from enclosures.figures import theme
from enclosures.forecast.inputs import Trace
from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import percent_words

HIGHEST = 1.12  # the axis ends a little over full; what lies above is drawn at its edge
AHEAD_DAYS = 365
MOST_LABELS = 14


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadingMark:
    """One sounding, or the depth before or after a cleanout. `fill` is depth / void height of that day's build."""

    on: date
    fill: float
    depth_mm: float | None = None
    kind: Literal["sounding", "before", "after"] = "sounding"
    qualifier: Literal["", ">=", "<="] = ""
    is_disputed: bool = False  # taken while signals disagreed: shown, never learnt from
    by: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class CleanoutMark:
    on: date
    outcome: Literal["full", "part", "attempted"] = "full"
    depth_before_mm: float | None = None
    is_before_at_grid: bool = False
    depth_after_mm: float | None = None
    void_height_mm: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidFillRow:
    """One line of the table under the chart, ready to print."""

    on: date
    what: str
    depth: str
    fill: str


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A run of the forecast without a fall in it: days, P10, P50, P90."""

    days: tuple[date, ...]
    low: tuple[float, ...]
    mid: tuple[float, ...]
    high: tuple[float, ...]
    is_ahead: bool


def void_fill(
    trace: Trace | None,
    *,
    readings: Sequence[ReadingMark] = (),
    cleanouts: Sequence[CleanoutMark] = (),
    rests: Sequence[Span] = (),
    due_fill: float = 0.7,
    today: date,
    ahead_days: int = AHEAD_DAYS,
) -> dict[str, Any]:
    """The chart as plain JSON (data, layout, config). Without a trace it shows the readings alone."""
    stretches = _stretches(trace, cleanouts, today=today, ahead_days=ahead_days)
    days = [day for stretch in stretches for day in stretch.days] + [mark.on for mark in readings]
    first, last = theme.span_of(days, today=today)
    data = [*map(_band, stretches), *map(_line, stretches), *_falls(stretches), *_readings(readings)]
    layout = {
        "xaxis": theme.date_axis(first, last),
        "yaxis": _fill_axis(),
        "shapes": _shapes(rests, first=first, last=last, due_fill=due_fill, today=today),
        "annotations": _annotations(stretches, rests, first=first, last=last, due_fill=due_fill, today=today),
    }
    return theme.finished(data, layout, height=320)


def _stretches(
    trace: Trace | None, cleanouts: Sequence[CleanoutMark], *, today: date, ahead_days: int
) -> list[_Stretch]:
    """The trace cut at cleanouts and at today; the line before a cleanout is drawn on to the day of it."""
    if trace is None or not trace.days:
        return []
    end = today + timedelta(days=ahead_days)
    rows = [
        (day, min(low, HIGHEST), min(mid, HIGHEST), min(high, HIGHEST), is_ahead)
        for day, low, mid, high, is_ahead in zip(
            trace.days, trace.p10, trace.p50, trace.p90, trace.is_ahead, strict=True
        )
        if day <= end
    ]
    rows = _thinned(rows)
    runs: list[list[tuple[date, float, float, float, bool]]] = [[rows[0]]] if rows else []
    for before, after in pairwise(rows):
        emptied = next((c.on for c in cleanouts if before[0] < c.on <= after[0]), None)
        if emptied is not None and after[2] < before[2]:
            runs[-1].append((emptied, *before[1:]))
            runs.append([after])
        elif after[4] != before[4]:  # today: the line ahead starts where the line behind ends
            runs.append([(*before[:4], after[4]), after])
        else:
            runs[-1].append(after)
    return [_stretch(run) for run in runs if len(run) > 1]


def _thinned(rows: list[Any], most: int = theme.MOST_POINTS // 4) -> list[Any]:
    """Band and line take four points a day: thin long traces evenly, keeping both ends."""
    if len(rows) <= most:
        return rows
    step = len(rows) / most
    return [*(rows[int(i * step)] for i in range(most - 1)), rows[-1]]


def _stretch(run: Sequence[tuple[date, float, float, float, bool]]) -> _Stretch:
    days, low, mid, high, ahead = zip(*run, strict=True)
    return _Stretch(days, low, mid, high, ahead[-1])


def _band(stretch: _Stretch) -> dict[str, Any]:
    days = [day.isoformat() for day in stretch.days]
    return theme.scatter(
        x=days + days[::-1],
        y=[*stretch.high, *stretch.low[::-1]],
        fill="toself",
        mode="lines",
        fillcolor=theme.SLUDGE_PALE,
        line={"color": theme.SLUDGE_LINE, "width": 0.9, "dash": "3px,3px" if stretch.is_ahead else "solid"},
        opacity=0.45 if stretch.is_ahead else 0.85,
        hoverinfo="skip",
        meta="band ahead" if stretch.is_ahead else "band",
    )


def _line(stretch: _Stretch) -> dict[str, Any]:
    return theme.scatter(
        x=[day.isoformat() for day in stretch.days],
        y=list(stretch.mid),
        mode="lines",
        line={"color": theme.SLUDGE, "width": 2.5, "dash": "dot" if stretch.is_ahead else "solid"},
        text=[
            f"{theme.day_text(day)}: about {percent_words(mid)} ({percent_words(low)[:-2]}–{percent_words(high)})"
            for day, low, mid, high in zip(stretch.days, stretch.low, stretch.mid, stretch.high, strict=True)
        ],
        hovertemplate="%{text}<extra></extra>",
        meta="sludge ahead" if stretch.is_ahead else "sludge",
    )


def _falls(stretches: Sequence[_Stretch]) -> list[dict[str, Any]]:
    """The dotted drop of a cleanout, with its tip."""
    falls = []
    for before, after in pairwise(stretches):
        if after.is_ahead:
            continue
        at = before.days[-1].isoformat()
        falls.append(
            theme.scatter(
                x=[at, at],
                y=[before.mid[-1], after.mid[0]],
                mode="lines+markers",
                line={"color": theme.SLUDGE, "width": 1.5, "dash": "1px,3px"},
                marker={"symbol": ["line-ns", "triangle-down"], "size": [0, 9], "color": theme.SLUDGE},
                text=[f"Emptied {theme.day_text(before.days[-1])}"] * 2,
                hovertemplate="%{text}<extra></extra>",
                meta="emptied",
            )
        )
    return falls


def _readings(readings: Sequence[ReadingMark]) -> list[dict[str, Any]]:
    """Dots for the rod; an open triangle up where it stopped at the grid, down where it lay below the mark; a cross when disputed."""
    shown = [mark for mark in readings if mark.kind == "sounding" or mark.qualifier]
    has_labels = len(shown) <= MOST_LABELS
    kinds = {
        "reading": ("circle", [m for m in shown if not m.qualifier and not m.is_disputed]),
        "reading at grid": ("triangle-up-open", [m for m in shown if m.qualifier == ">="]),
        "reading below mark": ("triangle-down-open", [m for m in shown if m.qualifier == "<="]),
        "reading disputed": ("x-thin-open", [m for m in shown if m.is_disputed and not m.qualifier]),
    }
    traces = []
    for meta, (symbol, marks) in kinds.items():
        if not marks:
            continue
        is_open = symbol != "circle"
        traces.append(
            theme.scatter(
                x=[mark.on.isoformat() for mark in marks],
                y=[min(mark.fill, HIGHEST) for mark in marks],
                mode="markers+text" if has_labels and not is_open else "markers",
                marker={
                    "symbol": symbol,
                    "size": 11 if is_open else 9,
                    "color": theme.INK,
                    "line": {"color": theme.INK if is_open else theme.PAPER, "width": 1.6},
                },
                text=[percent_words(mark.fill)[:-2] for mark in marks],
                textposition="top left",
                textfont={"color": theme.INK, "size": 13},
                customdata=[_reading_words(mark) for mark in marks],
                hovertemplate="%{customdata}<extra></extra>",
                cliponaxis=False,
                meta=meta,
            )
        )
    return traces


def _reading_words(mark: ReadingMark) -> str:
    depth = "" if mark.depth_mm is None else f"{_sign(mark.qualifier)}{mark.depth_mm:.0f} mm, "
    words = f"{theme.day_text(mark.on)}: {depth}{_fill_words(mark.fill, mark.qualifier)}"
    return f"{words}; signals disagreed, not learnt from" if mark.is_disputed else words


def _sign(qualifier: str) -> str:
    return {">=": "≥ ", "<=": "≤ "}.get(qualifier, "")


def _fill_words(fill: float, qualifier: str) -> str:
    return "full or more" if qualifier == ">=" and fill >= 0.95 else f"{_sign(qualifier)}{percent_words(fill)}"


def _fill_axis() -> dict[str, Any]:
    return {
        **theme.value_axis(),
        "range": [0, HIGHEST],
        "tickmode": "array",
        "tickvals": [0, 0.25, 0.5, 0.75, 1],
        "ticktext": ["0 %", "25", "50", "75", "100 %"],
    }


def _shapes(rests: Sequence[Span], *, first: date, last: date, due_fill: float, today: date) -> list[dict[str, Any]]:
    shapes = theme.rest_boxes(rests, first, last)
    for level, colour, dash, name in (
        (1.0, theme.RULE_STRONG, "solid", "full"),
        (due_fill, theme.INK, "6px,3px", "due"),
    ):
        line = {"color": colour, "width": 1.4, "dash": dash}
        across = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "y0": level, "y1": level}
        shapes.append({"type": "line", **across, "line": line, "name": name})
    shapes.append(theme.upright(today, colour=theme.WATER, name="today"))
    return shapes


def _annotations(
    stretches: Sequence[_Stretch], rests: Sequence[Span], *, first: date, last: date, due_fill: float, today: date
) -> list[dict[str, Any]]:
    found = [
        theme.beside(f"due {percent_words(due_fill)}", y=due_fill, colour=theme.INK, is_bold=True),
        theme.beside("full, at the grid", y=1.0),
    ]
    if stretches and stretches[-1].is_ahead:
        middle = (stretches[-1].low[-1] + stretches[-1].high[-1]) / 2
        if min(abs(middle - due_fill), abs(middle - 1)) > 0.07:
            found.append(theme.beside("likely range", y=middle))
    for start, end in theme.rests_within(rests, first, last):
        if (end - start).days > (last - first).days / 14:
            middle_on = (start + (end - start) / 2).isoformat()
            at = {"x": middle_on, "y": 0, "yanchor": "bottom", "yshift": 3, "showarrow": False}
            found.append(
                {"text": "winter rest", **at, "font": {"color": theme.INK_3, "size": 12}, "name": theme.WIDE_ONLY}
            )
    above = {"x": today.isoformat(), "yref": "paper", "y": 1, "yanchor": "bottom", "showarrow": False}
    found.append({"text": theme.day_text(today), **above, "font": {"color": theme.INK_2, "size": 12}, "name": "today"})
    return found


# the same in words and in a table ------------------------------------------------------------------------------------


def void_fill_rows(readings: Sequence[ReadingMark], cleanouts: Sequence[CleanoutMark]) -> tuple[VoidFillRow, ...]:
    """The readings behind the picture, newest first."""
    rows = [
        VoidFillRow(
            on=mark.on,
            what="sounding, signals disagreed" if mark.is_disputed else "sounding",
            depth="–" if mark.depth_mm is None else f"{_sign(mark.qualifier)}{mark.depth_mm:.0f}",
            fill=_fill_words(mark.fill, mark.qualifier),
        )
        for mark in readings
        if mark.kind == "sounding"
    ]
    rows += [_cleanout_row(cleanout) for cleanout in cleanouts]
    return tuple(sorted(rows, key=lambda row: row.on, reverse=True))


def _cleanout_row(cleanout: CleanoutMark) -> VoidFillRow:
    def depth(mm: float | None, *, is_at_grid: bool = False) -> str:
        return "not measured" if mm is None else f"{'≥ ' if is_at_grid else ''}{mm:.0f}"

    def fill(mm: float | None, *, is_at_grid: bool = False) -> str:
        if mm is None or not cleanout.void_height_mm:
            return "not known"
        return "full" if is_at_grid else percent_words(mm / cleanout.void_height_mm)

    what = {"full": "cleanout, full", "part": "cleanout, part", "attempted": "cleanout tried"}[cleanout.outcome]
    before, after, at_grid = cleanout.depth_before_mm, cleanout.depth_after_mm, cleanout.is_before_at_grid
    return VoidFillRow(
        on=cleanout.on,
        what=f"{what}: before, after",
        depth=f"{depth(before, is_at_grid=at_grid)}, {depth(after)}",
        fill=f"{fill(before, is_at_grid=at_grid)}, {fill(after)}",
    )


def void_fill_description(trace: Trace | None, readings: Sequence[ReadingMark], *, due_fill: float) -> str:
    """One sentence or two for readers who cannot see the chart."""
    seen = [mark for mark in readings if mark.kind == "sounding"]
    soundings = ", ".join(
        f"{_fill_words(mark.fill, mark.qualifier)} on {theme.day_text(mark.on)}" for mark in seen[-6:]
    )
    said = f"Soundings: {soundings}." if soundings else "No soundings."
    if trace is not None and trace.days:
        now = max((i for i, is_ahead in enumerate(trace.is_ahead) if not is_ahead), default=0)
        low, mid, high = trace.p10[now], trace.p50[now], trace.p90[now]
        said += f" Now about {percent_words(mid)}, likely {percent_words(low)[:-2]} to {percent_words(high)}."
    return f"{said} Due line at {percent_words(due_fill)}."
