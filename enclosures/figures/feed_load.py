"""Dry feed per week since it began, with cleanouts and winter rests: what went in, beside what the void shows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from enclosures.figures import theme
from enclosures.verdicts.signs import Span

MOST_WEEKS = 156


@dataclass(frozen=True, kw_only=True, slots=True)
class FeedWeek:
    """Dry feed of seven days from `from_on`, in g. `guessed_g` is the part filled in for days without an entry."""

    from_on: date
    dry_g: float
    guessed_g: float = 0.0


def weeks_of(days: Iterable[tuple[date, float]], *, guessed_on: Iterable[date] = ()) -> tuple[FeedWeek, ...]:
    """Weeks (Monday first) from daily dry grams; weeks without a day are there with 0."""
    guessed = set(guessed_on)
    sums: dict[date, list[float]] = {}
    for day, dry_g in days:
        week = sums.setdefault(day - timedelta(days=day.weekday()), [0.0, 0.0])
        week[0] += dry_g
        week[1] += dry_g if day in guessed else 0.0
    if not sums:
        return ()
    first, last = min(sums), max(sums)
    weeks = [first + timedelta(days=7 * i) for i in range((last - first).days // 7 + 1)]
    return tuple(
        FeedWeek(from_on=week, dry_g=sums.get(week, [0.0])[0], guessed_g=sums.get(week, [0.0, 0.0])[1])
        for week in weeks
    )


def feed_load(
    weeks: Sequence[FeedWeek], *, today: date, cleanouts_on: Sequence[date] = (), rests: Sequence[Span] = ()
) -> dict[str, Any]:
    """Bars from zero as plain JSON; at most three years are shown. The guessed part stands pale on top."""
    shown = list(weeks)[-MOST_WEEKS:]
    first, last = theme.span_of([week.from_on for week in shown], today=today)
    middle = [(week.from_on + timedelta(days=3)).isoformat() for week in shown]
    words = [
        f"Week of {theme.day_text(week.from_on)}: {week.dry_g:.0f} g dry"
        + (f", {week.guessed_g:.0f} g of it filled in" if week.guessed_g else "")
        for week in shown
    ]
    data = [
        {
            "type": "bar",
            "x": middle,
            "y": heights,
            "width": [6 * 86_400_000] * len(shown),
            "marker": {"color": colour, "line": {"width": 0}},
            "text": words,
            "textposition": "none",
            "hovertemplate": "%{text}<extra></extra>",
            "meta": meta,
        }
        for heights, colour, meta in (
            ([week.dry_g - week.guessed_g for week in shown], theme.INK_3, "feed"),
            ([week.guessed_g for week in shown], theme.RULE, "feed filled in"),
        )
    ]
    shapes = [
        theme.upright(day, colour=theme.SLUDGE, name="emptied", dash="1px,3px")
        for day in cleanouts_on
        if first <= day <= last
    ]
    shapes += theme.rest_boxes(rests, first, last)
    layout = {
        "barmode": "stack",
        "xaxis": theme.date_axis(first, last),
        "yaxis": theme.value_axis(title="g dry a week"),
        "shapes": shapes,
    }
    return theme.finished(data, layout, height=240, margin={"l": 62, "r": 24, "t": 18, "b": 40})


def feed_rows(weeks: Sequence[FeedWeek]) -> tuple[tuple[date, str], ...]:
    """The same as a table: week, dry grams; newest first."""
    return tuple((week.from_on, f"{week.dry_g:.0f}") for week in reversed(weeks))
