"""Two futures of one void in one chart: as things stand, and with the change tried out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from enclosures.figures import theme
from enclosures.figures.void_fill import HIGHEST
from enclosures.forecast.inputs import DayQuantiles, Quantiles, Trace
from enclosures.verdicts.words import percent_words

BEHIND_DAYS = 240
LEAST_AHEAD_DAYS = 365
PAST_DUE_DAYS = 120  # the picture goes on so long after the later future is likely due
HORIZON_DAYS = 1095
NOW, THEN = "as things stand", "with the change"


@dataclass(frozen=True, slots=True)
class _Line:
    days: tuple[date, ...]
    low: tuple[float, ...]
    mid: tuple[float, ...]
    high: tuple[float, ...]


def what_if_fill(
    now: Trace,
    then: Trace | None,
    *,
    due_fill: float,
    due_on: tuple[DayQuantiles | None, DayQuantiles | None],
    today: date,
    then_fill: Quantiles | None = None,
    cleaned_on: date | None = None,
) -> dict[str, Any]:
    """Plain JSON (data, layout, config). `due_on` of both futures says how far ahead to draw; `then` None: nothing is tried yet;
    `then_fill` is where its line begins, which a higher void or a cleanout today moves at once."""
    first, last = today - timedelta(days=BEHIND_DAYS), _last_day(due_on, today)
    behind = _line(now, since=first, until=today)
    data = [*_band(behind, "band", opacity=0.85), *_mid(behind, "sludge", words="")]
    start = _end(behind)
    ahead = _joined(start, _line(now, since=today, until=last, is_ahead=True))
    is_alone = then is None
    data += _band(ahead, "band now", opacity=0.45)
    futures = [(ahead, "now", NOW, "dot")]
    if then is not None:
        begin = start if then_fill is None else _point(today, then_fill)
        tried = _joined(begin, _line(then, since=today, until=last, is_ahead=True))
        data += _band(tried, "band then", opacity=0.45, is_outlined=True)
        futures.append((tried, "then", THEN, "solid"))
    for line, meta, words, dash in futures:
        data += _mid(line, meta, words="" if is_alone else f"{words}, ", dash=dash)
    layout = {
        "xaxis": theme.date_axis(first, last),
        "yaxis": {
            **theme.value_axis(),
            "range": [0, HIGHEST],
            "tickmode": "array",
            "tickvals": [0, 0.25, 0.5, 0.75, 1],
            "ticktext": ["0 %", "25", "50", "75", "100 %"],
        },
        "shapes": _shapes(due_fill, today=today, cleaned_on=cleaned_on if then is not None else None),
        "annotations": _words(futures, due_fill, today=today, is_alone=is_alone),
    }
    return theme.finished(data, layout, height=300)


def what_if_description(now: Trace, then: Trace | None, *, due_fill: float) -> str:
    """The same for those who cannot see the chart: the likeliest fill at some days of both futures."""
    said = [f"Likeliest fill as things stand: {_some_words(now)}."]
    if then is not None:
        said.append(f"With the change: {_some_words(then)}.")
    return f"{' '.join(said)} Due line at {percent_words(due_fill)}."


def _some_words(trace: Trace) -> str:
    ahead = [(day, mid) for day, mid, is_ahead in zip(trace.days, trace.p50, trace.is_ahead, strict=True) if is_ahead]
    every = max(len(ahead) // 4, 1)
    return ", ".join(f"{percent_words(mid)} on {theme.day_text(day)}" for day, mid in ahead[every - 1 :: every][:4])


def _last_day(due_on: tuple[DayQuantiles | None, DayQuantiles | None], today: date) -> date:
    ends = [today + timedelta(days=LEAST_AHEAD_DAYS)]
    for days in due_on:
        if days is not None:
            late = days.p50 or today + timedelta(days=HORIZON_DAYS)
            ends.append(late + timedelta(days=PAST_DUE_DAYS))
    return min(max(ends), today + timedelta(days=HORIZON_DAYS))


def _line(trace: Trace, *, since: date, until: date, is_ahead: bool = False) -> _Line:
    rows = [
        (day, *(min(value, HIGHEST) for value in values))
        for day, *values, ahead in zip(trace.days, trace.p10, trace.p50, trace.p90, trace.is_ahead, strict=True)
        if since <= day <= until and bool(ahead) is is_ahead and not (is_ahead and day == since)
    ]
    days, low, mid, high = zip(*rows, strict=True) if rows else ((), (), (), ())
    return _Line(days, low, mid, high)


def _end(line: _Line) -> _Line:
    return _Line(line.days[-1:], line.low[-1:], line.mid[-1:], line.high[-1:])


def _point(day: date, fill: Quantiles) -> _Line:
    low, mid, high = (min(value, HIGHEST) for value in (fill.p10, fill.p50, fill.p90))
    return _Line((day,), (low,), (mid,), (high,))


def _joined(start: _Line, line: _Line) -> _Line:
    return _Line(start.days + line.days, start.low + line.low, start.mid + line.mid, start.high + line.high)


def _band(line: _Line, meta: str, *, opacity: float, is_outlined: bool = False) -> list[dict[str, Any]]:
    if len(line.days) < 2:
        return []
    days = [day.isoformat() for day in line.days]
    edge = {"color": theme.SLUDGE_LINE, "width": 0.9, "dash": "3px,3px" if meta == "band now" else "solid"}
    if is_outlined:
        edge = {"color": theme.INK, "width": 1, "dash": "solid"}
    return [
        theme.scatter(
            x=days + days[::-1],
            y=[*line.high, *line.low[::-1]],
            fill="toself",
            mode="lines",
            fillcolor=theme.SLUDGE_PALE,
            line=edge,
            opacity=opacity,
            hoverinfo="skip",
            meta=meta,
        )
    ]


def _mid(line: _Line, meta: str, *, words: str, dash: str = "solid") -> list[dict[str, Any]]:
    if not line.days:
        return []
    colour = theme.INK if meta == "then" else theme.SLUDGE
    return [
        theme.scatter(
            x=[day.isoformat() for day in line.days],
            y=list(line.mid),
            mode="lines",
            line={"color": colour, "width": 2.5, "dash": dash},
            text=[
                f"{words}{theme.day_text(day)}: about {percent_words(mid)} ({percent_words(low)[:-2]}–{percent_words(high)})"
                for day, low, mid, high in zip(line.days, line.low, line.mid, line.high, strict=True)
            ],
            hovertemplate="%{text}<extra></extra>",
            meta=meta,
        )
    ]


def _shapes(due_fill: float, *, today: date, cleaned_on: date | None) -> list[dict[str, Any]]:
    shapes = []
    for level, colour, dash, name in (
        (1.0, theme.RULE_STRONG, "solid", "full"),
        (due_fill, theme.INK, "6px,3px", "due"),
    ):
        across = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "y0": level, "y1": level}
        shapes.append({"type": "line", **across, "line": {"color": colour, "width": 1.4, "dash": dash}, "name": name})
    shapes.append(theme.upright(today, colour=theme.WATER, name="today"))
    if cleaned_on is not None and cleaned_on > today:
        shapes.append(theme.upright(cleaned_on, colour=theme.INK_3, name="emptied", dash="2px,3px", width=1))
    return shapes


def _words(futures: list[Any], due_fill: float, *, today: date, is_alone: bool) -> list[dict[str, Any]]:
    found = [
        theme.beside(f"due {percent_words(due_fill)}", y=due_fill, colour=theme.INK, is_bold=True),
        theme.beside("full, at the grid", y=1.0),
    ]
    above = {"yref": "paper", "y": 1, "yanchor": "bottom", "showarrow": False}
    found.append(
        {
            "text": theme.day_text(today),
            "x": today.isoformat(),
            **above,
            "font": {"color": theme.INK_2, "size": 12},
            "name": "today",
        }
    )
    ends = {} if is_alone else {meta: line.mid[-1] for line, meta, _, _ in futures if line.days}
    if len(ends) == 2:
        apart = _pushed(ends["now"], ends["then"], taken=(due_fill, 1.0))
        found += [theme.beside(NOW, y=apart[0]), theme.beside(THEN, y=apart[1], colour=theme.INK)]
    return found


def _pushed(now: float, then: float, *, taken: tuple[float, ...], least: float = 0.08) -> tuple[float, float]:
    """Heights for the two names that touch neither each other nor what is written there already."""

    def free(value: float, others: tuple[float, ...]) -> float:
        steps = sorted((abs(step * 0.02), step * 0.02) for step in range(-50, 51))
        for _, step in steps:
            at = value + step
            if 0.03 <= at <= HIGHEST - 0.03 and all(abs(at - other) >= least for other in others):
                return at
        return value

    first = free(now, taken)
    return first, free(then, (*taken, first))
