"""What a bed can nitrify, and what it needs for that.

Turtle data do not exist; rates are fish and sewage values with wide ranges, and whole-area rates do not scale well from
one medium to another (HOA11). Treat the ability as secondary information and learn it: `learned_rate_max` turns a
steady reading into this bed's own rate. In an upflow filter for turtles solids nearly always limit before nitrification
does.
"""

from __future__ import annotations

import math
from itertools import pairwise

from enclosures.estimates.checks import (
    check_fraction,
    check_mg_l,
    check_not_negative,
    check_ph,
    check_positive,
    check_temp_c,
)
from enclosures.estimates.coefficients import default

REFERENCE_C = 25.0
COLD_C = 10.0
NAHCO3_PER_CACO3 = 84.007 / 50.043  # g bicarbonate of soda per g of alkalinity as CaCO3


def areal_rate_monod(
    tan_mg_l: float,
    *,
    rate_max: float = default("areal_rate_max"),
    half_saturation: float = default("half_saturation_tan"),
) -> float:
    """g TAN per m2 and day at 25 degC in good water: R C / (K + C). Raises OutOfRange, BadQuantity."""
    check_mg_l(tan_mg_l, "tan_mg_l")
    check_positive(half_saturation, "half_saturation")
    return rate_max * tan_mg_l / (half_saturation + tan_mg_l)


def areal_rate_linear_MBC06(tan_mg_l: float, *, per_mg_l: float = default("areal_rate_linear")) -> float:
    """g TAN per m2 and day at 25 degC, proportional to TAN. For TAN below 1 mg/L only. Raises OutOfRange."""
    check_mg_l(tan_mg_l, "tan_mg_l")
    return per_mg_l * tan_mg_l


def temperature_factor(
    temp_c: float,
    *,
    theta: float = default("theta_nitrification"),
    theta_cold: float = default("theta_nitrification_cold"),
) -> float:
    """Rate relative to 25 degC: theta^(T - 25), and steeper (`theta_cold`) below 10 degC. Raises OutOfRange.

    1.043 where ammonia limits (Zhu & Chen 2002), 1.011 where oxygen does; 1.09 in the cold (Hoang et al. 2014).
    """
    check_temp_c(temp_c)
    warm_part = theta ** (max(temp_c, COLD_C) - REFERENCE_C)
    return warm_part * theta_cold ** min(0.0, temp_c - COLD_C)


def theta_from_two_rates(*, rate_share: float, temp_c: float, reference_c: float) -> float:
    """The theta that makes a rate `rate_share` times the rate at `reference_c`. Raises BadQuantity."""
    check_positive(rate_share, "rate_share")
    check_positive(abs(temp_c - reference_c), "temp_c - reference_c")
    return rate_share ** (1 / (temp_c - reference_c))


def oxygen_factor(do_out_mg_l: float, *, full_rate_mg_l: float = default("oxygen_full_rate")) -> float:
    """Part of the full rate oxygen at the outlet allows, 0-1: proportional up to 2 mg/L. Raises OutOfRange."""
    check_mg_l(do_out_mg_l, "do_out_mg_l")
    check_positive(full_rate_mg_l, "full_rate_mg_l")
    return min(1.0, do_out_mg_l / full_rate_mg_l)


# Optimum near 8, slow well below neutral, stopped about 5.5; the shape between is JUDGEMENT.
_PH_POINTS = ((5.5, 0.0), (6.0, 0.1), (6.5, 0.5), (7.0, 1.0), (8.5, 1.0), (9.5, 0.5), (10.5, 0.0))


def ph_factor(ph: float) -> float:
    """Part of the full rate the pH allows, 0-1: 1 from 7.0 to 8.5, 0.5 at 6.5, 0.1 at 6.0. Raises OutOfRange."""
    check_ph(ph)
    if ph <= _PH_POINTS[0][0]:
        return 0.0
    for (low_ph, low), (high_ph, high) in pairwise(_PH_POINTS):
        if ph <= high_ph:
            return low + (high - low) * (ph - low_ph) / (high_ph - low_ph)
    return 0.0


def bed_ability_g_per_day(
    *,
    media_m3: float,
    specific_surface_m2_m3: float,
    areal_rate: float,
    temp_c: float,
    access_share: float = default("access_share"),
    oxygen_share: float = 1.0,
    ph_share: float = 1.0,
) -> float:
    """TAN a bed can take, g/day: surface x rate at 25 degC x temperature x access x oxygen x pH. Raises OutOfRange."""
    check_not_negative(media_m3, "media_m3")
    check_not_negative(specific_surface_m2_m3, "specific_surface_m2_m3")
    check_not_negative(areal_rate, "areal_rate")
    for name, share in (("access_share", access_share), ("oxygen_share", oxygen_share), ("ph_share", ph_share)):
        check_fraction(share, name)
    surface_m2 = media_m3 * specific_surface_m2_m3
    return surface_m2 * areal_rate * temperature_factor(temp_c) * access_share * oxygen_share * ph_share


def steady_tan_mg_l(
    *, load_g_per_day: float, ability_max_g_per_day: float, half_saturation: float = default("half_saturation_tan")
) -> float:
    """TAN at which a bed just keeps up, mg/L; infinite when the load reaches what it can do at best.

    Raises OutOfRange.
    """
    check_not_negative(load_g_per_day, "load_g_per_day")
    check_not_negative(ability_max_g_per_day, "ability_max_g_per_day")
    if load_g_per_day >= ability_max_g_per_day:
        return math.inf if load_g_per_day else 0.0
    return half_saturation * load_g_per_day / (ability_max_g_per_day - load_g_per_day)


def learned_rate_max(
    *,
    load_g_per_day: float,
    surface_m2: float,
    tan_mg_l: float,
    half_saturation: float = default("half_saturation_tan"),
) -> float:
    """This bed's own rate at best, g TAN per m2 and day, from a steady load and reading. Raises BadQuantity.

    The inverse of `steady_tan_mg_l`; a reading at the kit's lower limit says only "at least".
    """
    check_positive(load_g_per_day, "load_g_per_day")
    check_positive(surface_m2, "surface_m2")
    check_positive(tan_mg_l, "tan_mg_l")
    return load_g_per_day * (half_saturation + tan_mg_l) / (surface_m2 * tan_mg_l)


def load_share(*, load_g_per_day: float, ability_g_per_day: float) -> float:
    """Load over ability: below 0.5 easy, to 1 watch, above it likely to show. Raises OutOfRange, BadQuantity."""
    check_not_negative(load_g_per_day, "load_g_per_day")
    check_positive(ability_g_per_day, "ability_g_per_day")
    return load_g_per_day / ability_g_per_day


def oxygen_g(tan_g: float, *, per_n: float = default("oxygen_per_n")) -> float:
    """Oxygen to nitrify so much TAN, g. Raises OutOfRange."""
    check_not_negative(tan_g, "tan_g")
    return tan_g * per_n


def alkalinity_g_caco3(tan_g: float, *, per_n: float = default("alkalinity_per_n")) -> float:
    """Alkalinity used up by nitrifying so much TAN, g as CaCO3. Raises OutOfRange."""
    check_not_negative(tan_g, "tan_g")
    return tan_g * per_n


def bicarbonate_g(alkalinity_g: float) -> float:
    """Sodium bicarbonate that gives so much alkalinity back, g (alkalinity in g as CaCO3). Raises OutOfRange."""
    check_not_negative(alkalinity_g, "alkalinity_g")
    return alkalinity_g * NAHCO3_PER_CACO3


def startup_days(
    temp_c: float, *, at_25c: float = default("startup_days"), theta: float = default("startup_theta")
) -> float:
    """Days a new bed needs to reach its ability; longer when colder. Middle of a wide range. Raises OutOfRange."""
    check_temp_c(temp_c)
    return at_25c * theta ** (REFERENCE_C - temp_c)
