"""How much this filter's animals are fed: appetite by season weighted by fit, last year's level, drift, growth and the keeper's habit."""

from __future__ import annotations

import numpy as np

from .daily_load import appetite, begun_log_days
from .inputs import FilterEvidence
from .priors import Floats
from .stock import Stock

Q10S = np.array([2.0, 2.5, 3.0, 3.5, 4.0])
STOPS_C = np.array([-3.0, -1.5, 0.0, 1.5, 3.0])  # about the taxon's own
EXPONENTS = np.array([0.6, 0.75, 0.9])
FORTNIGHT = 14
LEVEL_DAYS = 365
HABIT_PER_ROOT_YEAR = 0.15
HABIT_PSEUDO = 4.0
FORTNIGHT_SPREAD = 0.15  # log sd of a fortnight about its level
HABIT_RANGE = (0.05, 0.5)
NEW_LOG_SPREAD = 0.45  # log sd of the level while the log is days old
TREND_YEARS = 0.64  # an unexplained trend dies away over this, as the growth of young turtles does
MOST_TREND = 3.0  # log per year
TREND_DOUBT = 0.6  # share of a trend's whole effect by which the level may be off
GROWTH_DOUBT = 0.15  # the same, of next year's growth where weights are known
TREND_SPAN_YEARS = 0.25  # a trend seen over this long is half believed
TREND_PRIOR_VARIANCE = 0.5
YOUNG_TREND = 2.4  # log per year: x .75 of a hatchling's growth
YOUNG_FEED_G_PER_DAY = (0.15, 0.6)  # dry: all of an enclosure's animals together weigh less than about 15 and 60 g


def feed_shapes(evidence: FilterEvidence, temp_c: Floats, stock: Stock, possible: Floats) -> tuple[Floats, Floats]:
    """Every combination of Q10, stop temperature and mass exponent: daily shape (shapes, days) and prior weight."""
    stops = evidence.feeding_stops_below_c + STOPS_C
    hunger = np.array([[appetite(temp_c, q10=q, stop_c=stop) for stop in stops] for q in Q10S])
    exponents = EXPONENTS if stock.is_known else EXPONENTS[1:2]
    mass = np.array([stock.metabolic(x) for x in exponents])
    shapes = (hunger[:, :, None, :] * mass[None, None, :, :]) * possible
    prior = (
        np.exp(-0.5 * ((Q10S - 3.0) / 0.6) ** 2)[:, None, None]
        * np.exp(-0.5 * (STOPS_C / 1.5) ** 2)[None, :, None]
        * np.exp(-0.5 * ((exponents - 0.75) / 0.1) ** 2)[None, None, :]
    )
    flat = shapes.reshape(-1, len(temp_c))
    return flat, (prior / prior.sum()).reshape(-1)


def feed_levels(
    evidence: FilterEvidence, shapes: Floats, prior: Floats, eaten: Floats, back: int, stock: Stock
) -> tuple[Floats, Floats, float, float]:
    """Weight of each shape, the daily feed it foretells (shapes, all days), the level's log sd, and the habit's wander."""
    fed = np.flatnonzero(eaten > 0)
    if not len(fed):
        return prior, np.zeros_like(shapes), 0.0, HABIT_PER_ROOT_YEAR
    begin = max(back - LEVEL_DAYS, int(fed[0]))
    # a log that has only begun: its first day is a fed one, so the days alone would overstate the rate
    n_fed = int((fed >= begin).sum())
    is_whole = begin == int(fed[0])
    length = begun_log_days(back - begin, n_fed) if is_whole else float(back - begin)
    short = length / (back - begin)
    recent = shapes[:, begin:back].sum(axis=1)
    total = float(eaten[begin:back].sum())
    # a shape that says nobody ate on the very days they did is no shape to scale by
    per_shape = np.where(recent > 0, total / np.maximum(recent * short, 1e-12), 0.0)
    usable = recent > 0.02 * recent.max() if recent.max() > 0 else np.zeros(len(recent), dtype=bool)
    if not usable.any():
        flat = np.broadcast_to(total / length, shapes.shape)
        return prior, np.array(flat), NEW_LOG_SPREAD, HABIT_PER_ROOT_YEAR
    fitted = per_shape[:, None] * shapes
    seen, expected = _fortnights(eaten[int(fed[0]) : back]), _fortnights(fitted[:, int(fed[0]) : back])
    weights = _fit_weights(prior * usable, seen, expected)
    best = int(np.argmax(weights))
    ago, log_ratio, near = _recent(seen, expected[best])
    drift = _drift(log_ratio, near, is_indoor=evidence.is_indoor)
    slope = trusted = 0.0
    if (
        evidence.is_indoor and not stock.is_known
    ):  # outdoors the season would pass for a trend; weights tell growth better
        now = float(fitted[best, back - 1]) * np.exp(drift)
        slope, trusted = _trend(ago, log_ratio, youth=_youth(now))
    trend = slope * trusted
    ahead_years = np.maximum(np.arange(shapes.shape[1]) - back + 1, 0) / 365.25
    lift = np.exp(drift + trend * TREND_YEARS * (1.0 - np.exp(-ahead_years / TREND_YEARS)))
    spread = NEW_LOG_SPREAD * np.sqrt(max(1.0 - length / LEVEL_DAYS, 0.0)) + 0.05
    doubt = TREND_DOUBT * slope * TREND_YEARS * (1.0 - trusted / 2)
    if stock.is_known:
        mass = stock.metabolic(0.75)
        next_year = mass[min(back + LEVEL_DAYS, len(mass)) - 1]
        doubt = GROWTH_DOUBT * max(np.log(max(next_year, 1e-9) / max(mass[back - 1], 1e-9)), 0.0)
        doubt = min(doubt, 1.0)  # animals come and go
    spread = float(np.hypot(spread, doubt))
    return weights, fitted * lift, spread, _habit(seen, expected[best])


def _fortnights(values: Floats) -> Floats:
    """Sums over fortnights counted back from the end; what is left at the beginning is dropped."""
    n = values.shape[-1] // FORTNIGHT
    cut = values[..., values.shape[-1] - n * FORTNIGHT :]
    return cut.reshape(*values.shape[:-1], n, FORTNIGHT).sum(axis=-1)


def _fit_weights(prior: Floats, seen: Floats, expected: Floats) -> Floats:
    if len(seen) < 3:
        return prior / prior.sum()
    spread = 0.3 * expected + 0.1 * seen.mean() + 1e-12
    misfit = -0.5 * ((seen - expected) / spread) ** 2 - np.log(spread)
    score = 0.5 * misfit.sum(axis=1)  # neighbouring fortnights are not independent
    weights = prior * np.exp(score - score[prior > 0].max())
    return weights / weights.sum()


def _recent(seen: Floats, expected: Floats) -> tuple[Floats, Floats, Floats]:
    """Fortnights in season: years ago, log ratio of seen to expected feed, and weight (nearer counts more). Empty when too few."""
    in_season = expected > 0.2 * (expected.mean() if len(expected) else 0.0)
    if in_season.sum() < 3 or not seen.any():
        return np.zeros(0), np.zeros(0), np.zeros(0)
    floor = 0.05 * expected.mean()
    log_ratio = np.clip(np.log((seen + floor) / (expected + floor)), -2.0, 2.0)
    ago = np.arange(len(seen))[::-1] * FORTNIGHT / 365.25
    return ago[in_season], log_ratio[in_season], np.exp(-ago[in_season] / 0.25)


def _drift(log_ratio: Floats, weight: Floats, *, is_indoor: bool) -> float:
    """How far the last months stand off last year's level (log); outdoors less believed, for the season's fit is never perfect."""
    if not len(weight):
        return 0.0
    believed = weight.sum() / (weight.sum() + (1.0 if is_indoor else 4.0))
    return float(believed * (weight @ log_ratio) / weight.sum())


def _trend(ago: Floats, log_ratio: Floats, *, youth: float) -> tuple[float, float]:
    """Log trend per year of the feed, and how much of it to carry on (0-1): young animals on little food are expected to grow."""
    use = ago <= 1.0
    if use.sum() < 3:
        return youth * YOUNG_TREND, youth
    t, y = -ago[use] + ago[use].mean(), log_ratio[use] - log_ratio[use].mean()
    slope = float(np.clip(t @ y / (t @ t), -MOST_TREND, MOST_TREND))
    variance = (float(((y - slope * t) ** 2).sum()) + 3 * FORTNIGHT_SPREAD**2) / (len(t) + 1)
    told = TREND_PRIOR_VARIANCE / (TREND_PRIOR_VARIANCE + variance / float(t @ t))
    span = len(t) * FORTNIGHT / 365.25
    return told * slope + (1.0 - told) * youth * YOUNG_TREND, max(span / (span + TREND_SPAN_YEARS), youth)


def _youth(eaten_kg_per_day: float) -> float:
    """1 where so little is fed that only young animals can live on it, 0 where it might be anybody; those who are young will grow."""
    low, high = YOUNG_FEED_G_PER_DAY
    return float(np.clip((high - eaten_kg_per_day * 1000.0) / (high - low), 0.0, 1.0))


def _habit(seen: Floats, expected: Floats) -> float:
    """Wander of the feeding level per root year, from half-year ratios against four pseudo-observations."""
    half = 13
    n = len(seen) // half
    if n < 2:
        return HABIT_PER_ROOT_YEAR
    got = seen[-n * half :].reshape(n, half).sum(axis=1)
    meant = expected[-n * half :].reshape(n, half).sum(axis=1)
    good = (got > 0) & (meant > 0.1 * meant.mean())
    changes = np.diff(np.log(got[good] / meant[good])) if good.sum() > 1 else np.zeros(0)
    # two neighbouring half-year means of a random walk differ with a third of its yearly variance
    variance = (HABIT_PSEUDO * HABIT_PER_ROOT_YEAR**2 + 3.0 * float(changes @ changes)) / (HABIT_PSEUDO + len(changes))
    return float(np.clip(np.sqrt(variance), *HABIT_RANGE))
