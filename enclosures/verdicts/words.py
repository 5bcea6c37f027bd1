"""The words all pages share: bands, verdicts, sureness, reasons; and how a day, a range of days, or a fill is said.

Days when near, months when far, and never a date without its range. Sentences are plain text with ordinary spaces;
`kept_together` puts no-break spaces between figures and units where a page shows them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum

from enclosures.forecast.inputs import Outlook, Quantiles

NBSP = "\u00a0"
NEAR_DAYS = 60  # a single day is said as a day up to here, as a month beyond
NEAR_MEDIAN_DAYS = 92  # a range is said in days while its middle is this near
PLAIN_DAY_DAYS = 300  # "2 May" can only be the coming one; beyond this the year or the month is said
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
FULL_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
ORDINALS = (
    "", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
)  # fmt: skip
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


class Band(Enum):
    """How urgent a filter is, most urgent first."""

    ACT = ("act", "Act now")
    OVERDUE = ("overdue", "Overdue")
    DUE = ("due", "Due")
    UNKNOWN = ("unknown", "Unknown")
    SOON = ("soon", "Soon")
    FINE = ("fine", "Fine")

    def __init__(self, slug: str, label: str) -> None:
        self.slug = slug
        self.label = label

    @property
    def order(self) -> int:
        return list(Band).index(self)

    @property
    def plain(self) -> str:
        """As it is written in files: 'act now', 'overdue', ..."""
        return self.label.lower()

    @property
    def needs_you(self) -> bool:
        return self is not Band.FINE

    @classmethod
    def named(cls, name: str) -> Band:
        """From a slug or from the plain name. Raises KeyError."""
        for band in cls:
            if name in (band.slug, band.plain):
                return band
        raise KeyError(name)


class Verdict(Enum):
    """Is the filter coping?"""

    COPING = ("coping", "coping")
    STRAINING = ("straining", "straining")
    NOT_COPING = ("notcoping", "not coping")
    NOT_KNOWN = ("notknown", "not known")

    def __init__(self, slug: str, label: str) -> None:
        self.slug = slug
        self.label = label

    @classmethod
    def named(cls, name: str) -> Verdict:
        for verdict in cls:
            if name in (verdict.slug, verdict.label):
                return verdict
        raise KeyError(name)


class Sureness(Enum):
    """How sure the forecast is of itself: ticks filled, and the word."""

    NONE = ("none", 0)
    ROUGH = ("rough", 1)
    FAIR = ("fair", 2)
    GOOD = ("good", 3)

    def __init__(self, label: str, n_ticks: int) -> None:
        self.label = label
        self.n_ticks = n_ticks

    @classmethod
    def named(cls, name: str) -> Sureness:
        return next(sureness for sureness in cls if sureness.label == name)


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence of the why; the heavier is said first."""

    text: str
    weight: float


def joined(reasons: Iterable[Reason], *, most: int = 2) -> str:
    """The heaviest reasons as running text."""
    heaviest = sorted(reasons, key=lambda reason: -reason.weight)[:most]
    return " ".join(reason.text for reason in heaviest)


# Figures ------------------------------------------------------------------------------------------------------------

_FIGURE_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:%|×|mm|cm|m²|m³|m|km|L/h|L|kg/m³|kg|g/L|g|mg/L|°C|°F|W|h|min|days?|weeks?|months?|years?)(?!\w))"
)


def kept_together(text: str) -> str:
    """No-break spaces between figures and their units, and between a day and its month."""
    text = _FIGURE_AND_UNIT.sub(NBSP, text)
    return re.sub(rf"(?<=\d) (?=(?:{'|'.join(MONTHS)})\b)", NBSP, text)


def rounded(value: float) -> int:
    """A half goes up, as on paper (Python's own rounding would send 12.5 to 12)."""
    return int(value + 0.5) if value >= 0 else -int(-value + 0.5)


def percent_words(share: float) -> str:
    return f"{rounded(share * 100)} %"


def times_words(ratio: float) -> str:
    """How many times the baseline: '1.6 ×', and whole figures from 3 on."""
    return f"{ratio:.1f} ×" if ratio < 2.95 else f"{rounded(ratio)} ×"


def count_words(n: int) -> str:
    """Words to twelve, figures beyond."""
    return COUNTS[n] if 0 <= n <= 12 else str(n)


def ordinal_words(n: int) -> str:
    """'second' as in every second week; words to twelfth, figures beyond."""
    return ORDINALS[n] if 0 < n < len(ORDINALS) else f"{n}{_ending(n)}"


def _ending(n: int) -> str:
    return "th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")


def listed(parts: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    said = list(parts)
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}" if said else ""


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


@dataclass(frozen=True, slots=True)
class FillWords:
    """How full: '88 %' and '75–103 %'. The range always comes with the likeliest."""

    likely: str
    span: str

    def __str__(self) -> str:
        return f"about {self.likely} ({self.span})" if self.span else self.likely


def fill_words(fill: Quantiles | None) -> FillWords:
    """'not known' without a forecast; no span for a measured depth, whose quantiles are equal."""
    if fill is None:
        return FillWords("not known", "")
    low, high = rounded(fill.p10 * 100), rounded(fill.p90 * 100)
    if low == high:  # narrower than a per cent is still a range: "0–1 %", not "0–0 %"
        low, high = int(fill.p10 * 100), max(int(fill.p10 * 100) + 1, math.ceil(fill.p90 * 100))
    return FillWords(percent_words(fill.p50), "" if fill.p10 == fill.p90 else f"{low}–{high} %")


# Days ---------------------------------------------------------------------------------------------------------------


def day_words(day: date, today: date) -> str:
    """'24 Nov'; the year where it could be another: past years, and days far ahead."""
    is_plain = day.year == today.year or 0 <= (day - today).days <= PLAIN_DAY_DAYS
    return f"{day.day} {MONTHS[day.month - 1]}" + ("" if is_plain else f" {day.year}")


def month_words(day: date, today: date, *, after: int | None = None) -> str:
    """'Aug', with the year when it is neither this year nor the year `after` just said."""
    said = after if after is not None else today.year
    return MONTHS[day.month - 1] + ("" if day.year == said else f" {day.year}")


def when_words(day: date, today: date) -> str:
    """'now' for today and before, the day when near, the month when far."""
    if day <= today:
        return "now"
    return day_words(day, today) if (day - today).days <= NEAR_DAYS else month_words(day, today)


def ago_words(day: date, today: date) -> str:
    """'30 Aug, 35 days ago'."""
    days = (today - day).days
    if days == 0:
        return "today"
    if days < 0:
        return f"{day_words(day, today)}, in {_days(-days)}"
    return f"{day_words(day, today)}, " + ("yesterday" if days == 1 else f"{_days(days)} ago")


def _days(n: int) -> str:
    return "1 day" if n == 1 else f"{n} days"


def age_words(days: int) -> str:
    """'12 days', '8 weeks', '5 months', '2 years'."""
    if days < 14:
        return _days(days)
    if days < 84:
        return f"{rounded(days / 7)} weeks"
    if days < 730:
        return f"{rounded(days / 30.44)} months"
    return f"{rounded(days / 365.25)} years"


@dataclass(frozen=True, slots=True)
class DueWords:
    """A due range in two parts: the lead ('Between now and 2 May,') and the rest ('most likely 24 Nov')."""

    lead: str
    rest: str

    @property
    def sentence(self) -> str:
        return f"{self.lead} {self.rest}".strip().rstrip(".") + "."


def due_words(outlook: Outlook | None, today: date) -> DueWords:
    """When the void is due, range first. A range beyond the horizon is 'not before' it; one that reaches beyond ends 'some day after' it."""
    if outlook is None or outlook.due_on is None:
        why = outlook.notes[0].rstrip(".") if outlook is not None and outlook.notes else ""
        return DueWords("Not known.", why)
    due = outlook.due_on
    horizon = outlook.not_before
    if due.p10 is None:
        return DueWords(f"Not before {month_words(horizon, today) if horizon else 'the horizon'}.", "")
    late = f"some day after {month_words(horizon, today) if horizon else 'the horizon'}"
    if due.p50 is None:
        return DueWords(f"Between {_bound(due.p10, today, in_days=False)} and {late},", "more likely after that")
    if due.p50 <= today and due.p90 is not None and due.p90 <= today:
        return DueWords("Now.", past_due_words(outlook, today))
    in_days = (due.p50 - today).days <= NEAR_MEDIAN_DAYS
    if due.p90 is None:
        first, likely = (_bound(day, today, in_days=in_days) for day in (due.p10, due.p50))
        return DueWords(f"Between {first} and {late},", f"most likely {likely}")
    return _between(due.p10, due.p50, due.p90, today, in_days=in_days)


def _between(low: date, middle: date, high: date, today: date, *, in_days: bool) -> DueWords:
    likely = _bound(middle, today, in_days=in_days)
    first, last = _bound(low, today, in_days=in_days), _bound(high, today, in_days=in_days)
    if first == last:  # one month holds the range: say its days
        first, last = (f"{day.day} {MONTHS[day.month - 1]}" for day in (low, high))
        last, likely = f"{last} {high.year}", f"{middle.day} {MONTHS[middle.month - 1]}"
        if low == high:
            return DueWords(f"Within days of {last}", "")
    elif low.year == high.year and low > today and first.endswith(f" {low.year}"):
        first = first.removesuffix(f" {low.year}")  # "between Jun and Oct 2026"
        likely = likely.removesuffix(f" {low.year}")
    elif low.year != high.year and first in MONTHS:
        first = f"{first} {low.year}"  # "between Sep and Oct 2026" would be read as one month of 2026
    return DueWords(f"Between {first} and {last},", f"most likely {likely}")


def _bound(day: date, today: date, *, in_days: bool) -> str:
    """One end of a range: the day while days are spoken of and it is near enough to need no year, else the month."""
    if day <= today:
        return "now"
    if in_days and (day - today).days <= PLAIN_DAY_DAYS:
        return day_words(day, today)
    return month_words(day, today)


def due_sentence(outlook: Outlook | None, today: date) -> str:
    """'Between now and 2 May, most likely 24 Nov.'"""
    return due_words(outlook, today).sentence


AT_THE_LINE = 0.03  # of the void: what a rod cannot tell from the line itself
LONG_BEFORE_DAYS = 60  # past the line this long before a rod showed it: the rod's day would make it look younger


def past_due_words(outlook: Outlook, today: date) -> str:
    """'Past the due line since before 30 Aug': by the rod where it showed that, else by the forecast's own past."""
    if outlook.due_fill is None:
        return ""
    crossed = crossed_on(outlook)
    seen, on = outlook.last_sounding_fill, outlook.last_sounding_on
    if on is not None and outlook.last_emptied_on is not None and on <= outlook.last_emptied_on:
        seen = None  # it showed the sludge of before
    is_seen_past = seen is not None and on is not None and seen >= outlook.due_fill
    # Only a forecast that was past the line on the rod's day, and then fell back, has a later spell to tell of.
    is_long_before = crossed is not None and on is not None and (on - crossed).days > LONG_BEFORE_DAYS
    if (
        is_seen_past
        and on is not None
        and not is_long_before
        and (crossed is None or crossed <= on or not _was_past(outlook, on))
    ):
        return f"Past the due line since before {day_words(on, today)}"
    if crossed is not None and crossed < today:
        return f"Past the due line since about {day_words(crossed, today)}"
    is_over = outlook.fill is not None and outlook.fill.p50 - outlook.due_fill >= AT_THE_LINE
    return "Past the due line" if is_over else "At the due line"


def _was_past(outlook: Outlook, on: date) -> bool:
    """Whether the median stood at or above the due line on a past day, by the last point of the trace up to it."""
    if outlook.trace is None or outlook.due_fill is None:
        return False
    fills = [fill for day, fill in zip(outlook.trace.days, outlook.trace.p50, strict=True) if day <= on]
    return bool(fills) and fills[-1] >= outlook.due_fill


def crossed_on(outlook: Outlook) -> date | None:
    """First day of the present spell with the median at or above the due line; None when it is not there today."""
    if outlook.trace is None or outlook.due_fill is None:
        return None
    first = None
    trace = outlook.trace
    for day, fill, is_ahead in zip(reversed(trace.days), reversed(trace.p50), reversed(trace.is_ahead), strict=True):
        if is_ahead:
            continue
        if fill < outlook.due_fill:
            break
        first = day
    return first
