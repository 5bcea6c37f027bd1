"""The day of asking, and what had been written down by its end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from enclosures.models import LoggedRecord, Precision, end_of_day


@dataclass(frozen=True, slots=True)
class AsOf:
    """A day of the facility; `end` is the first instant after it."""

    day: date
    end: datetime
    zone: ZoneInfo

    @classmethod
    def of(cls, day: date, *, zone: ZoneInfo) -> AsOf:
        return cls(day, end_of_day(day, zone=zone), zone)

    def rows(self, model: type[LoggedRecord]) -> Any:
        """What was current in a log table at the end of the day, and dated by then."""
        return model.all_rows.known_at(self.end).until(self.day)

    def had_been_entered(self, entered_at: datetime | None) -> bool:
        """Rows that are described rather than logged say when they were entered, or were always known."""
        return entered_at is None or entered_at < self.end

    def minute_of(self, at: datetime, *, precision: str) -> int | None:
        """Minutes after local midnight; None when only the day is known."""
        if precision != Precision.MINUTE:
            return None
        local = at.astimezone(self.zone)
        return local.hour * 60 + local.minute
