"""Who eats here: presence and body mass of every animal, day by day, before and after the day of the forecast.

Growing animals follow ln m = L - A exp(-g x thermal years), fitted to their own weights or, before there are any, the curve of a small
turtle from hatching (3.3 g to about 25 g in nine months and 50 g at two years: common practice, no source).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from .inputs import Comer, FilterEvidence, PlannedMove, StaySpan
from .priors import Floats

GROWTH_PER_YEAR = 1.56  # at full warmth
GROWTH_SPAN = 2.9  # ln of final over hatching mass
HATCH_MASS_G = 3.4
YOUNG_BELOW_G = 40.0
GROWTH_RATES = (0.4, 0.55, 0.75, 1.0, 1.3, 1.7, 2.2)
WEIGHING_SPREAD = 0.04  # log sd of a weighing about the curve
REACH_SPREAD, RATE_SPREAD = 0.5, 0.4  # how far an animal may grow otherwise than usual
COLD_C, WARM_C = 12.0, 25.0  # growth stands still below the first and is full at the second
MOVER_TOLERANCE_DAYS = 28


@dataclass(frozen=True, kw_only=True, eq=False)
class Stock:
    """Per animal (rows) and day (columns) from `start`: mass in g, 0 while away. Empty when no stay is on record."""

    start: date
    mass_g: Floats
    animals: tuple[str, ...] = ()  # whose rows they are

    @property
    def is_known(self) -> bool:
        return self.mass_g.shape[0] > 0

    def metabolic(self, exponent: float) -> Floats:
        """Sum of mass^exponent over the animals present, per day; ones when the stock is not known."""
        if not self.is_known:
            return np.ones(self.mass_g.shape[1])
        present = self.mass_g > 0
        return np.where(present, np.where(present, self.mass_g, 1.0) ** exponent, 0.0).sum(axis=0)

    @property
    def is_present(self) -> np.ndarray:
        if not self.is_known:
            return np.ones(self.mass_g.shape[1], dtype=bool)
        return (self.mass_g > 0).any(axis=0)


def stock_for(evidence: FilterEvidence, *, start: date, n_days: int, as_of: date, temp_c: Floats) -> Stock:
    """Stock over n_days from start (temp_c of the same days). Stays and weights after as_of are not seen; planned moves are.

    Where the log has feed and the books no animal, nothing says how many there are, and so nothing what a few more or fewer would change.
    """
    by_animal: dict[str, list[StaySpan]] = defaultdict(list)
    for stay in evidence.stays:
        if stay.from_on <= as_of:
            by_animal[stay.animal].append(stay)
    moves = [move for move in evidence.planned_moves if move.on > as_of] if by_animal or not evidence.feedings else []
    comers = {comer.animal: (move.on, comer) for move in reversed(moves) for comer in move.coming}
    weights: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for seen in evidence.weights:
        if seen.on <= as_of and seen.mass_g > 0:
            weights[seen.animal].append(((seen.on - start).days, seen.mass_g))
    thermal = _thermal_years(temp_c)
    everyone = [w for animal in sorted(by_animal) for w in weights.get(animal, [])]
    typical = float(np.median([mass for _, mass in everyone])) if everyone else None
    rows = []
    animals = tuple(sorted({*by_animal, *comers}))
    for animal in animals:
        stays = sorted(by_animal[animal], key=lambda stay: (stay.from_on, stay.to_on or date.max))
        present = _presence(stays, start=start, n_days=n_days, as_of=as_of)
        _apply_moves(present, animal, moves, start=start, has_seasons=_moves_with_the_seasons(stays, as_of))
        hatched = next((stay.hatched_on for stay in stays if stay.hatched_on), None)
        seen, warmth = sorted(weights.get(animal, [])), thermal
        if animal in comers:
            on, comer = comers[animal]
            hatched = hatched or comer.hatched_on
            seen, warmth = _until_it_comes(comer, seen, on=on, start=start, temp_c=temp_c, thermal=thermal)
        mass = _mass(seen, hatched, typical, start=start, n_days=n_days, thermal=warmth)
        rows.append(np.where(present, mass, 0.0))
    return Stock(start=start, mass_g=np.array(rows) if rows else np.zeros((0, n_days)), animals=animals)


def _thermal_years(temp_c: Floats) -> Floats:
    warmth = np.clip((temp_c - COLD_C) / (WARM_C - COLD_C), 0.0, 1.2)
    return np.concatenate([[0.0], np.cumsum(warmth)[:-1]]) / 365.25


def _presence(stays: list[StaySpan], *, start: date, n_days: int, as_of: date) -> np.ndarray:
    """Days present; after as_of an open stay goes on, and an animal that moves in and out with the seasons repeats its last year."""
    present = np.zeros(n_days, dtype=bool)
    for stay in stays:
        first = max((stay.from_on - start).days, 0)
        gone = stay.to_on if stay.to_on is not None and stay.to_on <= as_of else None
        last = n_days if gone is None else (gone - start).days  # the day of leaving counts for the new place
        present[first : max(last, first)] = True
    if _moves_with_the_seasons(stays, as_of):
        now = (as_of - start).days
        for day in range(max(now + 1, 365), n_days):
            present[day] = present[day - 365]
    return present


def _apply_moves(
    present: np.ndarray, animal: str, moves: Sequence[PlannedMove], *, start: date, has_seasons: bool
) -> None:
    """Planned coming and going, in place. One that moves with the seasons goes on doing so: a planned turn stands for the yearly one
    near it, and one at another time of the year holds until the year turns to it anyway."""
    for move in moves:
        is_here = any(comer.animal == animal for comer in move.coming)
        if not is_here and animal not in move.leaving:
            continue
        at = max((move.on - start).days, 0)
        if not has_seasons or move.is_for_good:
            present[at:] = is_here
            continue
        back = max(at - MOVER_TOLERANCE_DAYS, 1)
        turns = [d for d in range(back, min(at, len(present))) if present[d] == is_here != present[d - 1]]
        if turns:
            present[turns[-1] : at] = not is_here
            continue
        there = np.flatnonzero(present[at:] == is_here)
        present[at : at + int(there[0]) if len(there) else len(present)] = is_here


def _until_it_comes(
    comer: Comer, seen: list[tuple[int, float]], *, on: date, start: date, temp_c: Floats, thermal: Floats
) -> tuple[list[tuple[int, float]], Floats]:
    """What it weighs and the warmth it grows by: until it comes that of the place it lives in now."""
    at = (on - start).days
    if not seen and comer.usual_mass_g is not None:
        return [(at, comer.usual_mass_g)], thermal
    if comer.lives_at_c is None:
        return seen, thermal
    return seen, _thermal_years(np.where(np.arange(len(temp_c)) < at, comer.lives_at_c, temp_c))


def _moves_with_the_seasons(stays: list[StaySpan], as_of: date) -> bool:
    """Two arrivals at about the same time in different years, the last within the past year and a month."""
    arrivals = [stay.from_on for stay in stays]
    if len(arrivals) < 2 or (as_of - arrivals[-1]).days > 400:
        return False
    year = (arrivals[-1] - arrivals[-2]).days
    return abs(year - 365) <= MOVER_TOLERANCE_DAYS


def _mass(
    seen: list[tuple[int, float]],
    hatched: date | None,
    typical: float | None,
    *,
    start: date,
    n_days: int,
    thermal: Floats,
) -> Floats:
    if not seen:
        if hatched is None:
            return np.full(n_days, typical if typical is not None else 1.0)
        seen = [((hatched - start).days, HATCH_MASS_G)]
    days = np.array([day for day, _ in seen], dtype=float)
    logs = np.log([mass for _, mass in seen])
    at = _thermal_at(thermal, days)
    usual = _young_growth(hatched, days, logs, start=start)
    is_fitted = len(seen) >= 3 and days[-1] - days[0] >= 60
    curves = _fitted_growth(at, logs, usual) if is_fitted else [(1.0, *usual)]
    grid = np.arange(n_days, dtype=float)
    between = np.interp(grid, days, logs)
    ahead = np.maximum(thermal - at[-1], 0.0)
    before = np.minimum(thermal - at[0], 0.0)
    gained = sum(weight * reach * (1.0 - np.exp(-rate * ahead)) for weight, rate, reach in curves)
    log_mass = np.where(grid > days[-1], logs[-1] + gained, between)
    if hatched is not None and seen[0][0] > (hatched - start).days:  # backwards to hatching on the log scale
        slope = (logs[0] - np.log(HATCH_MASS_G)) / max(days[0] - (hatched - start).days, 1.0)
        log_mass = np.where(grid < days[0], np.maximum(logs[0] + slope * (grid - days[0]), np.log(2.0)), log_mass)
    elif usual[1] > 0.05 and len(seen) < 3:
        log_mass = np.where(grid < days[0], np.maximum(logs[0] + usual[0] * usual[1] * before, np.log(2.0)), log_mass)
    return np.exp(log_mass)


def _thermal_at(thermal: Floats, days: Floats) -> Floats:
    inside = np.interp(days, np.arange(len(thermal)), thermal)
    return inside + np.minimum(days, 0.0) / 365.25 * 0.7  # before the first day: an ordinary year's warmth


def _fitted_growth(at: Floats, logs: Floats, usual: tuple[float, float]) -> list[tuple[float, float, float]]:
    """Curves (weight, rate, remaining log growth) by how well they fit an animal's own weights and how usual they are."""
    t = at - at[-1]
    target = logs - logs.mean()
    pull = (WEIGHING_SPREAD / REACH_SPREAD) ** 2
    curves, misfits = [], []
    for rate in GROWTH_RATES:
        basis = -np.exp(-rate * t)  # ln m = L + A * basis, basis -1 at the last weight
        centred = basis - basis.mean()
        reach = max(float(centred @ target + pull * usual[1]) / (float(centred @ centred) + pull), 0.0)
        misfit = float(((target - reach * centred) ** 2).sum()) / WEIGHING_SPREAD**2
        misfit += ((reach - usual[1]) / REACH_SPREAD) ** 2 + (np.log(rate / usual[0]) / RATE_SPREAD) ** 2
        curves.append((rate, reach))
        misfits.append(misfit)
    weights = np.exp(-0.25 * (np.array(misfits) - min(misfits)))  # weighings of one animal are not independent
    return [(float(w), rate, reach) for w, (rate, reach) in zip(weights / weights.sum(), curves, strict=True)]


def _young_growth(hatched: date | None, days: Floats, logs: Floats, *, start: date) -> tuple[float, float]:
    """Rate and remaining growth of an animal with few weights: by age, else by size; none for an animal already grown."""
    if hatched is not None:
        age = max((start - hatched).days + days[-1], 0.0) / 365.25
        return GROWTH_PER_YEAR, GROWTH_SPAN * float(np.exp(-GROWTH_PER_YEAR * age))
    mass = float(np.exp(logs[-1]))
    if mass >= YOUNG_BELOW_G:
        return GROWTH_PER_YEAR, 0.0
    grown = np.clip(np.log(mass / HATCH_MASS_G) / GROWTH_SPAN, 0.0, 1.0)
    return GROWTH_PER_YEAR, GROWTH_SPAN * float(1.0 - grown)
