"""Dissolved oxygen: what water can hold, and what a bed takes out of it.

Saturation after Benson & Krause 1984 (moist air, 0-40 degC, salinity 0-40 g/kg); pressure term of APHA 4500-O. Checked
against gsw. The balance across a bed says when flow, not media, is what a filter lacks.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import (
    check_altitude_m,
    check_mg_l,
    check_not_negative,
    check_pressure_atm,
    check_range,
    check_salinity,
)
from enclosures.estimates.coefficients import default

MMHG_PER_ATM = 760.0
HPA_PER_ATM = 1013.25


def saturation_mg_l_BK84(temp_c: float, *, salinity_g_kg: float = 0.0, pressure_atm: float = 1.0) -> float:
    """Oxygen in water in balance with moist air, mg/L. Raises OutOfRange."""
    check_range(temp_c, "temp_c", what="Water temperature", low=0, high=40, unit="°C")
    check_salinity(salinity_g_kg)
    check_pressure_atm(pressure_atm)
    kelvin = temp_c + 273.15
    fresh = (
        -139.34411 + 1.575701e5 / kelvin - 6.642308e7 / kelvin**2 + 1.243800e10 / kelvin**3 - 8.621949e11 / kelvin**4
    )
    salt = salinity_g_kg * (1.7674e-2 - 10.754 / kelvin + 2140.7 / kelvin**2)
    return math.exp(fresh - salt) * pressure_factor_APHA(temp_c, pressure_atm=pressure_atm)


def pressure_factor_APHA(temp_c: float, *, pressure_atm: float) -> float:
    """Saturation at this air pressure over saturation at 1 atm, water vapour allowed for. Raises OutOfRange."""
    check_pressure_atm(pressure_atm)
    vapour_atm = vapour_pressure_atm(temp_c)
    theta = 9.75e-4 - 1.426e-5 * temp_c + 6.436e-8 * temp_c**2
    at_pressure = pressure_atm * (1 - vapour_atm / pressure_atm) * (1 - theta * pressure_atm)
    return at_pressure / ((1 - vapour_atm) * (1 - theta))


def vapour_pressure_atm(temp_c: float) -> float:
    """Water vapour pressure over fresh water, atm, 0-40 degC."""
    kelvin = temp_c + 273.15
    return math.exp(11.8571 - 3840.70 / kelvin - 216961 / kelvin**2)


def pressure_atm_from_altitude(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere (ISO2533), atm, below 5000 m. Raises OutOfRange."""
    check_altitude_m(altitude_m)
    return (1 - 2.25577e-5 * altitude_m) ** 5.25588


def saturation_share(do_mg_l: float, *, temp_c: float, salinity_g_kg: float = 0.0, pressure_atm: float = 1.0) -> float:
    """Measured oxygen over saturation; above 1 in a green pond on a sunny day. Raises OutOfRange."""
    check_mg_l(do_mg_l, "do_mg_l")
    return do_mg_l / saturation_mg_l_BK84(temp_c, salinity_g_kg=salinity_g_kg, pressure_atm=pressure_atm)


def oxygen_used_g_per_day(*, flow_m3_h: float, do_in_mg_l: float, do_out_mg_l: float) -> float:
    """Oxygen taken from the water across the bed, g/day (mg/L is g/m3). Negative when the outlet holds more.

    Raises OutOfRange.
    """
    check_not_negative(flow_m3_h, "flow_m3_h")
    check_mg_l(do_in_mg_l, "do_in_mg_l")
    check_mg_l(do_out_mg_l, "do_out_mg_l")
    return flow_m3_h * 24.0 * (do_in_mg_l - do_out_mg_l)


def oxygen_needed_g_per_day(
    *,
    tan_g_per_day: float,
    dry_feed_g_per_day: float,
    oxygen_per_n: float = default("oxygen_per_n"),
    heterotroph_oxygen: float = default("heterotroph_oxygen"),
) -> float:
    """Oxygen a bed takes, g/day, to nitrify so much TAN while other bacteria live on the feed's waste.

    Raises OutOfRange.
    """
    check_not_negative(tan_g_per_day, "tan_g_per_day")
    check_not_negative(dry_feed_g_per_day, "dry_feed_g_per_day")
    return oxygen_per_n * tan_g_per_day + heterotroph_oxygen * dry_feed_g_per_day


def tan_limit_by_oxygen_g_per_day(oxygen_g_per_day: float, *, oxygen_per_n: float = default("oxygen_per_n")) -> float:
    """The most TAN so much oxygen can nitrify, g/day, if nothing else breathes. Raises OutOfRange."""
    check_not_negative(oxygen_g_per_day, "oxygen_g_per_day")
    return oxygen_g_per_day / oxygen_per_n


def do_out_mg_l(*, do_in_mg_l: float, flow_m3_h: float, oxygen_g_per_day: float) -> float:
    """Oxygen left at the outlet, mg/L, when the bed takes so much; never below 0. Raises OutOfRange."""
    check_mg_l(do_in_mg_l, "do_in_mg_l")
    check_range(flow_m3_h, "flow_m3_h", what="Flow", low=1e-6, high=10_000, unit="m³/h")
    check_not_negative(oxygen_g_per_day, "oxygen_g_per_day")
    return max(0.0, do_in_mg_l - oxygen_g_per_day / (flow_m3_h * 24.0))
