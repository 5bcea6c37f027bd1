"""Numbers and days as people read them: figure and unit kept together, no false precision, never a bare date.

{{ build.void_height_mm|amount:"mm" }}   a recorded value as it was noted        "150 mm"
{{ load|about:"g" }}                     an estimate, two figures                "0.5 g"
{{ share|percent }}                      "88 %"
{{ ratio|times }}                        "1.6 ×"
{{ day|day_words:today }}                "30 Aug"
{{ day|ago:today }}                      "30 Aug, 35 days ago"
{{ sentence|kept }}                      figures held to their units
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone

from enclosures.estimates import units
from enclosures.verdicts import words

register = template.Library()
NOT_NOTED = "–"


def _number(value: Any) -> float | None:
    try:
        return None if value in ("", None) else float(value)
    except (TypeError, ValueError):
        return None


def _day(value: Any) -> date | None:
    if isinstance(value, datetime):
        return timezone.localtime(value).date() if timezone.is_aware(value) else value.date()
    return value if isinstance(value, date) else None


@register.filter
def amount(value: Any, unit: str = "") -> str:
    """A recorded value with its unit, as it was noted."""
    number = _number(value)
    return NOT_NOTED if number is None else units.recorded_quantity(number, unit)


@register.filter
def about(value: Any, unit: str = "") -> str:
    """An estimate with its unit, to two significant figures."""
    number = _number(value)
    return NOT_NOTED if number is None else units.quantity(number, unit)


@register.filter
def percent(share: Any) -> str:
    number = _number(share)
    return NOT_NOTED if number is None else words.kept_together(words.percent_words(number))


@register.filter
def times(ratio: Any) -> str:
    number = _number(ratio)
    return NOT_NOTED if number is None else words.kept_together(words.times_words(number))


@register.filter
def day_words(value: Any, today: date) -> str:
    day = _day(value)
    return NOT_NOTED if day is None else words.kept_together(words.day_words(day, today))


@register.filter
def ago(value: Any, today: date) -> str:
    day = _day(value)
    return NOT_NOTED if day is None else words.kept_together(words.ago_words(day, today))


@register.filter
def kept(text: Any) -> str:
    """No-break spaces between figures and units, and between a day and its month."""
    return words.kept_together(str(text))
