"""When a job that was done now and then is due again, from its own past. Silent until there is a past to go by."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

RECENT = 6  # gaps looked at
FEWEST_TIMES = 3  # twice may be chance
GIVEN_UP_AFTER = 4  # not done for so many of its own gaps: it is no habit any more


def usual_gap_days(days: Iterable[date], *, least: int = 1, most: int = 90) -> int | None:
    """The middle one of the last gaps between the days it was done, within `least` and `most`; None without a habit."""
    done = sorted(set(days))
    if len(done) < FEWEST_TIMES:
        return None
    gaps = [(after - before).days for before, after in pairwise(done)][-RECENT:]
    return min(max(round(median(gaps)), least), most)


def due_again(days: Iterable[date], today: date, *, least: int = 1, most: int = 90) -> bool:
    """Whether the usual gap is over today, and the habit has not been given up."""
    done = sorted(day for day in set(days) if day <= today)
    gap = usual_gap_days(done, least=least, most=most)
    if gap is None:
        return False
    since = (today - done[-1]).days
    return gap <= since <= GIVEN_UP_AFTER * max(gap, 7)


def usual_on(days: Iterable[date], today: date) -> bool:
    """Whether today is a day for it: done on this weekday in one of the last two weeks, or its usual gap is over."""
    done = [day for day in set(days) if day < today]
    back = {today - timedelta(days=7), today - timedelta(days=14)}
    return bool(back & set(done)) or due_again(done, today)
