"""Eggs: how long, and which way temperature tends to decide. Planning aids, never a sexing.

Fits made on an open data set (ROSIE, CC BY 4.0) over populations and studies together. Populations differ by a degree
or more, and temperatures that swing shift both answers; show the span, never "sex = ...".
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from enclosures.estimates.checks import check_positive, check_range

SexClass = Literal["Ia", "II", "GSD"]
DURATION_SLOPE_PER_C = 0.0708  # common slope of ln days, Q10 2.03
DURATION_LOG_SD = 0.089
POPULATION_SPREAD_C = 1.0


@dataclass(frozen=True, slots=True)
class HatchFit:
    """ln days = a - b T, given as days at 28 degC and the slope b, from `n` rows."""

    days_at_28c: float
    slope_per_c: float
    n: int


@dataclass(frozen=True, slots=True)
class SexFit:
    """Ia: males cool, females warm. II: females cool and warm, males between. GSD: temperature does not decide.

    `upper_c` is where half are male on the warm side, `width_c` the 5-95 % width there, `lower_c` the cool side of type
    II.
    """

    sex_class: SexClass
    upper_c: float | None = None
    width_c: float | None = None
    lower_c: float | None = None
    n: int = 0


HATCH_FITS: dict[str, HatchFit] = {
    "Malaclemys terrapin": HatchFit(58, 0.0764, 96),
    "Chelydra serpentina": HatchFit(62, 0.0557, 65),
    "Mauremys reevesii": HatchFit(72, 0.0637, 25),
    "Trachemys scripta": HatchFit(69, 0.1080, 12),
    "Mauremys mutica": HatchFit(72, 0.0787, 9),
    "Pelodiscus sinensis": HatchFit(63, 0.0598, 9),
    "Chrysemys picta": HatchFit(60, 0.0875, 6),
    "Pseudemys concinna": HatchFit(77, 0.0770, 6),
}
SEX_FITS: dict[str, SexFit] = {
    "Trachemys scripta": SexFit("Ia", 28.9, 2.7, None, 2964),
    "Chrysemys picta": SexFit("Ia", 28.3, 3.0, None, 3779),
    "Graptemys geographica": SexFit("Ia", 29.0, 1.5, None, 348),
    "Graptemys ouachitensis": SexFit("Ia", 29.3, 1.5, None, 1012),
    "Graptemys pseudogeographica": SexFit("Ia", 29.2, 1.5, None, 1096),
    "Emys orbicularis": SexFit("Ia", 28.5, 1.1, None, 1662),
    "Malaclemys terrapin": SexFit("Ia", 28.4, 3.3, None, 604),
    "Pseudemys concinna": SexFit("Ia", 28.0, 3.9, None, 415),
    "Clemmys guttata": SexFit("Ia", 27.5, 7.6, None, 136),
    "Emys blandingii": SexFit("Ia", 28.0, 2.9, None, 230),
    "Sternotherus odoratus": SexFit("II", 26.7, 3.2, 24.2, 693),
    "Sternotherus minor": SexFit("II", 26.0, 6.5, 24.6, 271),
    "Kinosternon baurii": SexFit("II", 26.5, 9.5, 22.9, 205),
    "Kinosternon scorpioides": SexFit("II", 27.5, 9.5, 22.3, 386),
    "Chelydra serpentina": SexFit("II", 27.4, 5.0, 21.6, 7746),
    "Apalone spinifera": SexFit("GSD"),
    "Pelodiscus sinensis": SexFit("GSD"),
}


def hatch_days(temp_c: float, *, days_at_28c: float, slope_per_c: float = DURATION_SLOPE_PER_C) -> float:
    """Days from laying to pipping at constant 22-32 degC, without diapause. Raises OutOfRange, BadQuantity."""
    check_range(temp_c, "temp_c", what="Incubation temperature", low=22, high=32, unit="°C")
    check_positive(days_at_28c, "days_at_28c")
    return days_at_28c * math.exp(-slope_per_c * (temp_c - 28.0))


def hatch_days_range(
    temp_c: float, *, days_at_28c: float, slope_per_c: float = DURATION_SLOPE_PER_C
) -> tuple[float, float]:
    """Days within which nine clutches in ten should pip (residual sd 0.089 on the log).

    Raises OutOfRange, BadQuantity.
    """
    middle = hatch_days(temp_c, days_at_28c=days_at_28c, slope_per_c=slope_per_c)
    factor = math.exp(1.645 * DURATION_LOG_SD)
    return middle / factor, middle * factor


def male_share(temp_c: float, fit: SexFit) -> float | None:
    """Expected share of males at a constant temperature; None where temperature does not decide. Raises OutOfRange.

    Logistic on the warm side with the fitted width; for type II the cool side is given the same width (JUDGEMENT).
    """
    check_range(temp_c, "temp_c", what="Incubation temperature", low=18, high=36, unit="°C")
    if fit.upper_c is None or fit.width_c is None:
        return None
    scale = fit.width_c / (2 * math.log(19))
    share = 1 / (1 + math.exp((temp_c - fit.upper_c) / scale))
    if fit.lower_c is not None:
        share *= 1 / (1 + math.exp((fit.lower_c - temp_c) / scale))
    return share


def male_share_range(temp_c: float, fit: SexFit) -> tuple[float, float] | None:
    """Span of the expected share when the population's own point lies a degree lower or higher. Raises OutOfRange."""
    shares = [
        male_share(min(36.0, max(18.0, temp_c + shift)), fit)
        for shift in (-POPULATION_SPREAD_C, 0.0, POPULATION_SPREAD_C)
    ]
    known = [share for share in shares if share is not None]
    return (min(known), max(known)) if known else None
