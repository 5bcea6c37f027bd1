"""From entries to days: dry feed eaten and left, gaps in the log imputed and marked, leaves, temperature, drained spells."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from . import priors
from .inputs import FilterEvidence
from .priors import Floats
from .stock import Stock, stock_for
from .temperature import temperatures_c

LEFT_SHARE = {"all": 0.0, "most": 0.15, "some": 0.5, "none": 1.0, "": 0.07}
MONTH_WEIGHTS = np.array([0.3, 0.3, 0.6, 1.0, 1.1, 1.0, 0.9, 0.9, 1.1, 2.2, 2.0, 0.6])
AUTUMN_MONTHS = (10, 11)
MAX_GAPS = 8  # gaps with a factor of their own; later ones share the last
GAP_TIMES_USUAL = 3
GAP_LEAST_DAYS = 5
UNKNOWN_INTERVAL_DAYS = 3  # between feedings, before four are on record
OTHER_YEARS_WINDOW = 10  # days either side
TRAILING_DAYS = 28
MOST_OF_BUSIEST = 1.25  # a gap is not filled with more than this times the busiest four weeks on record
APPETITE_Q10 = 3.0
APPETITE_TAPER_C = 3.0
DEFAULT_DRY_G_PER_METABOLIC_G = (
    0.020  # dry g/d per g^.75 at 25 degC, from 1 % of mass a feeding: common practice, no source
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Gap:
    """A stretch nobody logged, filled in from like days."""

    from_on: date
    to_on: date
    dry_g: float

    @property
    def n_days(self) -> int:
        return (self.to_on - self.from_on).days + 1


@dataclass(frozen=True, kw_only=True, eq=False)
class DailyLoad:
    """One row per day from `start` to the day of the forecast. Masses are kg dry, this filter's share.

    `sources` columns: eaten feed by food class, then each gap's imputed feed. `leftover_kg` is feed nobody ate.
    `litter_base` and `litter_autumn` are kg per unit of background (g/m2/yr) and unit of the non-autumn or autumn share.
    """

    start: date
    classes: tuple[str, ...]
    gaps: tuple[Gap, ...]
    sources_kg: Floats
    leftover_kg: Floats
    litter_base: Floats
    litter_autumn: Floats
    temp_c: Floats
    is_running: np.ndarray
    stock: Stock
    logged_kg: Floats  # offered, as logged, for "feed since cleanout"
    gap_mix: tuple[float, ...] = field(default=())  # median food factor of each gap's mixture
    unlogged_kg: Floats | None = None  # when no feed was ever logged: a default rate, learnt from readings

    @property
    def n_days(self) -> int:
        return len(self.temp_c)

    def on(self, index: int) -> date:
        return self.start + timedelta(days=int(index))


def appetite(temp_c: Floats, *, q10: float = APPETITE_Q10, stop_c: float) -> Floats:
    """Share of the appetite at 25 degC: Q10 above the stop temperature, tapering to nothing at it."""
    taper = np.clip((temp_c - stop_c) / APPETITE_TAPER_C, 0.0, 1.0)
    return taper * q10 ** ((temp_c - 25.0) / 10.0)


def litter_weights(
    start: date, n_days: int, *, is_southern: bool, is_outdoors: bool, surface_m2: float
) -> tuple[Floats, Floats]:
    """Daily background per g/m2/yr, split into the part outside autumn and the autumn part (each sums to a year's worth over a year)."""
    per_day = surface_m2 / 365_000.0
    if not is_outdoors:
        return np.full(n_days, per_day), np.zeros(n_days)
    months = _months(start, n_days)
    if is_southern:
        months = (months + 5) % 12 + 1
    autumn = np.isin(months, AUTUMN_MONTHS)
    weights = MONTH_WEIGHTS[months - 1]
    in_autumn = MONTH_WEIGHTS[[m - 1 for m in AUTUMN_MONTHS]].sum()
    base = np.where(autumn, 0.0, weights * 12.0 / (MONTH_WEIGHTS.sum() - in_autumn))
    return per_day * base, per_day * np.where(autumn, weights * 12.0 / in_autumn, 0.0)


def _months(start: date, n_days: int) -> np.ndarray:
    days = np.datetime64(start) + np.arange(n_days)
    return days.astype("datetime64[M]").astype(int) % 12 + 1


def season_mask(seasons, *, kinds: tuple[str, ...], start: date, n_days: int, as_of: date | None = None) -> np.ndarray:
    """Days inside a season of one of `kinds`. With as_of, an end after it is not yet known and the span runs on."""
    mask = np.zeros(n_days, dtype=bool)
    for span in seasons:
        if span.kind not in kinds or (as_of is not None and span.from_on > as_of):
            continue
        first = max((span.from_on - start).days, 0)
        open_end = span.to_on is None or (as_of is not None and span.to_on > as_of)
        last = n_days if open_end else (span.to_on - start).days + 1
        mask[first : max(last, first)] = True
    return mask


def daily_load(evidence: FilterEvidence, *, start: date, as_of: date, is_running_before_records: bool) -> DailyLoad:
    """All daily inputs of one filter from start to as_of (both counted).

    `is_running_before_records`: the filter stood on a stocked enclosure at `start`, so that days before the first feeding are a gap
    and not an empty tank.
    """
    n_days = (as_of - start).days + 1
    temp_c = temperatures_c(evidence, start=start, n_days=n_days, as_of=as_of)
    stock = stock_for(evidence, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c)
    drained = season_mask(evidence.seasons, kinds=("drained",), start=start, n_days=n_days, as_of=as_of)
    unfed = season_mask(
        evidence.seasons, kinds=("brumation", "resting", "drained"), start=start, n_days=n_days, as_of=as_of
    )
    classes, eaten, leftover, logged = _logged_feed(evidence, start, n_days, as_of)
    may_feed = ~unfed & (temp_c > evidence.feeding_stops_below_c) & stock.is_present
    spans = find_gaps(logged > 0, may_feed, lead_counts=is_running_before_records or stock.is_known)
    gaps, gap_eaten, gap_left, gap_mix = _fill_gaps(
        evidence, spans, may_feed, classes, eaten, leftover, logged, temp_c, start
    )
    base, autumn = litter_weights(
        start,
        n_days,
        is_southern=evidence.is_southern,
        is_outdoors=not evidence.is_indoor,
        surface_m2=(evidence.surface_m2 or 0.0) * evidence.feed_share,
    )
    unlogged = None
    if not logged.any() and stock.is_known:
        appetite_share = appetite(temp_c, stop_c=evidence.feeding_stops_below_c)
        grams = DEFAULT_DRY_G_PER_METABOLIC_G * stock.metabolic(0.75) * appetite_share * may_feed
        unlogged = grams * evidence.feed_share / 1000.0
    return DailyLoad(
        start=start,
        classes=classes,
        gaps=gaps,
        gap_mix=gap_mix,
        sources_kg=np.column_stack([eaten, gap_eaten]) if gaps else eaten,
        leftover_kg=leftover + gap_left,
        litter_base=base,
        litter_autumn=autumn,
        temp_c=temp_c,
        is_running=~drained,
        stock=stock,
        logged_kg=logged,
        unlogged_kg=unlogged,
    )


def _logged_feed(
    evidence: FilterEvidence, start: date, n_days: int, as_of: date
) -> tuple[tuple[str, ...], Floats, Floats, Floats]:
    """Eaten by class, left over, and offered, in kg dry per day for this filter."""
    portions = [p for p in evidence.feedings if start <= p.on <= as_of and p.dry_g > 0]
    classes = tuple(sorted({p.food_class for p in portions})) or (priors.REFERENCE_FOOD,)
    column = {name: i for i, name in enumerate(classes)}
    eaten, leftover, logged = np.zeros((n_days, len(classes))), np.zeros(n_days), np.zeros(n_days)
    share = evidence.feed_share / 1000.0
    first = start.toordinal()
    for portion in portions:
        day = portion.on.toordinal() - first
        left = LEFT_SHARE.get(portion.eaten, LEFT_SHARE[""]) * portion.dry_g
        removed = min(max(portion.removed_dry_g, 0.0), portion.dry_g)
        eaten[day, column[portion.food_class]] += (portion.dry_g - max(left, removed)) * share
        leftover[day] += max(left - removed, 0.0) * share
        logged[day] += portion.dry_g * share
    return classes, eaten, leftover, logged


def find_gaps(is_fed: np.ndarray, may_feed: np.ndarray, *, lead_counts: bool) -> list[tuple[int, int]]:
    """Unfed runs too long to be chance: (first, last) day, both counted.

    Longer than three times the usual interval (at least five days), counting only days on which feeding was possible. A run that opens
    the record counts only when animals were known to be there.
    """
    fed = np.flatnonzero(is_fed)
    if not len(fed):
        return []
    possible = np.concatenate([[0], np.cumsum(may_feed)])
    steps = np.array([possible[b] - possible[a + 1] + 1 for a, b in pairwise(fed)])
    usual = float(np.median(steps)) if len(steps) >= 3 else float(max([UNKNOWN_INTERVAL_DAYS, *steps]))
    least = max(GAP_TIMES_USUAL * usual, GAP_LEAST_DAYS)
    edges = [(-1, int(fed[0]))] if lead_counts else []
    edges += [(int(a), int(b)) for a, b in pairwise(fed)]
    edges.append((int(fed[-1]), len(is_fed)))
    return [(a + 1, b - 1) for a, b in edges if possible[b] - possible[a + 1] > least]


def _fill_gaps(evidence, spans, may_feed, classes, eaten, leftover, logged, temp_c, start):
    """Imputed feed per gap from the same weeks of other years, else from the nearest logged weeks scaled by appetite."""
    n_days = len(logged)
    in_gap = np.zeros(n_days, dtype=bool)
    for first, last in spans:
        in_gap[first : last + 1] = True
    fed = np.flatnonzero(logged > 0)
    gap_left = np.zeros(n_days)
    gaps, columns, mixes = [], [], []
    hunger = appetite(temp_c, stop_c=evidence.feeding_stops_below_c) + 1e-3
    offsets = np.array([np.exp(priors.FOOD_OFFSET.get(name, 0.0)) for name in classes])
    total_eaten = eaten.sum(axis=1)
    most = MOST_OF_BUSIEST * _busiest_month(total_eaten, fed)
    for number, (first, last) in enumerate(spans):
        days = np.arange(first, last + 1)
        days = days[may_feed[days]]
        near = _nearest_logged(fed, first, last, in_gap)
        per_hunger = total_eaten[near].sum() / hunger[near].sum() / _days_per_day(near, logged)
        left_ratio = _left_per_eaten(leftover, total_eaten, near)
        amount = np.zeros(n_days)
        amount[days] = per_hunger * hunger[days]
        for day in days:
            like = _other_years(int(day), n_days, in_gap, fed)
            if like is not None:
                amount[day] = total_eaten[like].mean()
        amount = np.minimum(amount, most)
        mix = eaten[near].sum(axis=0)
        mixes.append(float(mix @ offsets / mix.sum()) if mix.sum() > 0 else 1.0)
        gap_left += amount * left_ratio
        if number < MAX_GAPS:
            columns.append(amount)
        else:
            columns[-1] = columns[-1] + amount
            mixes.pop()
        gaps.append(
            Gap(
                from_on=start + timedelta(days=int(days[0])),
                to_on=start + timedelta(days=int(days[-1])),
                dry_g=float(amount.sum() * (1 + left_ratio) * 1000.0),
            )
        )
    stacked = np.column_stack(columns) if columns else np.zeros((n_days, 0))
    return tuple(gaps), stacked, gap_left, tuple(mixes)


def _left_per_eaten(leftover: Floats, eaten: Floats, near: np.ndarray) -> float:
    """What was left per kilogram eaten around a gap; where everything was refused just then, as in the whole log."""
    if eaten[near].sum() >= leftover[near].sum():
        return float(leftover[near].sum() / max(eaten[near].sum(), 1e-12))
    return min(float(leftover.sum() / max(eaten.sum(), 1e-12)), 1.0)


def _busiest_month(eaten: Floats, fed: np.ndarray) -> float:
    """Daily mean of the four weeks with most feed (kg); of the whole log where it has only begun."""
    logged = int(fed[-1] - fed[0]) + 1 if len(fed) else 0
    if not logged:
        return 0.0
    if logged < TRAILING_DAYS:
        return float(eaten.sum() / begun_log_days(logged, len(fed)))
    running = np.concatenate([[0.0], np.cumsum(eaten)])
    return float((running[TRAILING_DAYS:] - running[:-TRAILING_DAYS]).max() / TRAILING_DAYS)


def begun_log_days(n_days: int, n_fed: int) -> float:
    """How many days of feeding a log of n_days that opens with a fed day stands for: a first feeding alone is no daily rate."""
    return (n_days + 1.5) * n_fed / (n_fed + 0.5)


def _days_per_day(near: np.ndarray, logged: Floats) -> float:
    n_fed = int((logged[near] > 0).sum())
    return max(begun_log_days(len(near), n_fed) / len(near), 1.0)


def _nearest_logged(fed: np.ndarray, first: int, last: int, in_gap: np.ndarray) -> np.ndarray:
    """The four weeks of logged days before the gap, or after it where it opens the record."""
    before = fed[fed < first]
    if len(before):
        end = int(before[-1])
        span = np.arange(max(end - TRAILING_DAYS + 1, int(fed[0])), end + 1)
    else:
        begin = int(fed[fed > last][0])
        span = np.arange(begin, min(begin + TRAILING_DAYS, int(fed[-1]) + 1))
    kept = span[~in_gap[span]]
    return kept if len(kept) else span


def _other_years(day: int, n_days: int, in_gap: np.ndarray, fed: np.ndarray) -> np.ndarray | None:
    """Days within ten of the same date in other years, all of them logged; None when there are none."""
    found = []
    for years in (-3, -2, -1, 1, 2, 3):
        middle = day + round(365.25 * years)
        low, high = middle - OTHER_YEARS_WINDOW, middle + OTHER_YEARS_WINDOW
        if low < fed[0] or high > min(fed[-1], n_days - 1) or in_gap[low : high + 1].any():
            continue
        found.append(np.arange(low, high + 1))
    return np.concatenate(found) if found else None
