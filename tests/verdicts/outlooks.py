"""Outlooks made by hand for the tests of words and rules."""

from __future__ import annotations

from datetime import date

from enclosures.forecast.inputs import DayQuantiles, Outlook, Quantiles, Trace

TODAY = date(2025, 10, 4)
HORIZON = date(2028, 10, 3)


def make_outlook(
    *,
    fill: tuple[float, float, float] | None = (0.75, 0.88, 1.03),
    due: tuple[date | None, date | None, date | None] = (TODAY, TODAY, TODAY),
    today: date = TODAY,
    due_fill: float = 0.7,
    not_before: date | None = None,
    last_sounding: tuple[date, float] | None = None,
    trace: Trace | None = None,
    notes: tuple[str, ...] = (),
) -> Outlook:
    if fill is None:
        return Outlook(
            filter="X-F", as_of=today, due_fill=None, void_height_mm=None, fill=None, depth_mm=None, rod_mm=None,
            due_on=None, full_on=None, not_before=None, sureness="none", basis="no geometry", notes=notes,
        )  # fmt: skip
    q = Quantiles(p10=fill[0], p50=fill[1], p90=fill[2])
    mm = Quantiles(p10=fill[0] * 150, p50=fill[1] * 150, p90=fill[2] * 150)
    return Outlook(
        filter="X-F",
        as_of=today,
        due_fill=due_fill,
        void_height_mm=150,
        fill=q,
        depth_mm=mm,
        rod_mm=mm,
        due_on=DayQuantiles(p10=due[0], p50=due[1], p90=due[2]),
        full_on=None,
        not_before=not_before or (HORIZON if None in due else None),
        sureness="fair",
        basis="2 soundings, 1 cleanout",
        last_sounding_on=last_sounding[0] if last_sounding else None,
        last_sounding_fill=last_sounding[1] if last_sounding else None,
        trace=trace,
        notes=notes,
    )
