"""A year of one water value as a small line, with its look line dashed. Server-side SVG: a list of them needs no script."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from enclosures.figures.svg import n, safe

WIDTH, HEIGHT, EDGE = 84, 26, 2
SCALES: Mapping[str, tuple[float, float]] = {  # the least span shown, so that a calm line looks calm
    "temperature": (0, 30),
    "ph": (6, 9),
    "tan": (0, 0.6),
    "nitrite": (0, 0.36),
    "nitrate": (0, 96),
    "kh": (0, 180),
    "do": (0, 12),
    "chlorine": (0, 0.2),
    "salinity": (0, 3),
}


def sparkline_svg(
    values: Sequence[tuple[date, float]],
    *,
    analyte: str = "",
    look_lines: Sequence[float] = (),
    label: str = "",
) -> str:
    """Line through (day, value) pairs, oldest first, the last one dotted. `label` makes it readable; else it is hidden from readers."""
    named = f'role="img" aria-label="{safe(label)}"' if label else 'aria-hidden="true"'
    opening = f'<svg class="spark" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" {named}>'
    if not values:
        return f"{opening}</svg>"
    seen = [value for _, value in values]
    low, high = SCALES.get(analyte, (min(seen), max(seen)))
    low, high = min(low, *seen), max(high, *seen)
    span = (high - low) or 1.0
    first, days = values[0][0], max(1, (values[-1][0] - values[0][0]).days)

    def x(day: date) -> float:
        return EDGE + (day - first).days / days * (WIDTH - 3 * EDGE)

    def y(value: float) -> float:
        return HEIGHT - EDGE - (value - low) / span * (HEIGHT - 2 * EDGE)

    looks = "".join(f'<path class="k-look" d="M0 {n(y(line))}H{WIDTH}"/>' for line in look_lines if low <= line <= high)
    points = " ".join(f"{n(x(day))} {n(y(value))}" for day, value in values)
    last = f'<circle class="k-last" cx="{n(x(values[-1][0]))}" cy="{n(y(values[-1][1]))}" r="2.4"/>'
    line = f'<polyline class="k-line" points="{points}"/>' if len(values) > 1 else ""
    return f"{opening}{looks}{line}{last}</svg>"
