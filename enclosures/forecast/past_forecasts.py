"""Past forecasts held against what came: early or late, how often each stated share was right, and whether a rule of thumb did better.

Which forecasts count must not depend on what came of them, or the record would praise or blame by its own choosing. So a forecast counts when
the day it called likeliest lay at least sixty days ahead; and a day it named for so many in ten is judged once that day has passed and it is
known whether the void was due by then. To wait for the void to come due instead would, in a young record, pick those that came early.

Forecasts of one filling share its luck, so what chance alone may do is judged by the number of fillings, not of forecasts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import comb
from statistics import median
from typing import Literal

from .outcomes import Outcome

HORIZON_DAYS = 1095
LEAST_AHEAD_DAYS = 60
TENTHS = tuple(range(1, 10))
LEAST_FORECASTS, LEAST_FILLINGS = 10, 4  # fewer say nothing: judgement
ENOUGH_FORECASTS = 30
LUCK = 0.8  # what chance alone does eight times in ten
COUNTS = ("no", "one", "two", "three")

Leaning = Literal["fair", "early", "late", "narrow", "wide"]


@dataclass(frozen=True, kw_only=True, slots=True)
class PastForecast:
    """`ahead`: days from made_on by which it was said to be due once, twice ... nine times in ten (None: beyond the horizon); `rules`: the
    day each rule of thumb would have named, in days."""

    filter: str
    made_on: date
    ahead: tuple[int | None, ...]
    rules: Mapping[str, float] = field(default_factory=dict)
    outcome: Outcome = field(default_factory=Outcome)

    @property
    def is_ahead(self) -> bool:
        """It spoke of a day at least two months off."""
        return self.middle_days >= LEAST_AHEAD_DAYS

    @property
    def middle_days(self) -> int:
        """The day said to be the likeliest; one beyond the horizon counts as the horizon."""
        middle = self.ahead[4]
        return HORIZON_DAYS if middle is None else middle

    @property
    def came_days(self) -> int | None:
        """Days from made_on to the day it came due; None when it did not, or when that is not known."""
        return self._days_to(self.outcome.on) if self.outcome.kind == "came" else None

    @property
    def days_early(self) -> int | None:
        """Positive: it was said this many days before it came (early); negative: after (late)."""
        return None if self.came_days is None else self.came_days - self.middle_days

    @property
    def least_days_early(self) -> int | None:
        """How many days early it is at least, where the rod was still below the line after the day called likeliest."""
        below = self._days_to(self.outcome.below_on)
        return below - self.middle_days if below is not None and below > self.middle_days else None

    @property
    def is_inside(self) -> bool | None:
        """It came between the days said for one and for nine in ten; None when that is not known."""
        if self.came_days is None:
            return False if self.was_due_by(9) is False else None
        first = HORIZON_DAYS if self.ahead[0] is None else self.ahead[0]
        return self.came_days >= first and bool(self.was_due_by(9))

    def named_on(self, tenths: int) -> date | None:
        """The day named for so many in ten; None beyond the horizon."""
        days = self.ahead[tenths - 1]
        return None if days is None else self.made_on + timedelta(days=days)

    def was_due_by(self, tenths: int) -> bool | None:
        """Whether it was due by the day named for so many in ten; None when nobody knows."""
        named = self.named_on(tenths)
        if self.outcome.kind == "came" and self.outcome.on is not None:
            return named is None or self.outcome.on <= named
        below_on = self.outcome.below_on
        return False if named is not None and below_on is not None and below_on >= named else None

    def is_judged(self, tenths: int, *, today: date) -> bool:
        """The day named for so many in ten has passed, and it is known whether the void was due by then."""
        named = self.named_on(tenths)
        return self.is_ahead and named is not None and named <= today and self.was_due_by(tenths) is not None

    def _days_to(self, day: date | None) -> int | None:
        return None if day is None else (day - self.made_on).days


@dataclass(frozen=True, kw_only=True, slots=True)
class SaidInTenths:
    """Of n times a day was named for so many in ten, the void was due by then n_by times. `low` and `high` (shares) are what luck allows
    for so many fillings."""

    tenths: int
    n: int
    n_by: int
    n_fillings: int
    low: float
    high: float

    @property
    def said(self) -> float:
        return self.tenths / 10

    @property
    def came(self) -> float:
        return self.n_by / self.n if self.n else 0.0

    @property
    def n_right(self) -> int:
        """How many of them it should have been."""
        return round(self.n * self.said)


@dataclass(frozen=True, kw_only=True, slots=True)
class BesideRules:
    """Median error in days over those that came due, ours and that of the rule of thumb that did best in hindsight."""

    n: int
    ours: float
    best_rule: str
    best: float


@dataclass(frozen=True, kw_only=True, slots=True)
class TrackRecord:
    """`n` forecasts whose likeliest day can be judged, of n_fillings voids; `n_ranges` whose whole range has passed, `n_inside` of them came
    within it. Nothing is known of n_open (still filling) and n_unknown (cleaned too early, or unread) of the rest."""

    n: int
    n_fillings: int
    n_ranges: int
    n_inside: int
    n_open: int
    n_unknown: int
    shares: tuple[SaidInTenths, ...]
    beside: BesideRules | None

    @property
    def is_too_few(self) -> bool:
        return self.n < LEAST_FORECASTS or self.n_fillings < LEAST_FILLINGS

    @property
    def is_few(self) -> bool:
        return self.n < ENOUGH_FORECASTS

    @property
    def leaning(self) -> Leaning:
        """What luck does not explain: due days that come later than said (the forecasts are early), sooner (late), more often outside the
        range (too narrow) or less often (too wide). One share out of nine may stand outside by luck."""
        low_above, high_above = (self._n_outside(half, is_above=True) for half in ((1, 5), (5, 10)))
        low_below, high_below = (self._n_outside(half, is_above=False) for half in ((1, 5), (5, 10)))
        above, below = low_above + high_above, low_below + high_below
        if above + below < 2:
            return "fair"
        if low_above and high_below:
            return "narrow"
        if low_below and high_above:
            return "wide"
        return "late" if above > below else "early"

    def _n_outside(self, half: tuple[int, int], *, is_above: bool) -> int:
        some = [share for share in self.shares if half[0] <= share.tenths < half[1]]
        return sum(share.came > share.high if is_above else share.came < share.low for share in some)


def track_record(past: Iterable[PastForecast], *, today: date) -> TrackRecord:
    """All past forecasts of a facility taken together."""
    told = [each for each in past if each.is_ahead]
    shares = tuple(_share(tenths, told, today) for tenths in TENTHS)
    whole = [each for each in told if each.is_judged(9, today=today)]
    rest = [each for each in told if not each.is_judged(5, today=today) and each.outcome.kind != "came"]
    n_open = sum(each.outcome.kind == "open" for each in rest)
    return TrackRecord(
        n=shares[4].n,
        n_fillings=shares[4].n_fillings,
        n_ranges=len(whole),
        n_inside=sum(bool(each.is_inside) for each in whole),
        n_open=n_open,
        n_unknown=len(rest) - n_open,
        shares=shares,
        beside=_beside_rules([each for each in told if each.came_days is not None]),
    )


def fillings_of(past: Iterable[PastForecast]) -> dict[tuple[str, date | None], PastForecast]:
    """The latest forecast of each filling, by filter and the day it came or ended (None: still filling)."""
    latest: dict[tuple[str, date | None], PastForecast] = {}
    for each in sorted(past, key=lambda each: each.made_on):
        latest[each.filter, each.outcome.on] = each
    return latest


def _share(tenths: int, told: Sequence[PastForecast], today: date) -> SaidInTenths:
    judged = [each for each in told if each.is_judged(tenths, today=today)]
    n_fillings = len(fillings_of(judged))
    low, high = luck(n_fillings, tenths / 10)
    return SaidInTenths(
        tenths=tenths,
        n=len(judged),
        n_by=sum(bool(each.was_due_by(tenths)) for each in judged),
        n_fillings=n_fillings,
        low=low,
        high=high,
    )


def luck(n: int, share: float) -> tuple[float, float]:
    """Between which shares of n a thing of this chance falls eight times in ten (binomial, the tails cut at one in ten each)."""
    if n == 0:
        return 0.0, 1.0
    low = high = None
    total = 0.0
    for k in range(n + 1):
        total += comb(n, k) * share**k * (1 - share) ** (n - k)
        if low is None and total > (1 - LUCK) / 2:
            low = k
        if high is None and total >= 1 - (1 - LUCK) / 2:
            high = k
    return (low or 0) / n, (n if high is None else high) / n


def _beside_rules(scored: Sequence[PastForecast]) -> BesideRules | None:
    rules = [rule for rule in (scored[0].rules if scored else ()) if all(rule in each.rules for each in scored)]
    if not rules:
        return None
    errors = {rule: median(abs(each.rules[rule] - (each.came_days or 0)) for each in scored) for rule in rules}
    best = min(errors, key=errors.__getitem__)
    ours = median(abs(each.days_early or 0) for each in scored)
    return BesideRules(n=len(scored), ours=ours, best_rule=best, best=errors[best])


def record_line(past: Iterable[PastForecast], *, n_last: int = 3, least_ahead_days: int = LEAST_AHEAD_DAYS) -> str:
    """ "The last three forecasts: 12 days early, 20 days late, right to the day."

    Early: the day said stood before the day it came. One forecast per filling, the latest made far enough ahead;
    a void cleaned before it was due is neither.
    """
    told = [each for each in past if each.is_ahead]
    by_filling = fillings_of(each for each in told if each.came_days is not None)
    last = sorted(by_filling.values(), key=lambda each: (each.outcome.on or each.made_on, each.made_on))[-n_last:]
    if not last:
        kinds = {each.outcome.kind for each in told}
        if "cleaned" in kinds:
            return "Always cleaned before it was due, so we cannot tell how early or late its forecasts were."
        if "unread" in kinds:
            return "Emptied with no reading of the rod at the time, so we cannot tell how early or late its forecasts were."
        return "No forecast has come due yet."
    said = ", ".join(early_words(each.days_early or 0) for each in last)
    return f"The last forecast was {said}." if len(last) == 1 else f"The last {COUNTS[len(last)]} forecasts: {said}."


def early_words(days_early: int) -> str:
    """'12 days early', '1 day late', 'right to the day'."""
    if days_early == 0:
        return "right to the day"
    days = abs(days_early)
    return f"{days} day{'s' if days > 1 else ''} {'early' if days_early > 0 else 'late'}"


def quarter_days(first: date, last: date) -> list[date]:
    """First days of January, April, July and October within a range: on these a facility's forecasts are written down."""
    days = [date(year, month, 1) for year in range(first.year, last.year + 1) for month in (1, 4, 7, 10)]
    return [day for day in days if first <= day <= last]
