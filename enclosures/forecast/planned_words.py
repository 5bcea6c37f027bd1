"""What is decided for days ahead and counted in, said beside the outlook: who moves, when, and what that does to the feed here."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import groupby

from .inputs import FilterEvidence, PlannedMove, SeasonSpan
from .stock import Stock, stock_for
from .sureness import day_words
from .temperature import temperatures_c

HARDLY = 0.05  # a change of feed that nobody would notice
SEASON_WORDS = {"brumation": "Winter rest is", "drained": "A drained spell is", "resting": "A rest without animals is"}


def ahead_words(evidence: FilterEvidence, *, as_of: date) -> Iterator[str]:
    """One sentence for each day on which animals are to move, each season planned and each other change, in their order."""
    said = [(change.on, change.note) for change in evidence.planned if change.note and change.feed_factor != 1.0]
    moves = sorted((move for move in evidence.planned_moves if move.on > as_of), key=lambda move: move.on)
    if moves:
        n_days = (moves[-1].on - as_of).days + 2
        temp_c = temperatures_c(evidence, start=as_of, n_days=n_days, as_of=as_of)
        stock = stock_for(evidence, start=as_of, n_days=n_days, as_of=as_of, temp_c=temp_c)
        for on, together in groupby(moves, key=lambda move: move.on):
            said.append((on, _move_words(list(together), evidence, stock)))
    said += [(max(span.from_on, as_of), _season_words(span, as_of=as_of)) for span in evidence.planned_seasons]
    yield from (text for _, text in sorted(said))


def _move_words(moves: list[PlannedMove], evidence: FilterEvidence, stock: Stock) -> str:
    on = moves[0].on
    late = [move for move in moves if move.planned_for is not None]
    what = " and ".join(move.text for move in moves)
    if late:
        day = day_words(min(move.planned_for for move in late if move.planned_for is not None))
        return f"Planned for about {day} and not ticked off: {what}. It is counted from tomorrow: {_feed_words(on, evidence, stock)}."
    return f"On about {day_words(on)} {what}: {_feed_words(on, evidence, stock)}."


def _feed_words(on: date, evidence: FilterEvidence, stock: Stock) -> str:
    """What the day does to the feed here, by mass^.75 of those present before and after."""
    if not evidence.stays and evidence.feedings:
        return "it is not counted, for the animals that live here are not on record"
    at = (on - stock.start).days
    eating = stock.metabolic(0.75) if stock.is_known else None
    before, after = (0.0, 0.0) if eating is None else (float(eating[at - 1]), float(eating[at]))
    if after <= 0:
        return "the feed here is expected to fall to nothing"
    if before <= 0:
        return "feed is expected here from then on"
    ratio = after / before
    if abs(ratio - 1) < HARDLY:
        return "the feed here is expected to stay about the same"
    if ratio < 1:
        return f"the feed here is expected to fall by about {_fives(1 - ratio)} %"
    if ratio < 1.75:
        return f"the feed here is expected to rise by about {_fives(ratio - 1)} %"
    times = "twice" if ratio < 2.25 else f"{ratio:.1f} times" if ratio < 9.5 else f"{ratio:.0f} times"
    return f"the feed here is expected to rise to about {times} as much"


def _fives(share: float) -> int:
    """Per cent to the next five: nothing here is known better."""
    return round(share * 20) * 5


def _season_words(span: SeasonSpan, *, as_of: date) -> str:
    what = SEASON_WORDS.get(span.kind, "A change of season is")
    if span.from_on <= as_of:
        end = f" until about {day_words(span.to_on)}" if span.to_on is not None else " until further notice"
        return f"{what} planned{end}: no feed is counted until then."
    until = f" to about {day_words(span.to_on)}" if span.to_on is not None else " until further notice"
    return f"{what} planned from about {day_words(span.from_on)}{until}: no feed is counted then."
