"""Past forecasts held against what came: early or late, how often each stated share was right, and whether a rule of thumb did better.

A forecast counts when its void came due at least sixty days after it was made. Forecasts of one filling share its luck, so what chance alone
may do is judged by the number of fillings, not of forecasts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
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
    def came_days(self) -> int | None:
        """Days from made_on to the day it came due; None when it did not, or when that is not known."""
        if self.outcome.kind != "came" or self.outcome.on is None:
            return None
        return (self.outcome.on - self.made_on).days

    @property
    def is_scored(self) -> bool:
        return (self.came_days or 0) >= LEAST_AHEAD_DAYS

    @property
    def is_censored(self) -> bool:
        is_over = self.outcome.kind in ("cleaned", "unread") and self.outcome.on is not None
        return is_over and (self.outcome.on - self.made_on).days >= LEAST_AHEAD_DAYS  # type: ignore[operator]

    @property
    def middle_days(self) -> int:
        """The day said to be the likeliest; one beyond the horizon counts as the horizon."""
        middle = self.ahead[4]
        return HORIZON_DAYS if middle is None else middle

    @property
    def days_early(self) -> int | None:
        """Positive: it was said this many days before it came (early); negative: after (late)."""
        return None if self.came_days is None else self.came_days - self.middle_days

    @property
    def is_inside(self) -> bool | None:
        """Between the days said for one and for nine in ten."""
        if self.came_days is None:
            return None
        first = HORIZON_DAYS if self.ahead[0] is None else self.ahead[0]
        return self.came_days >= first and self.was_said_by(9)

    def was_said_by(self, tenths: int) -> bool:
        """It came no later than the day said for so many in ten."""
        return self.came_days is not None and _is_by(self.ahead[tenths - 1], self.came_days)


def _is_by(said: int | None, came: int) -> bool:
    return said is None or came <= said


@dataclass(frozen=True, kw_only=True, slots=True)
class SaidInTenths:
    """Of n times a day was named for so many in ten, the void was due by then n_by times. `low` and `high` (shares) are what luck allows."""

    tenths: int
    n: int
    n_by: int
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
    """Median error in days, ours and that of the rule of thumb that did best in hindsight."""

    ours: float
    best_rule: str
    best: float


@dataclass(frozen=True, kw_only=True, slots=True)
class TrackRecord:
    """`n_inside` of the scored forecasts fell within their range."""

    n: int
    n_fillings: int
    n_inside: int
    n_censored: int
    n_open: int
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


def track_record(past: Iterable[PastForecast]) -> TrackRecord:
    """All past forecasts of a facility taken together."""
    told = list(past)
    scored = [each for each in told if each.is_scored]
    n_fillings = len(fillings_of(scored))
    return TrackRecord(
        n=len(scored),
        n_fillings=n_fillings,
        n_inside=sum(bool(each.is_inside) for each in scored),
        n_censored=sum(each.is_censored for each in told),
        n_open=sum(each.outcome.kind == "open" for each in told),
        shares=tuple(_share(tenths, scored, n_fillings) for tenths in TENTHS),
        beside=_beside_rules(scored),
    )


def fillings_of(past: Iterable[PastForecast]) -> dict[tuple[str, date | None], PastForecast]:
    """The latest forecast of each filling, by filter and the day it came."""
    latest: dict[tuple[str, date | None], PastForecast] = {}
    for each in sorted(past, key=lambda each: each.made_on):
        latest[each.filter, each.outcome.on] = each
    return latest


def _share(tenths: int, scored: Sequence[PastForecast], n_fillings: int) -> SaidInTenths:
    low, high = luck(n_fillings, tenths / 10)
    n_by = sum(each.was_said_by(tenths) for each in scored)
    return SaidInTenths(tenths=tenths, n=len(scored), n_by=n_by, low=low, high=high)


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
    return BesideRules(ours=median(abs(each.days_early or 0) for each in scored), best_rule=best, best=errors[best])


def record_line(past: Iterable[PastForecast], *, n_last: int = 3, least_ahead_days: int = LEAST_AHEAD_DAYS) -> str:
    """ "The last three forecasts were 12 days early, 20 late, 5 late." Early: the day said stood before the day it came. One forecast per
    filling, the latest made far enough ahead; a void cleaned before it was due is neither."""
    told = list(past)
    by_filling = fillings_of(e for e in told if e.came_days is not None and e.came_days >= least_ahead_days)
    last = sorted(by_filling.values(), key=lambda each: (each.outcome.on or each.made_on, each.made_on))[-n_last:]
    if not last:
        kinds = {each.outcome.kind for each in told}
        if "cleaned" in kinds:
            return "Always cleaned before it was due, so we cannot tell how early or late its forecasts were."
        if "unread" in kinds:
            return "Emptied with no reading of the rod at the time, so we cannot tell how early or late its forecasts were."
        return "No forecast has come due yet."
    first, *others = (early_words(each.days_early or 0) for each in last)
    said = ", ".join([first, *(words.replace(" days ", " ").replace(" day ", " ") for words in others)])
    return (
        f"The last forecast was {said}." if len(last) == 1 else f"The last {COUNTS[len(last)]} forecasts were {said}."
    )


def early_words(days_early: int) -> str:
    """'12 days early', '1 day late', 'on the day'."""
    if days_early == 0:
        return "on the day"
    days = abs(days_early)
    return f"{days} day{'s' if days > 1 else ''} {'early' if days_early > 0 else 'late'}"


def quarter_days(first: date, last: date) -> list[date]:
    """First days of January, April, July and October within a range: on these a facility's forecasts are written down."""
    days = [date(year, month, 1) for year in range(first.year, last.year + 1) for month in (1, 4, 7, 10)]
    return [day for day in days if first <= day <= last]
