"""How past forecasts turned out: made again from what was known on earlier days, resolved by what came after, scored beside rules of thumb.

A forecast is resolved when a reading first stood at the due level (between two readings: on the line between them). A void cleaned or last read
below it is censored: it counts with the log score of "not yet", and by the rest only if the truth is known, as in simulated facilities.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from .due_dates import first_passage_days, project, weighted_quantiles
from .future_feed import future_load
from .inputs import FilterEvidence
from .naive_rules import RULES, naive_days
from .outcomes import Outcome, Resolved, outcome_of, resolve
from .outlook import MODEL_VERSION, rng_for
from .past_forecasts import HORIZON_DAYS, TENTHS, PastForecast, record_line
from .pooling import Believed, pooled_posteriors
from .priors import Floats
from .scoring import censored_log_score, crps_ensemble, pinball
from .simulated import SimulatedFacility

BRIER_DAYS = 180
LEVELS = (0.1, 0.5, 0.9)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ForecastMade:
    """What was said of one filter on one day: days to due per particle (inf: beyond the horizon), and the rules of thumb's days."""

    filter: str
    as_of: date
    days: Floats
    weights: Floats
    naive: dict[str, float]
    fill: Floats

    @property
    def quantiles(self) -> tuple[float, float, float]:
        p10, p50, p90 = weighted_quantiles(np.minimum(self.days, HORIZON_DAYS), self.weights, LEVELS)
        return p10, p50, p90

    @property
    def tenths(self) -> tuple[int | None, ...]:
        """Days ahead by which it would be due once, twice ... nine times in ten; None beyond the horizon."""
        days = weighted_quantiles(self.days, self.weights, tuple(tenths / 10 for tenths in TENTHS))
        return tuple(int(day) if np.isfinite(day) else None for day in days)

    def chance_within(self, days: float) -> float:
        return float(self.weights[self.days <= days].sum() / self.weights.sum())


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Case:
    made: ForecastMade
    came: Resolved
    groups: frozenset[str] = frozenset()
    true_fill: float | None = None

    @property
    def days_late(self) -> float | None:
        """How much later than the middle forecast it came (negative: the forecast was late); None when censored."""
        return None if self.came.due_days is None else self.came.due_days - self.made.quantiles[1]


@dataclass(frozen=True, kw_only=True, slots=True)
class Score:
    """Scores of one group. Days; shares 0-1. `naive_*` by rule of thumb; a rule is a forecast without a range."""

    group: str
    n: int
    n_censored: int
    coverage: float
    below: float  # came before P10
    above: float  # came after P90
    median_error: float
    crps: float
    pinball: float
    brier: float
    censored_log: float | None
    fill_error: float | None
    naive_median_error: dict[str, float]
    naive_crps: dict[str, float]
    naive_brier: dict[str, float]

    @property
    def best_rule(self) -> str:
        return min(self.naive_median_error, key=self.naive_median_error.__getitem__)

    @property
    def error_ratio(self) -> float:
        """Median error over that of the best rule of thumb in this very group."""
        best = self.naive_median_error[self.best_rule]
        return self.median_error / best if best > 0 else float("inf")


@dataclass(frozen=True, kw_only=True, slots=True)
class Report:
    """Scores by group (the first is "all"), one honest line per filter, and the version of the model that was scored."""

    model_version: str
    scores: tuple[Score, ...]
    lines: dict[str, str]

    def of(self, group: str) -> Score:
        return next(score for score in self.scores if score.group == group)


def forecasts_on(
    evidences: Sequence[FilterEvidence], *, as_of: date, n_particles: int = 1000, is_pooled: bool = True
) -> list[ForecastMade]:
    """What would have been said of the filters of one facility at the end of as_of."""
    if is_pooled:
        believed = pooled_posteriors(evidences, as_of=as_of, n_particles=n_particles)
    else:
        believed = {}
        for evidence in evidences:
            believed |= pooled_posteriors([evidence], as_of=as_of, n_particles=n_particles)
    return [_made(e, believed[e.filter], as_of) for e in evidences if e.filter in believed]


def _made(evidence: FilterEvidence, believed: Believed, as_of: date) -> ForecastMade:
    history, posterior = believed.history, believed.posterior
    future = future_load(history, horizon_days=HORIZON_DAYS)
    projection = project(posterior, history, future, rng=rng_for(evidence.filter, as_of))
    return ForecastMade(
        filter=evidence.filter,
        as_of=as_of,
        days=first_passage_days(projection, history.geometry.due_fill, horizon_days=HORIZON_DAYS),
        weights=projection.weights,
        naive=naive_days(evidence, as_of=as_of, horizon_days=HORIZON_DAYS),
        fill=projection.fills[0],
    )


def backtest_records(
    evidences_on: Callable[[date], Sequence[FilterEvidence]],
    *,
    until: date,
    origins: Iterable[date],
    n_particles: int = 1000,
    progress: Callable[[date], None] = lambda _: None,
) -> Report:
    """Roll through a facility's own past. `evidences_on(day)` gives what was known on that day and nothing entered later.

    Counted is each forecast whose likeliest day lay at least sixty days ahead, as on the page of past forecasts: chosen by what was
    said, never by what came, which would leave out the voids that came due sooner than anyone said.
    """
    final = {e.filter: e for e in evidences_on(until)}
    cases, past = [], []
    for as_of in sorted(origins):
        progress(as_of)
        for made in forecasts_on(evidences_on(as_of), as_of=as_of, n_particles=n_particles):
            evidence = final.get(made.filter)
            if evidence is None:
                continue
            said = past_forecast(made, outcome_of(evidence, made_on=as_of, until=until))
            past.append(said)
            came = resolve(evidence, as_of=as_of, until=until)
            if came is not None and said.is_ahead:
                cases.append(Case(made=made, came=came, groups=frozenset({"all", _place(evidence)})))
    return report_of(cases, past=past)


def _place(evidence: FilterEvidence) -> str:
    return "indoors" if evidence.is_indoor else "ponds"


def simulated_cases(facility: SimulatedFacility, *, n_particles: int = 600, is_pooled: bool = True) -> list[Case]:
    """Forecasts of a simulated facility at each of its origins, with the truth beside them."""
    cases = []
    evidences = [f.evidence for f in facility.filters]
    by_code = {f.evidence.filter: f for f in facility.filters}
    for as_of in facility.origins:
        for made in forecasts_on(evidences, as_of=as_of, n_particles=n_particles, is_pooled=is_pooled):
            mine = by_code[made.filter]
            due = mine.due_in_days(as_of)
            came = Resolved(due_days=min(due, float(HORIZON_DAYS)))
            groups = mine.groups_on(as_of) | {f"sludge: {mine.family}"}
            cases.append(Case(made=made, came=came, groups=groups, true_fill=mine.fill_on(as_of)))
    return cases


def report_of(cases: Sequence[Case], *, past: Sequence[PastForecast] | None = None) -> Report:
    """Scores of all cases and of every group, and a line per filter. Groups without a resolved case are left out.

    The lines tell of `past`, the same forecasts and those of which nothing came; without it, of the cases.
    """
    past = [_past(case) for case in cases] if past is None else past
    groups = sorted({g for case in cases for g in case.groups} - {"all"})
    scores = [score_of(cases, group="all")] if cases else []
    scores += [score_of([c for c in cases if group in c.groups], group=group) for group in groups]
    filters = sorted({each.filter for each in past})
    return Report(
        model_version=MODEL_VERSION,
        scores=tuple(score for score in scores if score is not None),
        lines={code: record_line(each for each in past if each.filter == code) for code in filters},
    )


def score_of(cases: Sequence[Case], *, group: str) -> Score | None:
    """Scores of some cases; None when none is resolved."""
    done = [c for c in cases if c.came.due_days is not None]
    if not done:
        return None
    came = np.array([c.came.due_days for c in done], dtype=float)
    ranges = np.array([c.made.quantiles for c in done])
    errors = {rule: np.array([abs(c.made.naive[rule] - y) for c, y in zip(done, came, strict=True)]) for rule in RULES}
    is_due = came <= BRIER_DAYS
    censored = [
        censored_log_score(c.made.days, c.came.not_by_days, c.made.weights)
        for c in cases
        if c.came.not_by_days is not None
    ]
    fills = [
        abs(weighted_quantiles(c.made.fill, c.made.weights)[1] - c.true_fill) for c in done if c.true_fill is not None
    ]
    return Score(
        group=group,
        n=len(done),
        n_censored=len(censored),
        coverage=float(np.mean((ranges[:, 0] <= came) & (came <= ranges[:, 2]))),
        below=float(np.mean(came < ranges[:, 0])),
        above=float(np.mean(came > ranges[:, 2])),
        median_error=float(np.median(np.abs(ranges[:, 1] - came))),
        crps=float(np.mean([_crps(c, y) for c, y in zip(done, came, strict=True)])),
        pinball=float(np.mean([_pinball(r, y) for r, y in zip(ranges, came, strict=True)])),
        brier=float(
            np.mean([(c.made.chance_within(BRIER_DAYS) - due) ** 2 for c, due in zip(done, is_due, strict=True)])
        ),
        censored_log=float(np.mean(censored)) if censored else None,
        fill_error=float(np.median(fills)) if fills else None,
        naive_median_error={rule: float(np.median(e)) for rule, e in errors.items()},
        naive_crps={rule: float(np.mean(e)) for rule, e in errors.items()},
        naive_brier={
            rule: float(
                np.mean([((c.made.naive[rule] <= BRIER_DAYS) != due) for c, due in zip(done, is_due, strict=True)])
            )
            for rule in RULES
        },
    )


def _crps(case: Case, came: float) -> float:
    return crps_ensemble(np.minimum(case.made.days, HORIZON_DAYS), came, case.made.weights)


def _pinball(quantiles: Floats, came: float) -> float:
    return sum(pinball(q, level, came) for q, level in zip(quantiles, LEVELS, strict=True)) / len(LEVELS)


def _past(case: Case) -> PastForecast:
    came = case.came.due_days
    on = None if came is None else case.made.as_of + timedelta(days=int(came))
    return past_forecast(case.made, Outcome() if on is None else Outcome(kind="came", on=on))


def past_forecast(made: ForecastMade, outcome: Outcome) -> PastForecast:
    """What was said, in the short form that is kept."""
    return PastForecast(filter=made.filter, made_on=made.as_of, ahead=made.tenths, rules=made.naive, outcome=outcome)
