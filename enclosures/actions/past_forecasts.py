"""Forecasts written down as they stood, and held against what came. Done at night: cheap when no quarter has begun and no void was read.

On the first day of each quarter one forecast of every upflow filter is kept, made from what had been entered by the end of that day, so it
makes no difference whether it is made that night or years later. A new version of the model makes them all again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any

from enclosures.evidence import load_filter_evidence, load_void_evidence
from enclosures.forecast.backtest import forecasts_on, past_forecast
from enclosures.forecast.outcomes import Outcome, outcome_of
from enclosures.forecast.outlook import MODEL_VERSION
from enclosures.forecast.past_forecasts import quarter_days
from enclosures.models import Cleanout, Facility, Feeding, Filter, ForecastTrial, Sounding

LEAST_HISTORY_DAYS = 180
LOOK_BACK_DAYS = 5 * 366
N_PARTICLES = 600


def keep_past_forecasts(
    *,
    facility: Facility,
    today: date,
    n_particles: int = N_PARTICLES,
    again: bool = False,
    progress: Callable[[date], None] = lambda _: None,
) -> tuple[int, int]:
    """Make the forecasts of quarters not yet kept, and say of all what came of them; how many were made, and how many changed.

    `again` makes all anew.
    """
    filters = list(Filter.objects.filter(enclosure__facility=facility).upflow().with_place().order_by("code"))
    kept = ForecastTrial.objects.filter(filter__in=filters)
    (kept if again else kept.exclude(model_version=MODEL_VERSION)).delete()
    there = set(kept.values_list("made_on", flat=True).distinct())
    n_made = 0
    for day in forecast_days(facility=facility, today=today):
        if day not in there:
            progress(day)
            n_made += _make(filters, day=day, facility=facility, n_particles=n_particles)
    return n_made, _resolve(filters, facility=facility, today=today)


def forecast_days(*, facility: Facility, today: date) -> list[date]:
    """First days of the quarters that are over, from half a year after the first record."""
    firsts = [
        model.all_rows.filter(**{f"{place}__facility": facility})
        .order_by("occurred_on")
        .values_list("occurred_on", flat=True)
        .first()
        for model, place in ((Feeding, "enclosure"), (Sounding, "filter__enclosure"), (Cleanout, "filter__enclosure"))
    ]
    seen = [day for day in firsts if day is not None]
    if not seen:
        return []
    first = max(min(seen) + timedelta(days=LEAST_HISTORY_DAYS), today - timedelta(days=LOOK_BACK_DAYS))
    return quarter_days(first, today - timedelta(days=1))


def _make(filters: list[Filter], *, day: date, facility: Facility, n_particles: int) -> int:
    evidences = load_filter_evidence(filters, as_of=day, zone=facility.zone)
    by_code = {row.code: row for row in filters}
    rows = []
    for made in forecasts_on(list(evidences.values()), as_of=day, n_particles=n_particles):
        said = past_forecast(made, Outcome())
        rows.append(
            ForecastTrial(
                filter=by_code[said.filter],
                made_on=day,
                model_version=MODEL_VERSION,
                ahead=list(said.ahead),
                rules={rule: round(days) for rule, days in said.rules.items()},
            )
        )
    return len(ForecastTrial.objects.bulk_create(rows, ignore_conflicts=True))


def _resolve(filters: list[Filter], *, facility: Facility, today: date) -> int:
    """Set down what came, by the records as they stand today: a correction may change what was thought to have come."""
    trials = list(ForecastTrial.objects.filter(filter__in=filters).defer("ahead", "rules"))
    if not trials:
        return 0
    known = load_void_evidence(filters, as_of=today, zone=facility.zone)
    changed = list(_changed(trials, known, today=today))
    ForecastTrial.objects.bulk_update(changed, ["kind", "resolved_on", "below_on"], batch_size=500)
    return len(changed)


def _changed(trials: list[ForecastTrial], known: dict[int, Any], *, today: date) -> Iterable[ForecastTrial]:
    for trial in trials:
        found = outcome_of(known[trial.filter_id], made_on=trial.made_on, until=today)
        if (trial.kind, trial.resolved_on, trial.below_on) != (found.kind, found.on, found.below_on):
            trial.kind, trial.resolved_on, trial.below_on = found.kind, found.on, found.below_on
            yield trial
