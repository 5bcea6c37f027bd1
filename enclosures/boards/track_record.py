"""What was kept of past forecasts, read back; and one honest line per filter for the pages that show the next one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from enclosures.forecast.outcomes import Outcome
from enclosures.forecast.past_forecasts import PastForecast, record_line
from enclosures.models import Filter, ForecastTrial
from enclosures.verdicts.words import kept_together


def load_past_forecasts(filters: Iterable[Filter]) -> dict[int, list[PastForecast]]:
    """By filter id, oldest first. One query."""
    rows = (
        ForecastTrial.objects.filter(filter__in=list(filters))
        .order_by("made_on", "pk")
        .values_list("filter_id", "filter__code", "made_on", "ahead", "rules", "kind", "resolved_on", "below_on")
    )
    found: dict[int, list[PastForecast]] = defaultdict(list)
    for pk, code, made_on, ahead, rules, kind, on, below_on in rows:
        found[pk].append(
            PastForecast(
                filter=code,
                made_on=made_on,
                ahead=tuple(ahead),
                rules=rules,
                outcome=Outcome(kind=kind, on=on, below_on=below_on),
            )
        )
    return found


def load_record_lines(filters: Iterable[Filter], *, only_scored: bool = False) -> dict[int, str]:
    """The line of each filter, by its id. `only_scored` leaves out those of which nothing has come due yet."""
    return {
        pk: kept_together(record_line(past))
        for pk, past in load_past_forecasts(filters).items()
        if not only_scored or any(each.is_ahead and each.came_days is not None for each in past)
    }
