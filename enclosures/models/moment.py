"""When something happened, as a keeper knows it: an instant with its offset, or only a day. No Django here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo


class MomentError(ValueError):
    """The text is not a date, nor a date and time with offset."""


@dataclass(frozen=True, slots=True)
class Moment:
    """`at` in UTC; `on` the facility's day; `offset_min` the offset written with it; `precision` "minute" or "day".

    A moment known only to the day stands at local noon, so that no change of clocks can move it to another day.
    """

    at: datetime
    on: date
    offset_min: int
    precision: str

    @classmethod
    def of_day(cls, day: date, *, zone: ZoneInfo) -> Moment:
        noon = datetime.combine(day, time(12), tzinfo=zone)
        return cls(noon.astimezone(UTC), day, _offset_min(noon), "day")

    @classmethod
    def of_instant(cls, instant: datetime, *, zone: ZoneInfo) -> Moment:
        """An aware instant. The offset it carries is kept; its day is the facility's."""
        if instant.tzinfo is None:
            raise MomentError("A time needs its offset, for example 2025-10-04T07:58+02:00.")
        return cls(instant.astimezone(UTC), instant.astimezone(zone).date(), _offset_min(instant), "minute")

    @classmethod
    def of_local(cls, local: datetime, *, zone: ZoneInfo) -> Moment:
        """A wall-clock time typed at the facility, without offset."""
        return cls.of_instant(local.replace(tzinfo=zone), zone=zone)

    @classmethod
    def from_text(cls, text: str, *, zone: ZoneInfo) -> Moment:
        """`2025-10-04`, or `2025-10-04T07:58+02:00` (also with seconds, with Z, with a space for T).

        A time without offset is taken as the facility's own clock.
        """
        text = text.strip()
        try:
            if len(text) == 10:
                return cls.of_day(date.fromisoformat(text), zone=zone)
            instant = datetime.fromisoformat(text)
        except ValueError as wrong:
            raise MomentError(
                f"“{text}” is not a date (2025-10-04) nor a date and time with offset (2025-10-04T07:58+02:00)."
            ) from wrong
        return cls.of_local(instant, zone=zone) if instant.tzinfo is None else cls.of_instant(instant, zone=zone)

    @classmethod
    def stored(cls, *, at: datetime, on: date, offset_min: int, precision: str) -> Moment:
        return cls(at, on, offset_min, precision)

    def text(self) -> str:
        """ISO 8601, as `from_text` reads it back: a date, or a time with its offset (seconds only when there are any)."""
        if self.precision == "day":
            return self.on.isoformat()
        return instant_text(self.at, offset_min=self.offset_min)


def instant_text(at: datetime, *, offset_min: int = 0) -> str:
    """An instant as ISO 8601 at the offset it was written with."""
    local = at.astimezone(timezone(timedelta(minutes=offset_min)))
    if local.microsecond:
        return local.isoformat(timespec="microseconds")
    return local.isoformat(timespec="seconds" if local.second else "minutes")


def end_of_day(day: date, *, zone: ZoneInfo) -> datetime:
    """The first instant that no longer belongs to the day, in UTC."""
    return datetime.combine(day + timedelta(days=1), time(0), tzinfo=zone).astimezone(UTC)


def _offset_min(moment: datetime) -> int:
    offset = moment.utcoffset()
    assert offset is not None
    return round(offset.total_seconds() / 60)
