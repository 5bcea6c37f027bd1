"""Short names for the columns that tables are made of, and the columns every log table ends with."""

from __future__ import annotations

from typing import Any

from enclosures.exports import cells
from enclosures.exports.table import Column

DWC = "http://rs.tdwg.org/dwc/terms/"


def _column(kind: cells.Kind, name: str, meaning: str, *, field: str = "", term: str = "", **more: Any) -> Column:
    fields = more.pop("fields", (field or name,))
    return Column(name=name, kind=kind, meaning=meaning, fields=fields, term=DWC + term if term else "", **more)


def code(name: str, meaning: str, **more: Any) -> Column:
    """A code, a word of a list, a reference: blanks around it mean nothing."""
    return _column(cells.CODE, name, meaning, **more)


def text(name: str, meaning: str, **more: Any) -> Column:
    """Free text, kept to the letter."""
    return _column(cells.TEXT, name, meaning, **more)


def number(name: str, unit: str, meaning: str, **more: Any) -> Column:
    return _column(cells.NUMBER, name, meaning, unit=unit, **more)


def whole(name: str, unit: str, meaning: str, **more: Any) -> Column:
    return _column(cells.WHOLE, name, meaning, unit=unit, **more)


def yes_no(name: str, meaning: str, **more: Any) -> Column:
    return _column(cells.BOOLEAN, name, meaning, **more)


def day(name: str, meaning: str, **more: Any) -> Column:
    return _column(cells.DAY, name, meaning, **more)


def instant(name: str, meaning: str, **more: Any) -> Column:
    return _column(cells.INSTANT, name, meaning, **more)


def moment(name: str, meaning: str, *, fields: tuple[str, str, str, str], **more: Any) -> Column:
    return _column(cells.MOMENT, name, meaning, fields=fields, **more)


def words(name: str, meaning: str, **more: Any) -> Column:
    return _column(cells.CODES, name, meaning, **more)


def numbers(name: str, unit: str, meaning: str, **more: Any) -> Column:
    return _column(cells.NUMBERS, name, meaning, unit=unit, **more)


def units(name: str, meaning: str, **more: Any) -> Column:
    return _column(cells.UNITS, name, meaning, **more)


def entry() -> Column:
    return _column(
        cells.ENTRY, "entry", "Id of the entry (UUID), made once; an empty one is made from the row.", term="eventID"
    )


def occurred_at(meaning: str = "When: a date, or a date and time with offset.") -> Column:
    return moment(
        "occurred_at",
        meaning,
        fields=("occurred_at", "occurred_on", "utc_offset_min", "precision"),
        term="eventDate",
        is_required=True,
    )


def log_columns() -> tuple[Column, ...]:
    """What every log table ends with."""
    return (
        text("note", "Free text.", term="eventRemarks"),
        instant(
            "entered_at",
            "When it was entered, by the server's clock; empty: it counts as entered when it happened.",
            is_said=False,
        ),
        text("entered_by", "Initials of the author.", term="recordedBy", is_said=False),
        text("sent_by", "Initials of the person whose tablet sent it, when another's.", is_said=False),
        instant("device_at", "The tablet's clock when it was entered.", is_said=False, may_be_later=True),
        whole("clock_offset_s", "s", "Tablet's clock minus the server's.", is_said=False),
        code("how", "How it was entered.", is_said=False, default="import"),
        words("flags", "Doubts noted with the entry, codes parted by blanks.", is_said=False),
        _column(cells.ENTRY, "supersedes", "The entry this one puts right or withdraws.", field="supersedes__entry"),
        yes_no("withdrawn", "True: this row withdraws the entry it supersedes."),
        text("reason", "Why it was put right or withdrawn."),
    )


def entered_columns() -> tuple[Column, ...]:
    """Who entered a record that is not a log row, and when."""
    return (
        instant("entered_at", "When it was entered.", is_said=False),
        text("entered_by", "Initials of the author.", term="recordedBy", is_said=False),
    )
