"""Working windows: when a void may be vacuumed without disturbing what lives on it, when that ends, when it comes again.

Avoided: water under 12 °C or winter rest; 15 May to 15 July at ponds with nesting females; six weeks after a new or re-stacked bed;
the 30 days after arrivals. Over 28 °C the pump may be off half an hour only (common practice, no source; a facility may differ).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from enclosures.verdicts.signs import YOUNG_BED_DAYS, FilterSigns, Span, StockEvent
from enclosures.verdicts.words import FULL_MONTHS, PLAIN_DAY_DAYS, count_words, day_words

COLD_C, HOT_C = 12.0, 28.0
AFTER_ARRIVAL_DAYS = 30
NEAR_DAYS = 30
HORIZON_DAYS = 420
SHORTEST_WINDOW_DAYS = 7  # one mild week in winter is not a window
NESTING = ((5, 15), (7, 15))
NESTING_SOUTH = ((11, 15), (1, 15))
PREFERRED_WAIT_DAYS = 45

LEAVE_THEM, LEAVE_IT = "leave them be", "leave it be"

BlockKind = Literal["cold", "brumation", "nesting", "young bed", "arrival"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """Why a day is no day for it. `event` where something planned closes the window."""

    kind: BlockKind
    text: str
    event: StockEvent | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """The present or next window, and the one after it. None: not within the coming fourteen months.

    `opens_on` is the day of asking while the window is open; `closes_on` the first day that is no longer in it.
    """

    opens_on: date | None
    closes_on: date | None
    closed_by: Block | None  # what will close it
    reopens_on: date | None
    blocked_by: Block | None  # what keeps it shut today
    is_pump_off_short: bool = False

    @property
    def is_open(self) -> bool:
        return self.blocked_by is None

    @property
    def pump_off_min(self) -> int:
        """How long the pump may be off, minutes."""
        return 30 if self.is_pump_off_short else 60


def block_on(signs: FilterSigns, day: date, *, today: date) -> Block | None:
    """The first thing that speaks against working on a day, today or ahead."""
    ahead = (day - today).days
    temp = signs.water_ahead_c[ahead] if 0 <= ahead < len(signs.water_ahead_c) else None
    if any(_rests_on(span, day, temp, today=today) for span in signs.brumations):
        return Block(kind="brumation", text="They are in winter rest")
    if not signs.is_indoor and temp is not None and temp < COLD_C:
        return Block(kind="cold", text=f"Water is under {COLD_C:.0f} °C")
    if signs.has_nesting_females and signs.is_pond and is_nesting_season(day, is_southern=signs.is_southern):
        return Block(kind="nesting", text="Females are nesting")
    if signs.rebuilt_on and 0 <= (day - signs.rebuilt_on).days < YOUNG_BED_DAYS:
        return Block(kind="young bed", text="The bed is new")
    for event in signs.events_ahead:
        if event.is_arrival and 0 <= (day - event.on).days <= AFTER_ARRIVAL_DAYS:
            return Block(kind="arrival", text=event.text, event=event)
    if any(0 <= (day - arrived).days <= AFTER_ARRIVAL_DAYS for arrived in signs.arrivals_on):
        return Block(kind="arrival", text="Animals have only just arrived")
    return None


def _rests_on(span: Span, day: date, temp: float | None, *, today: date) -> bool:
    """A rest without an end lasts until the water is warm again; without a forecast of the water, half a year."""
    if not span.covers(day):
        return False
    if span.to_on is not None or day <= today:
        return True
    return temp < COLD_C if temp is not None else (day - span.from_on).days < 180


def is_nesting_season(day: date, *, is_southern: bool) -> bool:
    (first, last) = NESTING_SOUTH if is_southern else NESTING
    at = (day.month, day.day)
    return first <= at <= last if first <= last else at >= first or at <= last


def window_for(signs: FilterSigns, today: date) -> Window:
    """Walk the coming fourteen months day by day."""
    blocks = [block_on(signs, today + timedelta(days=i), today=today) for i in range(HORIZON_DAYS)]
    _close_short_openings(blocks)
    opens = _next(blocks, 0, is_open=True)
    closes = _next(blocks, opens, is_open=False) if opens is not None else None
    reopens = _next(blocks, closes, is_open=True) if closes is not None else None
    temp = signs.water_temp_c if signs.water_temp_c is not None else (signs.water_ahead_c or (0.0,))[0]
    return Window(
        opens_on=_day(today, opens),
        closes_on=_day(today, closes),
        closed_by=blocks[closes] if closes is not None else None,
        reopens_on=_day(today, reopens),
        blocked_by=blocks[0],
        is_pump_off_short=temp > HOT_C,
    )


def _day(today: date, after: int | None) -> date | None:
    return None if after is None else today + timedelta(days=after)


def _next(blocks: list[Block | None], start: int, *, is_open: bool) -> int | None:
    return next((i for i in range(start, len(blocks)) if (blocks[i] is None) == is_open), None)


def _close_short_openings(blocks: list[Block | None]) -> None:
    """Later openings of a few days are not windows; the one that is open today stays, however short."""
    start = _next(blocks, 0, is_open=False)
    while start is not None:
        opening = _next(blocks, start, is_open=True)
        if opening is None:
            return
        end = _next(blocks, opening, is_open=False)
        if end is not None and end - opening < SHORTEST_WINDOW_DAYS:
            for i in range(opening, end):
                blocks[i] = blocks[opening - 1]
        start = end


def is_closing(window: Window, due_p50: date | None, today: date) -> bool:
    """The present window (or one about to open) closes within 30 days, and the likeliest due day comes before the next."""
    if window.opens_on is None or window.closes_on is None or due_p50 is None:
        return False
    if (window.opens_on - today).days > NEAR_DAYS or (window.closes_on - today).days > NEAR_DAYS:
        return False
    return window.reopens_on is None or due_p50 < window.reopens_on


def preferred_from(day: date, *, is_southern: bool) -> date:
    """April (after emergence, before nesting) or late August to September, if within six weeks of a day; else the day."""
    for after in range(PREFERRED_WAIT_DAYS + 1):
        candidate = day + timedelta(days=after)
        month = (candidate.month + 5) % 12 + 1 if is_southern else candidate.month
        if month in (4, 9) or (month == 8 and candidate.day >= 20):
            return candidate
    return day


def closing_sentence(signs: FilterSigns, window: Window, today: date) -> str:
    """'Water is 14 °C and falling: about twelve days are left, else April.'"""
    if window.closes_on is None or window.closed_by is None:
        return ""
    left = max(0, (window.closes_on - today).days - 1)  # to the last day that is still in it
    days = {0: "today is the last day", 1: "one day is left"}.get(left, f"about {count_words(left)} days are left")
    block = window.closed_by
    if block.event is not None:
        return f"{block.text.rstrip('.')} on {day_words(block.event.on, today)}: empty it before they do."
    if block.kind in ("cold", "brumation"):
        return f"{_water_words(signs)}: {days}{_else_words(signs, window, today)}."
    if block.kind == "nesting":
        return f"Nesting begins in the middle of {'November' if signs.is_southern else 'May'}: {days}{_else_words(signs, window, today)}."
    return f"{block.text}: {days}{_else_words(signs, window, today)}."


def _water_words(signs: FilterSigns) -> str:
    temp = signs.water_temp_c if signs.water_temp_c is not None else (signs.water_ahead_c or (None,))[0]
    if temp is None:
        return "Winter is near"
    trend = signs.water_trend_c()
    return f"Water is {temp:.0f} °C" + (" and falling" if trend is not None and trend <= -0.5 else "")


def _else_words(signs: FilterSigns, window: Window, today: date) -> str:
    if window.reopens_on is None:
        return ""
    day = window.reopens_on
    if window.closed_by is not None and window.closed_by.kind in ("cold", "brumation"):
        day = preferred_from(day, is_southern=signs.is_southern)
    month = FULL_MONTHS[day.month - 1]
    return f", else {month}" + ("" if (day - today).days <= PLAIN_DAY_DAYS else f" {day.year}")


def workable_from(window: Window, *, is_southern: bool) -> date | None:
    """The day from which every page says that work on it may begin: today while it is open, after a winter not before
    the animals are about. None: not within the coming fourteen months."""
    if window.opens_on is None or window.blocked_by is None or window.blocked_by.kind not in ("cold", "brumation"):
        return window.opens_on
    return preferred_from(window.opens_on, is_southern=is_southern)


def blocked_sentence(signs: FilterSigns, window: Window, today: date) -> str:
    """'They are in winter rest: leave them be until April.'; empty while the window is open."""
    if window.blocked_by is None:
        return ""
    # A new bed, or cold water over nobody, is left be for its own sake.
    is_nobody = window.blocked_by.kind == "young bed" or (window.blocked_by.kind == "cold" and not signs.n_animals)
    leave = LEAVE_IT if is_nobody else LEAVE_THEM
    if window.opens_on is None:
        return f"{window.blocked_by.text.rstrip('.')}: {leave}."
    day = workable_from(window, is_southern=signs.is_southern) or window.opens_on
    near = (day - today).days <= 60
    until = day_words(day, today) if near else FULL_MONTHS[day.month - 1]
    return f"{window.blocked_by.text.rstrip('.')}: {leave} until about {until}."


def year_of_water(monthly_temp_c: tuple[float, ...], today: date, *, n_days: int = HORIZON_DAYS) -> tuple[float, ...]:
    """Expected water from twelve mid-month values, a day at a time from today: a stand-in where no fit to own tests is at hand."""
    values = []
    for i in range(n_days):
        at = (today + timedelta(days=i)).timetuple().tm_yday / 365.25 * 12 - 0.5
        low = int(at // 1) % 12
        share = at % 1
        values.append(monthly_temp_c[low] * (1 - share) + monthly_temp_c[(low + 1) % 12] * share)
    return tuple(values)
