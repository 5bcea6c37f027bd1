"""How one value is written in a CSV cell and read back: ISO 8601, dot decimals, true or false, empty = not recorded.

Each `Kind` holds both directions, so that what one writes the other reads. `read` is never given an empty cell.
"""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from enclosures.models import Moment, MomentError

EARLIEST = date(1900, 1, 1)
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_WHOLE = re.compile(r"[+-]?\d+(\.0*)?")
_COMMA = re.compile(r"[+-]?\d+,\d+")
_UNSAFE_IN_UNIT = re.compile(r"[%;=]|^\s|\s$")


class CellError(ValueError):
    """The cell does not hold what its column says; the message is a sentence for whoever wrote it."""


@dataclass(frozen=True, eq=False)
class Kind:
    """One kind of cell. `write` takes the values of the column's model fields: one, or for a moment four.

    `strips`: blanks around the text mean nothing. `schema` and `constraints` are its Table Schema.
    """

    name: str
    write: Callable[..., str]
    read: Callable[[str, ZoneInfo], Any]
    schema: Mapping[str, Any]
    strips: bool = True
    constraints: Mapping[str, Any] = field(default_factory=dict)


def number_text(value: float) -> str:
    """The shortest text that reads back as the same number, without exponent where a person would not write one."""
    if not math.isfinite(value):
        raise CellError(f"{value} is not a number that can be written down.")
    if value == int(value) and abs(value) < 1e16:
        return str(int(value))
    text = repr(float(value))
    return format(Decimal(text), "f") if "e-" in text else text


def number_from(text: str, zone: ZoneInfo | None = None) -> float:
    if not text.isascii() or not _NUMBER.fullmatch(text):
        if _COMMA.fullmatch(text):
            raise CellError(f"“{text}” has a comma; write decimals with a dot ({text.replace(',', '.')}).")
        if text.lower().lstrip("+-") in {"nan", "inf", "infinity"}:
            raise CellError(f"“{text}” is not a number that can be measured; leave the cell empty if it was not.")
        raise CellError(f"“{text}” is not a number; write figures only, the unit is the column's.")
    value = float(text)
    if not math.isfinite(value):
        raise CellError(f"“{text}” is too large to be a number here.")
    return value


def _whole_from(text: str, zone: ZoneInfo) -> int:
    if not text.isascii() or not _WHOLE.fullmatch(text) or len(text) > 20:
        raise CellError(f"“{text}” is not a whole number.")
    return int(text.partition(".")[0])


def _bool_text(value: bool) -> str:
    return "true" if value else "false"


def _bool_from(text: str, zone: ZoneInfo) -> bool:
    word = text.lower()
    if word in {"true", "1"}:
        return True
    if word in {"false", "0"}:
        return False
    raise CellError(f"“{text}” is neither true nor false.")


def _day_from(text: str, zone: ZoneInfo) -> date:
    try:
        if len(text) != 10:
            raise ValueError
        day = date.fromisoformat(text)
    except ValueError as wrong:
        raise CellError(f"“{text}” is not a date; write year-month-day, like 2025-10-04.") from wrong
    return _not_too_old(day, text)


def instant_text(at: datetime) -> str:
    """An instant in UTC, always with seconds, as the Tabular Data Package asks."""
    utc = at.astimezone(UTC)
    return utc.isoformat(timespec="microseconds" if utc.microsecond else "seconds").replace("+00:00", "Z")


def _instant_from(text: str, zone: ZoneInfo) -> datetime:
    return _moment_from(text, zone).at


def _moment_from(text: str, zone: ZoneInfo) -> Moment:
    try:
        moment = Moment.from_text(text, zone=zone)
    except MomentError as wrong:
        raise CellError(str(wrong)) from wrong
    except (OverflowError, ValueError) as wrong:
        raise CellError(f"“{text}” is not a date that can be recorded.") from wrong
    _not_too_old(moment.on, text)
    return moment


def _moment_text(at: datetime, on: date, offset_min: int | None, precision: str) -> str:
    if at is None:
        return ""
    text = Moment.stored(at=at, on=on, offset_min=offset_min or 0, precision=precision).text()
    return text.replace("+00:00", "Z")


def _not_too_old(day: date, text: str) -> date:
    if day < EARLIEST:
        raise CellError(f"“{text}” is before {EARLIEST.year}; check the year.")
    return day


def _entry_from(text: str, zone: ZoneInfo) -> uuid.UUID:
    try:
        return uuid.UUID(text)
    except ValueError as wrong:
        raise CellError(f"“{text}” is not an entry id (a UUID); leave the cell empty to have one made.") from wrong


def _text_from(text: str, zone: ZoneInfo) -> str:
    if "\x00" in text:
        raise CellError("The text holds a character (NUL) that cannot be stored.")
    return text


def _codes_from(text: str, zone: ZoneInfo) -> list[str]:
    return _text_from(text, zone).split()


def _numbers_from(text: str, zone: ZoneInfo) -> list[float]:
    return [number_from(part) for part in text.split()]


def _units_text(units: Mapping[str, float]) -> str:
    """`piece=1.2; cube=3.2`. The three signs that part them are written %3B, %3D and %25 inside a name."""
    return "; ".join(f"{_escaped(name)}={number_text(grams)}" for name, grams in sorted(units.items()))


def _units_from(text: str, zone: ZoneInfo) -> dict[str, float]:
    units: dict[str, float] = {}
    for part in text.split(";"):
        if not part.strip():
            continue
        name, sign, grams = part.rpartition("=")
        name = re.sub(r"%([0-9A-F]{2})", lambda hex_: chr(int(hex_[1], 16)), name.strip())
        if not sign or not name:
            raise CellError(f"“{part.strip()}” is not a unit; write name=grams, like piece=1.2.")
        if name in units:
            raise CellError(f"The unit “{name}” is there twice.")
        if len(name) > 20:
            raise CellError(f"The name of the unit “{name}” is longer than 20 characters.")
        units[name] = number_from(grams.strip())
        if not 0 < units[name] <= 100_000:
            raise CellError(f"A {name} of {grams.strip()} g cannot be; more than 0 and at most 100000 can.")
    return units


def _escaped(name: str) -> str:
    return _UNSAFE_IN_UNIT.sub(lambda sign: f"%{ord(sign[0]):02X}", name)


_MOMENT_PATTERN = r"^\d{4}-\d{2}-\d{2}([T ]\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})?)?$"

CODE = Kind("code", str, _text_from, {"type": "string"})
TEXT = Kind("text", str, _text_from, {"type": "string"}, strips=False)
NUMBER = Kind("number", number_text, number_from, {"type": "number"})
WHOLE = Kind("whole", str, _whole_from, {"type": "integer"})
BOOLEAN = Kind("boolean", _bool_text, _bool_from, {"type": "boolean"})
DAY = Kind("day", date.isoformat, _day_from, {"type": "date"})
INSTANT = Kind("instant", instant_text, _instant_from, {"type": "datetime", "format": "any"})
MOMENT = Kind("moment", _moment_text, _moment_from, {"type": "string"}, constraints={"pattern": _MOMENT_PATTERN})
ENTRY = Kind("entry", str, _entry_from, {"type": "string", "format": "uuid"})
CODES = Kind("codes", " ".join, _codes_from, {"type": "string"})
NUMBERS = Kind("numbers", lambda values: " ".join(map(number_text, values)), _numbers_from, {"type": "string"})
UNITS = Kind("units", _units_text, _units_from, {"type": "string"})
