"""The load ahead: the filter's own feeding level, its appetite by season, the growth of its stock, what is planned, and leaves.

Feed on a day is level x appetite(temperature) x (stock mass)^x x planned changes. Appetite and exponent are weighted by how well they fit
the filter's own fortnights; the level is last year's feed over last year's shape, so that season is counted once and a forecast made
in winter does not say "never".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from . import priors
from .daily_load import DEFAULT_DRY_G_PER_METABOLIC_G, appetite, begun_log_days, litter_weights, season_mask
from .history import History
from .inputs import FilterEvidence, SeasonSpan
from .priors import Floats
from .run import Drawn
from .stock import Stock, stock_for
from .temperature import temperatures_c

Q10S = np.array([2.0, 2.5, 3.0, 3.5, 4.0])
STOPS_C = np.array([-3.0, -1.5, 0.0, 1.5, 3.0])  # about the taxon's own
EXPONENTS = np.array([0.6, 0.75, 0.9])
FIT_DAYS = 730
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
GROWTH_DOUBT = 0.35  # the same, of next year's growth where weights are known
TREND_SPAN_YEARS = 0.25  # a trend seen over this long is half believed
TREND_PRIOR_VARIANCE = 0.5
YOUNG_TREND = 2.4  # log per year: x .75 of a hatchling's growth
YOUNG_FEED_G_PER_DAY = (0.15, 0.6)  # dry: all of an enclosure's animals together weigh less than about 15 and 60 g
BLOCK_DAYS = 7
PERIOD = priors.NOISE_PERIOD_DAYS


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class FutureLoad:
    """What lies ahead of as_of, in blocks of a week.

    `feed_kg` (shapes, blocks): dry feed eaten under each shape; `shape_weights` how likely each is. `mix` (sources,) the share of each food
    class; `left_per_eaten` what is left in the water per unit eaten.
    """

    first_on: date
    days: np.ndarray  # running days per block
    temp_c: Floats
    feed_kg: Floats
    shape_weights: Floats
    mix: Floats
    left_per_eaten: float
    litter_base: Floats
    litter_autumn: Floats
    unlogged_kg: Floats | None
    level_spread: float
    habit_per_root_year: float
    horizon_days: int

    @property
    def n_blocks(self) -> int:
        return len(self.days)

    def scaled(self, factor: float) -> FutureLoad:
        """The same future with all feed times `factor`: a what-if."""
        unlogged = None if self.unlogged_kg is None else self.unlogged_kg * factor
        return replace(self, feed_kg=self.feed_kg * factor, unlogged_kg=unlogged)


def future_load(history: History, *, horizon_days: int) -> FutureLoad:
    """The load for horizon_days after history.as_of, from what was known then."""
    e, as_of, load = history.evidence, history.as_of, history.load
    back = min(load.n_days, FIT_DAYS)
    start = as_of - timedelta(days=back - 1)
    n_days = back + horizon_days
    temp_c = temperatures_c(e, start=start, n_days=n_days, as_of=as_of)
    stock = stock_for(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c)
    fed_days = ~unfed_mask(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c) & stock.is_present
    change = _planned(e, start=start, n_days=n_days)
    running = ~unfed_mask(e, start=start, n_days=n_days, as_of=as_of, temp_c=temp_c, kinds=("drained",))
    shapes, prior = _shapes(e, temp_c, stock, fed_days * change)
    eaten = load.sources_kg.sum(axis=1)[-back:]
    weights, daily, level_spread, habit = _levels(e, shapes, prior, eaten, back, stock)
    ahead = slice(back, n_days)
    n_classes = len(load.classes)
    recent = load.sources_kg[-LEVEL_DAYS:]
    mix = recent[:, :n_classes].sum(axis=0)
    if mix.sum() <= 0:
        mix = load.sources_kg[:, :n_classes].sum(axis=0)
    offered = float(load.sources_kg[-LEVEL_DAYS:].sum())
    base, autumn = litter_weights(
        start,
        n_days,
        is_southern=e.is_southern,
        is_outdoors=not e.is_indoor,
        surface_m2=(e.surface_m2 or 0.0) * e.feed_share,
    )
    unlogged = None
    if history.unlogged_kind == "stock":
        grams = DEFAULT_DRY_G_PER_METABOLIC_G * stock.metabolic(0.75) * appetite(temp_c, stop_c=e.feeding_stops_below_c)
        unlogged = grams * fed_days * change * e.feed_share / 1000.0
    elif history.unlogged_kind == "readings":
        unlogged = np.full(n_days, float(history.unlogged_kg.sum()) / load.n_days) * change
    edges = np.arange(0, horizon_days, BLOCK_DAYS)
    is_on = running[ahead]

    def blocks(values: Floats) -> Floats:
        return np.add.reduceat(values[..., ahead] * is_on, edges, axis=-1)

    lengths = np.diff(np.append(edges, horizon_days))
    return FutureLoad(
        first_on=as_of + timedelta(days=1),
        days=np.add.reduceat(is_on.astype(int), edges),
        temp_c=np.round(np.add.reduceat(temp_c[ahead], edges) / lengths * 4) / 4,
        feed_kg=blocks(daily),
        shape_weights=weights,
        mix=mix / mix.sum() if mix.sum() > 0 else np.full(n_classes, 1.0 / n_classes),
        left_per_eaten=float(load.leftover_kg[-LEVEL_DAYS:].sum()) / offered if offered > 0 else 0.0,
        litter_base=blocks(base),
        litter_autumn=blocks(autumn),
        unlogged_kg=None if unlogged is None else blocks(unlogged),
        level_spread=level_spread,
        habit_per_root_year=habit,
        horizon_days=horizon_days,
    )


def future_loads_kg(future: FutureLoad, drawn: Drawn, rng: np.random.Generator) -> Floats:
    """Dry solids reaching the void per block and particle (blocks, n)."""
    n, n_blocks = drawn.n, future.n_blocks
    shape_of = _spread_out(future.shape_weights, n, rng)
    n_knots = (n_blocks * BLOCK_DAYS) // PERIOD + 2
    steps = rng.standard_normal((n_knots, n)) * (future.habit_per_root_year * np.sqrt(PERIOD / 365.25))
    steps[0] = rng.standard_normal(n) * future.level_spread
    habit = np.cumsum(steps, axis=0)
    noise = rng.standard_normal((n_knots, n)) * drawn.noise_sd - 0.5 * drawn.noise_sd**2
    period = (np.arange(n_blocks) * BLOCK_DAYS + BLOCK_DAYS // 2) // PERIOD
    swing = np.exp(habit + noise)
    mix = future.mix @ drawn.food[: len(future.mix)]
    per_eaten = drawn.s * mix + priors.ETA_LEFTOVER * future.left_per_eaten
    out = future.feed_kg.T[:, shape_of]
    out *= per_eaten
    if future.unlogged_kg is not None and drawn.unlogged is not None:
        out += future.unlogged_kg[:, None] * (drawn.s * drawn.unlogged)
    out *= swing[period]
    if future.litter_base.any() or future.litter_autumn.any():
        out += future.litter_base[:, None] * (drawn.litter_g * (1.0 - drawn.autumn))
        out += future.litter_autumn[:, None] * (drawn.litter_g * drawn.autumn)
    return out


def _spread_out(weights: Floats, n: int, rng: np.random.Generator) -> np.ndarray:
    """n shape numbers in proportion to their weights, in random order."""
    at = (rng.random() + np.arange(n)) / n
    index = np.minimum(np.searchsorted(np.cumsum(weights), at), len(weights) - 1)
    return rng.permutation(index)


def _planned(evidence: FilterEvidence, *, start: date, n_days: int) -> Floats:
    """Product of planned factors in force, per day."""
    out = np.ones(n_days)
    for change in evidence.planned:
        at = max((change.on - start).days, 0)
        if at < n_days:
            out[at:] *= max(change.feed_factor, 0.0)
    return out


def _shapes(evidence: FilterEvidence, temp_c: Floats, stock: Stock, possible: Floats) -> tuple[Floats, Floats]:
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


def _levels(
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


def unfed_mask(
    evidence: FilterEvidence,
    *,
    start: date,
    n_days: int,
    as_of: date,
    temp_c: Floats,
    kinds: tuple[str, ...] = ("brumation", "resting", "drained"),
) -> np.ndarray:
    """Days without feed: seasons on record, seasons planned, and, where nothing is planned, past winters repeated."""
    last = start + timedelta(days=n_days - 1)
    spans = list(_known_and_repeated(evidence, as_of=as_of, last=last, start=start, temp_c=temp_c))
    return season_mask(spans, kinds=kinds, start=start, n_days=n_days)


def _known_and_repeated(
    evidence: FilterEvidence, *, as_of: date, last: date, start: date, temp_c: Floats
) -> Iterable[SeasonSpan]:
    known = sorted((s for s in evidence.seasons if s.from_on <= as_of), key=lambda s: (s.from_on, s.kind))
    closed = [s for s in known if s.to_on is not None and s.to_on <= as_of]
    yield from closed
    planned = [s for s in evidence.planned_seasons if s.to_on is None or s.to_on > as_of]
    yield from planned
    planned_kinds = {s.kind for s in planned}
    for span in known:
        if span not in closed:
            yield SeasonSpan(
                kind=span.kind, from_on=span.from_on, to_on=_likely_end(span, closed, as_of, start, temp_c)
            )
    for kind in ("brumation", "resting", "drained"):
        mine = [s for s in known if s.kind == kind]
        if kind in planned_kinds or not mine or not _is_yearly(kind, mine):
            continue
        yield from _repeated(mine, closed, as_of=as_of, last=last)


def _is_yearly(kind: str, mine: list[SeasonSpan]) -> bool:
    """A winter's rest comes again; a drained spell (a repair) only if it came at the same season before."""
    if kind == "brumation":
        return True
    gaps = [(b.from_on - a.from_on).days for a in mine for b in mine if b.from_on > a.from_on]
    return any(abs(gap - 365) <= 45 for gap in gaps)


def _repeated(mine: list[SeasonSpan], closed: list[SeasonSpan], *, as_of: date, last: date) -> Iterable[SeasonSpan]:
    ended = [s for s in mine if s in closed and s.to_on is not None and 14 <= (s.to_on - s.from_on).days <= 300]
    if not ended:
        return
    model = ended[-1]
    assert model.to_on is not None
    latest = mine[-1].from_on
    for years in range(1, 12):
        from_on = model.from_on + timedelta(days=round(365.25 * years))
        if from_on > last:
            return
        to_on = model.to_on + timedelta(days=round(365.25 * years))
        if to_on > as_of and (from_on - latest).days > 180:
            yield SeasonSpan(kind=model.kind, from_on=max(from_on, as_of + timedelta(days=1)), to_on=to_on)


def _likely_end(span: SeasonSpan, closed: list[SeasonSpan], as_of: date, start: date, temp_c: Floats) -> date | None:
    """When a season still running will end: as past ones did, else when the water warms; None when nothing says so."""
    past = [s for s in closed if s.kind == span.kind and s.to_on is not None]
    if past:
        model = past[-1]
        assert model.to_on is not None
        return max(span.from_on + (model.to_on - model.from_on), as_of)
    if span.kind != "brumation":
        return None
    ahead = (as_of - start).days + 1
    warm = np.flatnonzero(temp_c[ahead:] >= 12.0)
    return as_of + timedelta(days=1 + int(warm[0])) if len(warm) else None
