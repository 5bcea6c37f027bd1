"""Young animals move on and others follow: how the stock of a starter tank may change when nobody has written down a plan.

A batch of hatchlings lives in a starter tank for a year or so, then goes outdoors; the tank stands empty for a while and the next batch
arrives. To let the present batch grow for three years overstates the feed to come, and to read an empty tank as empty for ever says "never"
where the answer is "when it is stocked again". So the future is a number of scenarios: when the batch leaves (from how long earlier batches
stayed here and from the custom of the trade), how long the tank stands empty, whether it is stocked again. A plan on record takes their place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from statistics import NormalDist, median

import numpy as np

from .inputs import FilterEvidence, StaySpan
from .priors import Floats
from .stock import YOUNG_BELOW_G, Stock
from .sureness import day_words

STAY_DAYS, STAY_SPREAD, STAY_WORTH = (
    420.0,
    0.4,
    2.0,
)  # "a year or so"; log sd; worth two batches: common practice, no source
EMPTY_DAYS, EMPTY_SPREAD, EMPTY_WORTH = 40.0, 1.0, 1.0  # between two batches: judgement
FOR_GOOD_OF = 5.0  # one batch in five is at home here and never moved on: judgement, worth five batches
NOT_AGAIN_OF = 5.0  # one tank in five is not stocked again
SAME_BATCH_DAYS = 45
LEAST_STAY_DAYS = 30.0
YOUNG_AT_ARRIVAL_DAYS = 365
METABOLIC = 0.75
N_LEAVING = 12
TINY = 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Batch:
    """Animals that came together: days counted from `start`. `left` is the day when fewer than half were still here, None: not yet."""

    animals: tuple[str, ...]
    came: int
    left: int | None
    is_young: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Turnover:
    """`stock` as if the present batch stayed on (an empty tank: as if the next came at once); per scenario a factor on its feed by day ahead.

    `factors` (scenarios, days after as_of), `weights` sum to one; `words` say what is taken for granted.
    """

    stock: Stock
    factors: Floats
    weights: Floats
    words: str


def turnover_for(evidence: FilterEvidence, stock: Stock, *, n_days: int, as_of: date) -> Turnover | None:
    """Scenarios of the stock after as_of; None where animals are grown, none is on record, or what is planned says it all."""
    if not evidence.is_indoor or not stock.is_known or evidence.planned:
        return None
    now = (as_of - stock.start).days
    batches = batches_of(evidence, start=stock.start, as_of=as_of)
    here = [batch for batch in batches if batch.left is None]
    past = [batch for batch in batches if batch.left is not None]
    if not batches or not batches[-1].is_young or not all(batch.is_young for batch in here):
        return None
    course = _course(stock, batches, now=now, n_days=n_days)
    empties_at = _empties_at(stock, now=now)
    has_plan = any(move.on > as_of for move in evidence.planned_moves)
    if course is None or (has_plan and empties_at is None):
        return None
    lengths = [float(batch.left - batch.came) for batch in past if batch.left is not None]
    lengths = [days for days in lengths if days >= LEAST_STAY_DAYS]
    pairs = pairwise(batches)
    empty = [float(max(after.came - before.left, 1)) for before, after in pairs if before.left is not None]
    waited = 0.0
    if empties_at is None:
        came = min((batch.came for batch in here), default=batches[-1].came)  # nobody but one held back
        leaving, moves_on = _leaving(lengths, now - came, n_before=len(past))
    else:
        leaving, moves_on = [float(empties_at - now)] * N_LEAVING, 1.0
        stock = _restocked(stock, batches[-1], at=empties_at)
        waited = 0.0 if here or batches[-1].left is None else float(now - batches[-1].left)
    base = stock.metabolic(METABOLIC)[now + 1 :]
    factors, weights = [np.ones(len(base))], [1.0 - moves_on]
    again = 1.0 - 1.0 / (NOT_AGAIN_OF + len(empty))
    pauses = _pauses(empty, waited)
    stay = float(np.exp(_pooled(lengths, STAY_DAYS, STAY_SPREAD, STAY_WORTH)[0]))
    for number, day in enumerate(leaving):
        pause = pauses[(5 * number) % len(pauses)]  # long and short pauses spread over early and late leaving
        for is_again, chance in ((True, again), (False, 1.0 - again)):
            path = _path(base, course, leaves=day, pause=pause, stay=stay, is_again=is_again)
            factors.append(path / np.maximum(base, TINY))
            weights.append(moves_on * chance / len(leaving))
    words = _words(as_of, leaving=leaving, is_empty=empties_at is not None, n_before=len(past))
    return Turnover(stock=stock, factors=np.array(factors), weights=np.array(weights), words=words)


def _empties_at(stock: Stock, *, now: int) -> int | None:
    """The day (from the stock's start) from which on nobody is here: today's number where it is so already; None while some stay."""
    there = np.flatnonzero(stock.is_present[now + 1 :])
    if not len(there):
        return now
    last = now + 1 + int(there[-1])
    return last if last < len(stock.is_present) - 1 else None


def _words(as_of: date, *, leaving: Sequence[float], is_empty: bool, n_before: int) -> str:
    if is_empty:
        return "No new batch is planned: another like the last is taken to follow before long, as is usual in a starter tank."
    day = day_words(as_of + timedelta(days=int(median(leaving))))
    custom = "a year or so is usual" if not n_before else "as batches before them did"
    return f"No move is planned: the young here are taken to move on about {day}, give or take some months ({custom}), and others to follow."


def batches_of(evidence: FilterEvidence, *, start: date, as_of: date) -> list[Batch]:
    """Arrivals within some weeks of each other, in order of coming."""
    stays = sorted((s for s in evidence.stays if s.from_on <= as_of), key=lambda s: (s.from_on, s.animal))
    groups: list[list[StaySpan]] = []
    for stay in stays:
        if groups and (stay.from_on - groups[-1][0].from_on).days <= SAME_BATCH_DAYS:
            groups[-1].append(stay)
        else:
            groups.append([stay])
    first_mass: dict[str, float] = {}
    for seen in evidence.weights:
        if seen.on <= as_of:
            first_mass.setdefault(seen.animal, seen.mass_g)
    return [_batch(group, first_mass, start=start, as_of=as_of) for group in groups]


def _batch(group: Sequence[StaySpan], first_mass: dict[str, float], *, start: date, as_of: date) -> Batch:
    gone = sorted((s.to_on - start).days for s in group if s.to_on is not None and s.to_on <= as_of)
    n_half = len(group) // 2 + 1
    young = 0
    for stay in group:
        if stay.hatched_on is not None:
            young += (stay.from_on - stay.hatched_on).days <= YOUNG_AT_ARRIVAL_DAYS
        else:
            young += first_mass.get(stay.animal, np.inf) <= YOUNG_BELOW_G
    return Batch(
        animals=tuple(stay.animal for stay in group),
        came=(group[0].from_on - start).days,
        left=gone[n_half - 1] if len(gone) >= n_half else None,
        is_young=2 * young > len(group),
    )


def _pooled(values: Sequence[float], middle: float, spread: float, worth: float) -> tuple[float, float]:
    """Log mean and sd of a duration from those seen and what is usual."""
    logs = np.log(values) if values else np.zeros(0)
    n = len(logs) + worth
    mean = (worth * np.log(middle) + logs.sum()) / n
    variance = (worth * (spread**2 + (np.log(middle) - mean) ** 2) + ((logs - mean) ** 2).sum()) / n
    return float(mean), float(np.sqrt(variance))


def _leaving(lengths: Sequence[float], elapsed: float, *, n_before: int) -> tuple[list[float], float]:
    """Days from now to leaving, equally likely, and the chance that the batch moves on at all."""
    mean, spread = _pooled(lengths, STAY_DAYS, STAY_SPREAD, STAY_WORTH)
    normal = NormalDist(mean, spread)
    still_here = max(1.0 - normal.cdf(float(np.log(max(elapsed, 1.0)))), 1e-3)
    levels = [1.0 - still_here * (1.0 - (i + 0.5) / N_LEAVING) for i in range(N_LEAVING)]
    days = [max(float(np.exp(normal.inv_cdf(min(level, 1 - 1e-9)))) - elapsed, 1.0) for level in levels]
    for_good = 1.0 / (FOR_GOOD_OF + n_before)
    return days, (1.0 - for_good) * still_here / ((1.0 - for_good) * still_here + for_good)


def _pauses(empty: Sequence[float], waited: float) -> list[float]:
    """Days the tank stands empty from now or from leaving, equally likely, given how long it has stood empty already."""
    mean, spread = _pooled(empty, EMPTY_DAYS, EMPTY_SPREAD, EMPTY_WORTH)
    normal = NormalDist(mean, spread)
    before = min(normal.cdf(float(np.log(max(waited, 1.0)))), 0.999)
    levels = [before + (1.0 - before) * (i + 0.5) / N_LEAVING for i in range(N_LEAVING)]
    return [max(float(np.exp(normal.inv_cdf(min(level, 1 - 1e-9)))) - waited, 1.0) for level in levels]


def _course(stock: Stock, batches: Sequence[Batch], *, now: int, n_days: int) -> Floats | None:
    """Metabolic mass of a batch by days since it came, from the batches seen here (the present one as it is expected to grow)."""
    sums, counts = np.zeros(n_days), np.zeros(n_days)
    for batch in batches:
        begin, end = max(batch.came, 0), n_days if batch.left is None else min(batch.left, now + 1)
        mass = stock.mass_g[_rows(stock, batch), begin:end]
        metabolic = np.where(mass > 0, np.maximum(mass, TINY) ** METABOLIC, 0.0).sum(axis=0)
        at = begin - batch.came
        span = min(np.count_nonzero(metabolic), max(n_days - at, 0))  # a planned leaving ends it too
        sums[at : at + span] += metabolic[:span]
        counts[at : at + span] += 1
    seen = np.flatnonzero(counts)
    return np.interp(np.arange(n_days), seen, sums[seen] / counts[seen]) if len(seen) else None


def _rows(stock: Stock, batch: Batch) -> list[int]:
    return [row for row, animal in enumerate(stock.animals) if animal in batch.animals]


def _restocked(stock: Stock, latest: Batch, *, at: int) -> Stock:
    """The stock with the last batch's masses once more from the day after `at` on, so that the feed ahead has something to scale by."""
    rows = _rows(stock, latest)
    begin, end = max(latest.came, 0), latest.left if latest.left is not None else at + 1
    past = stock.mass_g[rows, begin : max(end, begin + 1)]
    ahead = stock.mass_g.shape[1] - at - 1
    last = past.max(axis=1, initial=0.0)[:, None]
    mass = stock.mass_g.copy()
    mass[rows, at + 1 :] = np.hstack([past, np.repeat(last, ahead, axis=1)])[:, :ahead]
    return replace(stock, mass_g=mass)


def _path(base: Floats, course: Floats, *, leaves: float, pause: float, stay: float, is_again: bool) -> Floats:
    """Metabolic mass by day ahead under one scenario."""
    ahead = len(base)
    path = np.zeros(ahead)
    at = min(int(leaves), ahead)
    path[:at] = base[:at]
    while is_again:
        at += max(int(pause), 1)
        if at >= ahead:
            break
        span = min(int(stay), ahead - at, len(course))
        path[at : at + span] = course[:span]
        at += span
    return path
