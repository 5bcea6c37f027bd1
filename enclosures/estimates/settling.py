"""What a void can catch: settling speed of a particle, and the share that settles faster than the water rises.

Whole droppings settle anywhere; a pump before the void shears them, and then the fragments decide. So the capture share
is a distribution's tail, wide on purpose, and is learnt from soundings rather than believed.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import check_not_negative, check_positive, check_range
from enclosures.estimates.coefficients import default
from enclosures.estimates.water_properties import DENSITY_25C, GRAVITY_M_S2, VISCOSITY_25C


def stokes_mm_s_S51(
    *, diameter_um: float, density_kg_m3: float, water_kg_m3: float = DENSITY_25C, viscosity_pa_s: float = VISCOSITY_25C
) -> float:
    """Settling speed of a small sphere, mm/s, for Reynolds numbers below about 1 (Stokes). Negative floats.

    Raises OutOfRange.
    """
    _check_particle(diameter_um=diameter_um, density_kg_m3=density_kg_m3)
    diameter_m = diameter_um * 1e-6
    speed_m_s = GRAVITY_M_S2 * diameter_m**2 * (density_kg_m3 - water_kg_m3) / (18 * viscosity_pa_s)
    return speed_m_s * 1000.0


def drag_coefficient_B14(reynolds: float) -> float:
    """Drag coefficient of a smooth sphere, Reynolds number up to 2e5 (Barati et al. 2014). Raises BadQuantity."""
    check_positive(reynolds, "reynolds")
    return (
        5.4856e9 * math.tanh(4.3774e-9 / reynolds)
        + 0.0709 * math.tanh(700.6574 / reynolds)
        + 0.3894 * math.tanh(74.1539 / reynolds)
        - 0.1198 * math.tanh(7429.0843 / reynolds)
        + 1.7174 * math.tanh(9.9851 / (reynolds + 2.3384))
        + 0.4744
    )


def drag_coefficient_SN33(reynolds: float) -> float:
    """Drag coefficient of a sphere, Reynolds number up to 800 (Schiller & Naumann 1933). Raises BadQuantity."""
    check_positive(reynolds, "reynolds")
    return 24 / reynolds * (1 + 0.15 * reynolds**0.687)


def settling_mm_s(
    *, diameter_um: float, density_kg_m3: float, water_kg_m3: float = DENSITY_25C, viscosity_pa_s: float = VISCOSITY_25C
) -> float:
    """Settling speed of a sphere, mm/s, at any size met in a void: weight against the drag of B14. Raises OutOfRange.

    The sphere must be denser than water. Solved by halving: drag times speed squared rises with speed.
    """
    _check_particle(diameter_um=diameter_um, density_kg_m3=density_kg_m3)
    check_positive(density_kg_m3 - water_kg_m3, "density_kg_m3 above water_kg_m3")
    diameter_m = diameter_um * 1e-6
    weight = 4 / 3 * GRAVITY_M_S2 * diameter_m * (density_kg_m3 - water_kg_m3) / water_kg_m3
    reynolds_per_speed = water_kg_m3 * diameter_m / viscosity_pa_s

    def excess_drag(speed_m_s: float) -> float:
        return drag_coefficient_B14(reynolds_per_speed * speed_m_s) * speed_m_s**2 - weight

    low, high = 0.0, 1.2 * weight * reynolds_per_speed / 24  # Stokes is an upper bound
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if excess_drag(middle) < 0 else (low, middle)
    return (low + high) / 2 * 1000.0


def capture_share(
    upflow_m_per_h: float,
    *,
    median_m_per_h: float = default("settling_median_pumped"),
    geometric_sd: float = default("settling_gsd_pumped"),
) -> float:
    """Share of the solids that settles faster than the water rises: the upper tail of a log-normal. Raises OutOfRange.

    Defaults are for water that came through a pump; gravity-fed: median 30 m/h, geometric sd 5. At no flow all of it
    settles.
    """
    check_not_negative(upflow_m_per_h, "upflow_m_per_h")
    check_positive(median_m_per_h, "median_m_per_h")
    check_range(geometric_sd, "geometric_sd", what="Geometric sd", low=1.01, high=100)
    if upflow_m_per_h == 0:
        return 1.0
    z = math.log(upflow_m_per_h / median_m_per_h) / math.log(geometric_sd)
    return 0.5 * math.erfc(z / math.sqrt(2))


def m_per_h_from_mm_s(speed_mm_s: float) -> float:
    return speed_mm_s * 3.6


def _check_particle(*, diameter_um: float, density_kg_m3: float) -> None:
    check_range(diameter_um, "diameter_um", what="Particle size", low=0.1, high=50_000, unit="µm")
    check_range(density_kg_m3, "density_kg_m3", what="Particle density", low=500, high=10_000, unit="kg/m³")
