"""manage.py backtest [--simulated N] [--format table|json]: how past forecasts turned out, beside rules of thumb."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date, timedelta
from typing import Any

import numpy as np
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from enclosures.actions.past_forecasts import forecast_days
from enclosures.evidence import load_filter_evidence
from enclosures.forecast.backtest import Report, Score, backtest_records, report_of, simulated_cases
from enclosures.forecast.inputs import FilterEvidence
from enclosures.forecast.past_forecasts import LEAST_AHEAD_DAYS
from enclosures.forecast.simulated import simulate_facility
from enclosures.forecast.simulated_truths import FAMILIES
from enclosures.models import Facility, Filter

LEAST_AHEAD = timedelta(days=LEAST_AHEAD_DAYS)
FILTERS_A_FACILITY = 8
LIMIT_SIMULATED = 5000
MOST_LINES = 40  # a line for each of many made-up filters would tell nobody anything


class Command(BaseCommand):
    help = (
        "Make past forecasts again from what was known then, and score them by what came after, beside a fixed interval, a "
        "straight line and feed sums. --simulated N uses about N made-up filters whose sludge does not follow the model; "
        "it touches no records."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--simulated", type=int, metavar="N", help="made-up filters instead of this facility's own")
        parser.add_argument("--seed", type=int, default=1, help="for --simulated (default 1)")
        parser.add_argument("--particles", type=int, default=600, help="per filter (default 600)")
        parser.add_argument("--format", choices=["table", "json"], default="table")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 100 <= options["particles"] <= 10_000:
            raise CommandError("--particles must lie between 100 and 10000.")
        if options["simulated"] is not None:
            report = self._simulated(options["simulated"], seed=options["seed"], n_particles=options["particles"])
        else:
            report = self._own(n_particles=options["particles"])
        if options["format"] == "json":
            self.stdout.write(json.dumps(report_json(report), ensure_ascii=False, indent=1))
        else:
            self.stdout.write(report_table(report))

    def _simulated(self, n_filters: int, *, seed: int, n_particles: int) -> Report:
        if not 1 <= n_filters <= LIMIT_SIMULATED:
            raise CommandError(f"--simulated must lie between 1 and {LIMIT_SIMULATED}.")
        cases = []
        n_facilities = -(-n_filters // FILTERS_A_FACILITY)
        for number in range(n_facilities):
            family = FAMILIES[number % len(FAMILIES)]
            here = min(FILTERS_A_FACILITY, n_filters - number * FILTERS_A_FACILITY)
            rng = np.random.default_rng([seed, number])
            facility = simulate_facility(rng, family=family, n_filters=here, name=f"S{number + 1}")
            cases += simulated_cases(facility, n_particles=n_particles)
            self.stderr.write(f"Made-up facility {number + 1} of {n_facilities} ({family}) …")
        return report_of(cases)

    def _own(self, *, n_particles: int) -> Report:
        facility = Facility.objects.first()
        if facility is None:
            raise CommandError(
                "There is no facility in this database yet: sign in as an administrator to begin one, or import records."
            )
        until = timezone.now().astimezone(facility.zone).date()
        filters = list(Filter.objects.filter(enclosure__facility=facility).upflow().with_place().order_by("code"))

        def known_on(day: date) -> list[FilterEvidence]:
            return list(load_filter_evidence(filters, as_of=day, zone=facility.zone).values())

        days = [day for day in forecast_days(facility=facility, today=until) if day <= until - LEAST_AHEAD]
        if not days:
            raise CommandError("The records are too short to look back on: at least half a year is needed.")
        return backtest_records(
            known_on,
            until=until,
            origins=days,
            n_particles=n_particles,
            progress=lambda day: self.stderr.write(f"What was forecast on {day} …"),
        )


def report_json(report: Report) -> dict[str, Any]:
    """Everything, numbers rounded; keys are stable."""
    return {
        "model_version": report.model_version,
        "groups": [_score_json(score) for score in report.scores],
        "filters": report.lines if len(report.lines) <= MOST_LINES else {},
    }


def _score_json(score: Score) -> dict[str, Any]:
    return {
        "group": score.group,
        "resolved": score.n,
        "censored": score.n_censored,
        "coverage_80": round(score.coverage, 4),
        "came_before_range": round(score.below, 4),
        "came_after_range": round(score.above, 4),
        "median_error_days": round(score.median_error, 1),
        "crps_days": round(score.crps, 2),
        "pinball_days": round(score.pinball, 2),
        "brier_180_days": round(score.brier, 4),
        "censored_log_score": None if score.censored_log is None else round(score.censored_log, 4),
        "median_fill_error": None if score.fill_error is None else round(score.fill_error, 4),
        "best_rule": score.best_rule,
        "error_over_best_rule": round(score.error_ratio, 3) if np.isfinite(score.error_ratio) else None,
        "rules": {
            rule: {
                "median_error_days": round(score.naive_median_error[rule], 1),
                "mean_error_days": round(score.naive_crps[rule], 1),
                "brier_180_days": round(score.naive_brier[rule], 4),
            }
            for rule in score.naive_median_error
        },
    }


def report_table(report: Report) -> str:
    """For a person: a row per group, then a line per filter."""
    if not report.scores:
        return "\n".join(["No forecast has come due yet, so there is nothing to score.", *_lines(report)])
    rows = [("group", "n", "in range", "error", "best rule", "error", "ratio", "chance", "rules")]
    for score in report.scores:
        rows.append(
            (
                score.group,
                str(score.n),
                f"{score.coverage:.0%}",
                f"{score.median_error:.0f} d",
                score.best_rule,
                f"{score.naive_median_error[score.best_rule]:.0f} d",
                f"{score.error_ratio:.2f}" if np.isfinite(score.error_ratio) else "-",
                f"{score.brier:.3f}",
                f"{min(score.naive_brier.values()):.3f}",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join(
        [
            f"Model {report.model_version}. In range: share of due days inside the 80 % range (aim 75-85 %). Error: median, days.",
            "Chance: Brier score of “due within 180 days”, less is better.",
            *lines,
            *_lines(report),
        ]
    )


def _lines(report: Report) -> list[str]:
    if len(report.lines) > MOST_LINES:
        return []
    return ["", *(f"{code}: {line}" for code, line in report.lines.items())] if report.lines else []
