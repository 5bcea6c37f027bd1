"""Data for the charts, invented, and what every chart must keep to."""

from __future__ import annotations

from datetime import date, timedelta

from enclosures.figures.void_fill import CleanoutMark, ReadingMark
from enclosures.forecast.inputs import Trace
from enclosures.verdicts.signs import Span

TODAY = date(2025, 10, 4)
RESTS = (
    Span(from_on=date(2023, 11, 5), to_on=date(2024, 3, 24)),
    Span(from_on=date(2024, 11, 2), to_on=date(2025, 3, 20)),
)
READINGS = (
    ReadingMark(on=date(2023, 9, 16), fill=0.50, depth_mm=75),
    ReadingMark(on=date(2024, 6, 29), fill=0.93, depth_mm=139),
    ReadingMark(on=date(2024, 8, 24), fill=1.0, depth_mm=150, qualifier=">=", kind="before"),
    ReadingMark(on=date(2025, 5, 3), fill=0.52, depth_mm=77),
    ReadingMark(on=date(2025, 6, 20), fill=0.13, depth_mm=19, is_disputed=True),
    ReadingMark(on=date(2025, 8, 30), fill=0.80, depth_mm=120),
)
CLEANOUTS = (
    CleanoutMark(
        on=date(2024, 8, 24), depth_before_mm=150, is_before_at_grid=True, depth_after_mm=12, void_height_mm=150
    ),
)


def trace(*, n_behind: int = 120, n_ahead: int = 36) -> Trace:
    """Rising to full on 24 August 2024, emptied, rising again; then on, month by month."""
    start, emptied = date(2023, 4, 1), date(2024, 8, 24)
    days = [start + timedelta(days=round(i * (TODAY - start).days / (n_behind - 1))) for i in range(n_behind)]
    behind = [(day, (day - start).days / 511 if day < emptied else (day - emptied).days / 463) for day in days]
    ahead = [(TODAY + timedelta(days=30 * (i + 1)), 0.88 + 0.02 * i) for i in range(n_ahead)]
    rows = [(day, fill, False) for day, fill in behind] + [(day, fill, True) for day, fill in ahead]
    return Trace(
        days=tuple(day for day, _, _ in rows),
        p10=tuple(fill * 0.8 for _, fill, _ in rows),
        p50=tuple(fill for _, fill, _ in rows),
        p90=tuple(fill * 1.2 for _, fill, _ in rows),
        is_ahead=tuple(is_ahead for _, _, is_ahead in rows),
    )


def by_meta(figure: dict, meta: str) -> list[dict]:
    return [t for t in figure["data"] if t["meta"] == meta]
