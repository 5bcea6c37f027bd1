"""From evidence to an answer: forecast, verdict and coping of filters as known on one day. Nothing here is stored.

Filters of one facility borrow strength: each is told what the records of the others teach, never what its own already said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from enclosures.actions.explained_form import explained_json
from enclosures.evidence import KnownFilter, load_filters
from enclosures.forecast.explained import explained_from
from enclosures.forecast.future_feed import FutureLoad, future_load
from enclosures.forecast.history import History, history_for
from enclosures.forecast.inputs import FilterEvidence, Outlook
from enclosures.forecast.next_reading import Narrowing, expected_narrowing_from
from enclosures.forecast.outlook import outlook_from, rng_for, seed_for, usable, without_geometry
from enclosures.forecast.pooling import Message, message_from, prior_from
from enclosures.forecast.posterior import Posterior, posterior_for, posterior_under
from enclosures.forecast.priors import Prior
from enclosures.forecast.temperature import temperatures_c
from enclosures.models import Filter
from enclosures.verdicts.coping import CopingVerdict, coping_of
from enclosures.verdicts.signs import FilterSigns
from enclosures.verdicts.urgency import FilterVerdict, judged, order_key
from enclosures.verdicts.windows import HORIZON_DAYS, workable_from

ASSUMED_LOWERS = 0.25  # of the last year's dry feed without a recipe of its own: one step less sure
LESS_SURE = {"good": "fair", "fair": "rough", "rough": "rough", "none": "none"}
AT_A_TIME = 40
FORECAST_DAYS = 1095


@dataclass(frozen=True, kw_only=True, slots=True)
class Judged:
    """One filter's answer on a day. `lesson`: what its own records teach the facility's other filters; `heard`: what theirs taught it;
    `narrowing`: what one sounding today would be worth; `explained`: why that is the answer, as plain values. All None without geometry."""

    filter: Filter
    outlook: Outlook
    verdict: FilterVerdict
    coping: CopingVerdict
    signs: FilterSigns
    lesson: Message | None
    narrowing: Narrowing | None
    explained: dict[str, Any] | None = None
    heard: Prior | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Belief:
    """What is believed of one filter once the others have spoken, and the future it is carried through: what-ifs start here.

    `seed` draws the very outlook that was judged.
    """

    known: KnownFilter
    history: History
    posterior: Posterior
    future: FutureLoad
    heard: Prior | None
    seed: int

    @property
    def outlook(self) -> Outlook:
        rng = np.random.default_rng(self.seed)
        return outlook_from(self.posterior, self.history, self.future, rng=rng, horizon_days=FORECAST_DAYS)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Believed:
    """What a filter's own records say, before it has heard of the others."""

    known: KnownFilter
    history: History | None
    posterior: Posterior | None
    lesson: Message | None


def judge_filters(
    filters: Iterable[Filter],
    *,
    as_of: date,
    zone: ZoneInfo,
    lessons: Mapping[str, Message] | None = None,
    progress: Callable[[int, Filter], None] | None = None,
) -> list[Judged]:
    """Each filter's answer, in the order given; records are read for some forty filters at a time.

    `lessons` are those of the facility's other filters, by code. Nothing after `as_of` is known, unless it is in the lessons.
    """
    believed: list[_Believed] = []
    for some in _in_turn(filters):
        for known in load_filters(some, as_of=as_of, zone=zone).values():
            believed.append(_believed(known, as_of=as_of))
            if progress is not None:
                progress(len(believed), known.filter)
    own = {each.known.filter.code: each.lesson for each in believed if each.lesson is not None}
    taught = {**(lessons or {}), **own}
    return [_judged(each, taught, as_of=as_of) for each in believed]


def _believed(known: KnownFilter, *, as_of: date) -> _Believed:
    history = history_for(usable(known.evidence), as_of=as_of)
    if history is None:
        return _Believed(known=known, history=None, posterior=None, lesson=None)
    posterior = posterior_for(history, rng=rng_for(known.filter.code, as_of))
    return _Believed(known=known, history=history, posterior=posterior, lesson=message_from(posterior))


def believe(filter: Filter, *, as_of: date, zone: ZoneInfo, heard: Prior | None) -> Belief | None:
    """One filter's belief with what it had heard of the others when it was judged; None without geometry."""
    for known in load_filters([filter], as_of=as_of, zone=zone).values():
        return _heard(_believed(known, as_of=as_of), heard, as_of=as_of)
    return None


def _judged(each: _Believed, taught: Mapping[str, Message], *, as_of: date) -> Judged:
    known = each.known
    belief = _heard(each, _taught_by_others(taught, known.filter.code), as_of=as_of)
    bare = belief.outlook if belief is not None else without_geometry(known.evidence, as_of=as_of)
    outlook = with_doubts(bare, known.evidence)
    signs = with_water_ahead(known.signs, known.evidence, as_of=as_of)
    verdict = judged(outlook, signs, as_of)
    return Judged(
        filter=known.filter,
        outlook=outlook,
        verdict=verdict,
        coping=coping_of(signs, as_of),
        signs=signs,
        lesson=each.lesson,
        narrowing=None if belief is None else _narrowing(belief),
        explained=None
        if belief is None
        else _explained(belief, outlook, cleanable_on=workable_from(verdict.window, is_southern=signs.is_southern)),
        heard=None if belief is None else belief.heard,
    )


def _taught_by_others(taught: Mapping[str, Message], code: str) -> Prior | None:
    return prior_from([taught[other] for other in sorted(taught) if other != code])


def _heard(each: _Believed, shared: Prior | None, *, as_of: date) -> Belief | None:
    """The belief once the others have spoken. The same facts on the same day give the same answer."""
    code, history, posterior = each.known.filter.code, each.history, each.posterior
    if history is None or posterior is None:
        return None
    if shared is not None:
        posterior = posterior_under(shared, posterior, history, rng=rng_for(f"{code}|pooled", as_of))
    return Belief(
        known=each.known,
        history=history,
        posterior=posterior,
        future=future_load(history, horizon_days=FORECAST_DAYS),
        heard=shared,
        seed=seed_for(code, as_of),
    )


def _narrowing(belief: Belief) -> Narrowing:
    return expected_narrowing_from(belief.posterior, belief.history, future=belief.future, horizon_days=FORECAST_DAYS)


def _explained(belief: Belief, outlook: Outlook, *, cleanable_on: date | None) -> dict[str, Any]:
    found = explained_from(
        belief.posterior,
        belief.history,
        belief.future,
        outlook=outlook,
        seed=belief.seed,
        cleanable_on=cleanable_on or date.max,
    )
    return explained_json(found, outlook, belief.known.evidence)


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
