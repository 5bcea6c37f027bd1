"""The forecast on other worlds: 15 facilities of each style, the forecast of every filter beside what came."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from enclosures.forecast.backtest import Case, Report, Resolved, forecasts_on, report_of

from . import STYLES, make_facility
from .calendar_and_climate import HORIZON_DAYS

FACILITIES_A_STYLE = 15
FILTERS_A_FACILITY = 8
N_PARTICLES = 600
SEED = 7
STYLE_GROUP = "style: "


def scored_report(*, progress: Callable[[str], None] = lambda _: None) -> Report:
    """Scores of the standing 960 filters, of each kind of case and of each style. Takes some minutes."""
    cases: list[Case] = []
    for style in STYLES:
        progress(style)
        for number in range(FACILITIES_A_STYLE):
            cases += cases_with_forecasts(style, number)
    return report_of(cases)


def cases_with_forecasts(style: str, number: int) -> Iterator[Case]:
    """What is forecast of one facility at its as_of, and the truth. Due days are cut off at the horizon, as the forecast's are."""
    rng = np.random.default_rng([SEED, STYLES.index(style), number])
    facility = make_facility(rng, style, n_filters=FILTERS_A_FACILITY, name=f"{style[:3]}{number}")
    truths = {case.evidence.filter: case for case in facility.cases}
    evidences = [case.evidence for case in facility.cases]
    for made in forecasts_on(evidences, as_of=facility.as_of, n_particles=N_PARTICLES):
        truth = truths[made.filter]
        yield Case(
            made=made,
            came=Resolved(due_days=min(truth.due_in_days, float(HORIZON_DAYS))),
            groups=truth.groups | {"all", f"{STYLE_GROUP}{style}"},
            true_fill=truth.true_fill,
        )
