"""Past forecasts and the worth of a reading kept by hand, so that no test of a page waits for a forecast."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from enclosures.models import Filter, ForecastTrial

WHAT_IT_IS_WORTH = {"due_days_now": 274, "due_days_then": 122, "fill_now": 0.4, "fill_then": 0.2}  # one sounding
AHEAD = [100, 120, 140, 160, 180, 200, 220, 240, 260]


def keep(each: Filter, made_on: date, *, came: int | None = None, cleaned: int | None = None, **more: Any) -> None:
    """Said for 180 days on, 100 to 260; it came or was cleaned so many days after, or is still filling."""
    kind, days = ("came", came) if came is not None else ("cleaned", cleaned) if cleaned is not None else ("open", None)
    on = None if days is None else made_on + timedelta(days=days)
    ForecastTrial.objects.create(
        filter=each,
        made_on=made_on,
        model_version="x",
        kind=kind,
        resolved_on=on,
        below_on=on if kind == "cleaned" else None,
        **{"ahead": AHEAD, "rules": {"straight line": 300, "fixed interval": 190}, **more},
    )
