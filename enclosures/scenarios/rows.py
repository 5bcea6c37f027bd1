"""How the invented records are written down: as the rows of a package, text in every cell, so they pass through the importer.

Everything is drawn from streams named by what is drawn ("feeding P1 2024-05-03"), never from one running generator: taking one
row out or adding a year leaves all other rows as they were.
"""

from __future__ import annotations

import random
import uuid
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

SEED = "brackenlode"
ZONE = ZoneInfo("Europe/Paris")
NAMESPACE = uuid.UUID("5b1f8a52-6c5e-4d57-9d0e-0f5b2c7e3a11")

Row = dict[str, str]
Tables = dict[str, list[Row]]

FIRST_DAY = date(2023, 4, 1)
AS_OF = date(2025, 10, 4)
LAST_DAY = AS_OF + timedelta(days=364)  # the shifted demo never needs more than this many days beyond AS_OF


def stream(*words: object) -> random.Random:
    """The generator of one named thing."""
    return random.Random(" ".join([SEED, *(str(word) for word in words)]))


def entry_id(*words: object) -> str:
    return str(uuid.uuid5(NAMESPACE, " ".join(str(word) for word in words)))


def cell(value: object) -> str:
    """Text of one cell: empty for None, true or false, numbers without needless noughts."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    return str(value)


def row(**columns: object) -> Row:
    return {name: cell(value) for name, value in columns.items()}


def clock(day: date, hhmm: str) -> datetime:
    """A wall-clock time at the station."""
    return datetime.combine(day, time.fromisoformat(hhmm), tzinfo=ZONE)


def minutes_after(moment: datetime, minutes: float) -> datetime:
    """Elapsed minutes, over a change of the clocks too."""
    return (moment.astimezone(ZoneInfo("UTC")) + timedelta(minutes=minutes)).astimezone(ZONE)


def stamp(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def event(
    *key: object,
    at: datetime | date,
    by: str,
    entered: datetime | None = None,
    how: str = "round",
    **columns: object,
) -> Row:
    """One row of a log. `entered` when it was typed much later; else it was typed within a few minutes.

    `key` names the entry: rows that share it are lines of one entry.
    """
    if isinstance(at, datetime):
        typed = entered or minutes_after(at, stream("typed", *key).randint(0, 6))
        occurred = stamp(at)
    else:
        typed = entered or clock(at, "18:00")
        occurred = at.isoformat()
    return row(entry=entry_id(*key), occurred_at=occurred, entered_at=stamp(typed), entered_by=by, how=how) | row(
        **columns
    )


def days(first: date, last: date) -> list[date]:
    """Every day from first to last, both counted."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def weekday_in_month(day: date) -> int:
    """1 for the first such weekday of the month, 2 for the second …"""
    return (day.day - 1) // 7 + 1
