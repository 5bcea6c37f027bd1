"""From evidence to an answer: forecast, verdict and coping of filters as known on one day. Nothing here is stored."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from zoneinfo import ZoneInfo

from enclosures.evidence import KnownFilter, load_filters
from enclosures.forecast.inputs import FilterEvidence, Outlook
from enclosures.forecast.outlook import outlook_for
from enclosures.forecast.temperature import temperatures_c
from enclosures.models import Filter
from enclosures.verdicts.coping import CopingVerdict, coping_of
from enclosures.verdicts.signs import FilterSigns
from enclosures.verdicts.urgency import FilterVerdict, judged, order_key
from enclosures.verdicts.windows import HORIZON_DAYS

ASSUMED_LOWERS = 0.25  # of the last year's dry feed without a recipe of its own: one step less sure
LESS_SURE = {"good": "fair", "fair": "rough", "rough": "rough", "none": "none"}
AT_A_TIME = 40


@dataclass(frozen=True, kw_only=True, slots=True)
class Judged:
    """One filter's answer on a day."""

    filter: Filter
    outlook: Outlook
    verdict: FilterVerdict
    coping: CopingVerdict
    signs: FilterSigns


def judge_filters(
    filters: Iterable[Filter],
    *,
    as_of: date,
    zone: ZoneInfo,
    progress: Callable[[int, Filter], None] | None = None,
) -> Iterator[Judged]:
    """Each filter's answer, in the order given. Records are read for some forty filters at a time."""
    n_done = 0
    for some in _in_turn(filters):
        for known in load_filters(some, as_of=as_of, zone=zone).values():
            yield judge(known, as_of=as_of)
            n_done += 1
            if progress is not None:
                progress(n_done, known.filter)


def judge(known: KnownFilter, *, as_of: date) -> Judged:
    """One filter's answer from what is known of it. The same facts on the same day give the same answer."""
    outlook = with_doubts(outlook_for(known.evidence, as_of=as_of), known.evidence)
    signs = with_water_ahead(known.signs, known.evidence, as_of=as_of)
    return Judged(
        filter=known.filter,
        outlook=outlook,
        verdict=judged(outlook, signs, as_of),
        coping=coping_of(signs, as_of),
        signs=signs,
    )


def most_urgent_first(answers: Iterable[Judged]) -> list[Judged]:
    return sorted(answers, key=lambda answer: order_key(answer.verdict))


def with_doubts(outlook: Outlook, evidence: FilterEvidence) -> Outlook:
    """Doubts about the records are said with the forecast; much feed without a recipe makes it less sure."""
    sureness = outlook.sureness
    if evidence.assumed_feed_share > ASSUMED_LOWERS:
        sureness = LESS_SURE[sureness]  # type: ignore[assignment]
    notes = (*outlook.notes, *(note for note in evidence.notes if note not in outlook.notes))
    return replace(outlook, sureness=sureness, notes=notes)


def with_water_ahead(signs: FilterSigns, evidence: FilterEvidence, *, as_of: date) -> FilterSigns:
    """The water to expect, day by day, from own tests and the climate: it opens and closes the working window."""
    ahead = temperatures_c(evidence, start=as_of, n_days=HORIZON_DAYS, as_of=as_of)
    return replace(signs, water_ahead_c=tuple(float(value) for value in ahead))


def _in_turn(filters: Iterable[Filter]) -> Iterator[list[Filter]]:
    waiting = iter(filters)
    while some := list(islice(waiting, AT_A_TIME)):
        yield some
