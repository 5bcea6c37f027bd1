"""US EPA 2013 ammonia criteria as a grey reference line, mg/L total ammonia nitrogen.

Made to protect freshwater fish, mussels and snails; not derived for turtles, and labelled so wherever shown. Valid for
pH 6.5-9.0 and 0-30 degC: outside, the nearest end is used and the answer says so. Source: EPA13, formulas read in
public code; the printed tables of OR30 are reproduced to two significant figures.
"""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.estimates.checks import check_ph, check_temp_c

PH_RANGE = (6.5, 9.0)
TEMP_RANGE_C = (0.0, 30.0)


@dataclass(frozen=True, slots=True)
class ReferenceLine:
    """A criterion at one pH and temperature.

    `is_outside_range`: taken at the nearest pH or temperature of the tables.
    """

    tan_mg_l_as_n: float
    is_outside_range: bool


def _clamped(*, ph: float, temp_c: float) -> tuple[float, float, bool]:
    check_ph(ph)
    check_temp_c(temp_c)
    inside_ph = min(max(ph, PH_RANGE[0]), PH_RANGE[1])
    inside_c = min(max(temp_c, TEMP_RANGE_C[0]), TEMP_RANGE_C[1])
    return inside_ph, inside_c, (inside_ph, inside_c) != (ph, temp_c)


def _ph_term(ph: float, *, low: float, high: float, pivot: float) -> float:
    return low / (1 + 10 ** (pivot - ph)) + high / (1 + 10 ** (ph - pivot))


def acute_EPA13(*, ph: float, temp_c: float, salmonids_present: bool) -> ReferenceLine:
    """Criterion maximum concentration: a one-hour mean not to be passed more than once in three years.

    Raises OutOfRange.
    """
    ph, temp_c, is_outside = _clamped(ph=ph, temp_c=temp_c)
    mussel = 23.12 * 10 ** (0.036 * (20 - temp_c))
    invertebrates = 0.7249 * _ph_term(ph, low=0.0114, high=1.6181, pivot=7.204)
    if salmonids_present:
        tan = min(_ph_term(ph, low=0.275, high=39.0, pivot=7.204), invertebrates * mussel)
    else:
        tan = invertebrates * min(51.93, mussel)
    return ReferenceLine(tan, is_outside)


def chronic_EPA13(*, ph: float, temp_c: float) -> ReferenceLine:
    """Criterion continuous concentration: a thirty-day mean; no four-day mean above 2.5 times it. Raises OutOfRange."""
    ph, temp_c, is_outside = _clamped(ph=ph, temp_c=temp_c)
    ph_term = _ph_term(ph, low=0.0278, high=1.1994, pivot=7.688)
    tan = 0.8876 * ph_term * 2.126 * 10 ** (0.028 * (20 - max(temp_c, 7.0)))
    return ReferenceLine(tan, is_outside)
