"""What the trade expects of a filter that has no past of its own: that its void is due within a couple of years.

"Every year or two, if the filter suits its load" is the custom. It is used in one direction only: a first cycle said to last longer than two
years is doubted, the more the longer; a short one is believed as it stands, because a filter that is overfed is just what must be seen. From
the first full cleanout on the filter's own past speaks and the custom is silent. It is silent too where the load goes away: a tank whose animals
leave may well last for ever.
"""

from __future__ import annotations

import numpy as np

from .future_feed import BLOCK_DAYS, FutureLoad
from .history import History
from .priors import Floats

LONG_CYCLE_DAYS = 730.0  # common practice, no source
LONG_CYCLE_SPREAD = 0.6  # log sd of the doubt beyond it: judgement
SAID_BELOW = 0.75  # of the belief, what doubt leaves: below it the doubt is said
LOAD_GOES_ON = 1 / 3  # of the past feed, what the year ahead must still bring for the custom to speak: judgement
BEYOND_DAYS = 2000.0  # stands for a day beyond the horizon


def has_custom(history: History, future: FutureLoad) -> bool:
    """Whether the custom speaks: a first cycle, and a load that goes on."""
    return is_first_cycle(history) and _load_goes_on(history, future)


def is_first_cycle(history: History) -> bool:
    """Begun empty and never emptied since, in the void it was built with."""
    return history.start_kind == "clean" and not any(event.kind != "sounding" for event in history.events)


def _load_goes_on(history: History, future: FutureLoad) -> bool:
    a_year = 365 // BLOCK_DAYS
    ahead = future.shape_weights @ future.feed_kg[:, :a_year]
    if future.turnover is not None and future.turnover_weights is not None:
        ahead = ahead * (future.turnover_weights @ future.turnover[:, :a_year])
    past = float(history.sources_kg.sum()) / history.load.n_days * BLOCK_DAYS * a_year
    return past > 0 and float(ahead.sum()) >= LOAD_GOES_ON * past


def doubted(weights: Floats, days_to_due: Floats, history: History) -> Floats:
    """Weights (summing to one) once long first cycles are doubted; days_to_due per particle, inf beyond the horizon."""
    elapsed = (history.as_of - history.start).days
    cycle = np.minimum(days_to_due, BEYOND_DAYS) + elapsed
    excess = np.maximum(np.log(cycle / LONG_CYCLE_DAYS), 0.0) / LONG_CYCLE_SPREAD
    log_w = np.log(weights + 1e-300) - 0.5 * excess**2
    out = np.exp(log_w - log_w.max())
    return out / out.sum()


def doubt_words(before: Floats, after: Floats) -> tuple[str, ...]:
    """What must be said where doubt changed the answer: the share of the belief that it left is small."""
    left = after / np.maximum(before, 1e-300)
    if np.array_equal(before, after) or float(left @ before / left.max()) >= SAID_BELOW * float(before.sum()):
        return ()
    return (
        "By its feed alone this void would last longer. A first filling of more than two years is rare, "
        "so an earlier day is said until a rod shows otherwise.",
    )
