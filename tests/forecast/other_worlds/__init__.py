"""Other worlds: facilities simulated by eight authors who think differently of sludge than the forecast does.

They are the forecast's held-out check. They were written without sight of it, and nothing in the forecast may be chosen on them: read the
report (`python -m tests.forecast.other_worlds`), change the model for reasons of its own, and do not change these worlds to suit it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from . import (
    breeding_station,
    calendar_cleaner,
    ecologist,
    engineer,
    messy_crew,
    odd_one_out,
    septic_law,
    uneven_flow,
)
from .calendar_and_climate import Days
from .records import Case

__all__ = ["STYLES", "Case", "Facility", "make_facility"]

AUTHORS: dict[str, Callable[..., list[Case]]] = {
    "engineer": engineer.make_cases,
    "ecologist": ecologist.make_cases,
    "messy_crew": messy_crew.make_cases,
    "breeding_station": breeding_station.make_cases,
    "calendar_cleaner": calendar_cleaner.make_cases,
    "uneven_flow": uneven_flow.make_cases,
    "odd_one_out": odd_one_out.make_cases,
    "septic_law": septic_law.make_cases,
}
STYLES: tuple[str, ...] = tuple(AUTHORS)
FIRST_AS_OF = date(2016, 1, 1)


@dataclass(frozen=True, kw_only=True)
class Facility:
    """Filters of one facility as known at the end of as_of, and what came."""

    as_of: date
    cases: tuple[Case, ...]


def make_facility(rng: np.random.Generator, style: str, *, n_filters: int = 8, name: str = "X") -> Facility:
    """A facility of one style on some day of ten years. The same generator makes the same facility. Raises KeyError for an unknown style."""
    author = AUTHORS[style]
    rng.random(1 + STYLES.index(style))  # so that one seed gives each style its own day
    as_of = FIRST_AS_OF + timedelta(days=int(rng.integers(0, 3650)))
    return Facility(as_of=as_of, cases=tuple(author(rng, Days(as_of), n_filters=n_filters, name=name)))
