"""Flow through void, bed, holes and pipe.

Worth knowing before sizing anything: a clean coarse bed loses well under 1 mm of head, and at half its free space still
under 3 mm, less than a ruler shows. So a head difference that a person can see means local clogging, and no difference
proves nothing.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import (
    BadQuantity,
    check_area_m2,
    check_not_negative,
    check_porosity,
    check_positive,
    check_range,
)
from enclosures.estimates.coefficients import default
from enclosures.estimates.water_properties import DENSITY_25C, GRAVITY_M_S2, VISCOSITY_25C

# Flow and time ------------------------------------------------------------------------------------------------------


def flow_l_per_h_from_bucket(*, litres: float, seconds: float) -> float:
    """Flow from a bucket and a watch, L/h. Raises BadQuantity."""
    check_not_negative(litres, "litres")
    check_positive(seconds, "seconds")
    return litres / seconds * 3600.0


def upflow_m_per_h(*, flow_l_per_h: float, area_m2: float) -> float:
    """Speed at which water rises through the chamber, m/h: measured flow over plan area. Raises OutOfRange."""
    check_not_negative(flow_l_per_h, "flow_l_per_h")
    check_area_m2(area_m2)
    return flow_l_per_h / 1000.0 / area_m2


def turnover_per_h(*, flow_l_per_h: float, water_volume_l: float) -> float:
    """How often in an hour the enclosure's water passes the filter. Raises BadQuantity."""
    check_not_negative(flow_l_per_h, "flow_l_per_h")
    check_positive(water_volume_l, "water_volume_l")
    return flow_l_per_h / water_volume_l


def left_after_turnovers(n_turnovers: float) -> float:
    """Share of the first water still there after so many well-mixed turnovers: e^-n. Raises OutOfRange."""
    check_not_negative(n_turnovers, "n_turnovers")
    return math.exp(-n_turnovers)


def contact_time_min(*, media_m3: float, flow_l_per_h: float) -> float:
    """Empty-bed contact time, minutes: bed volume over flow. Raises BadQuantity."""
    check_not_negative(media_m3, "media_m3")
    check_positive(flow_l_per_h, "flow_l_per_h")
    return media_m3 * 1000.0 / flow_l_per_h * 60.0


def pore_residence_min(*, media_m3: float, porosity: float, flow_l_per_h: float) -> float:
    """Minutes the water really spends between the stones. Raises BadQuantity."""
    check_porosity(porosity)
    return porosity * contact_time_min(media_m3=media_m3, flow_l_per_h=flow_l_per_h)


# The bed ------------------------------------------------------------------------------------------------------------


def bed_loss_pa_ERG52(
    *,
    upflow_m_per_h: float,
    grain_mm: float,
    porosity: float,
    depth_mm: float,
    water_kg_m3: float = DENSITY_25C,
    viscosity_pa_s: float = VISCOSITY_25C,
) -> float:
    """Pressure lost in a clean bed of round grains, Pa (Ergun 1952). Angular rock: plus or minus 30-50 %.

    Raises OutOfRange.
    """
    check_not_negative(upflow_m_per_h, "upflow_m_per_h")
    check_range(grain_mm, "grain_mm", what="Grain size", low=0.05, high=500, unit="mm")
    check_porosity(porosity)
    check_not_negative(depth_mm, "depth_mm")
    speed = upflow_m_per_h / 3600.0
    grain = grain_mm / 1000.0
    viscous = 150 * viscosity_pa_s * (1 - porosity) ** 2 * speed / (porosity**3 * grain**2)
    inertial = 1.75 * (1 - porosity) * water_kg_m3 * speed**2 / (porosity**3 * grain)
    return (viscous + inertial) * depth_mm / 1000.0


def head_mm_from_pa(pressure_pa: float, *, water_kg_m3: float = DENSITY_25C) -> float:
    """Millimetres of water for so much pressure."""
    return pressure_pa / (water_kg_m3 * GRAVITY_M_S2) * 1000.0


def head_at_flow_mm(*, head_mm: float, flow_l_per_h: float, at_flow_l_per_h: float, power: float = 1.5) -> float:
    """A head difference carried over to another flow, mm, so that two readings can be compared. Raises BadQuantity.

    `power` is 1 (slow, viscous) to 2 (fast, inertial).
    """
    check_positive(flow_l_per_h, "flow_l_per_h")
    check_not_negative(at_flow_l_per_h, "at_flow_l_per_h")
    check_range(power, "power", what="Power of flow", low=1, high=2)
    return head_mm * (at_flow_l_per_h / flow_l_per_h) ** power


# Holes and pipes ----------------------------------------------------------------------------------------------------


def orifice_l_per_h(*, diameter_mm: float, head_m: float, coefficient: float = default("orifice_coefficient")) -> float:
    """Flow through one sharp-edged hole, L/h: Cd x area x sqrt(2 g h). Raises OutOfRange."""
    check_not_negative(diameter_mm, "diameter_mm")
    check_not_negative(head_m, "head_m")
    check_range(coefficient, "coefficient", what="Orifice coefficient", low=0.3, high=1)
    area_m2 = math.pi / 4 * (diameter_mm / 1000.0) ** 2
    return coefficient * area_m2 * math.sqrt(2 * GRAVITY_M_S2 * head_m) * 3.6e6


def hole_area_share(*, n_holes: int, hole_mm: float, pipe_mm: float) -> float:
    """Area of all holes over the pipe's: at most 0.5, better 0.3, for an even spread (memory). Raises BadQuantity."""
    check_not_negative(n_holes, "n_holes")
    check_not_negative(hole_mm, "hole_mm")
    check_positive(pipe_mm, "pipe_mm")
    return n_holes * (hole_mm / pipe_mm) ** 2


def pipe_speed_m_s(*, flow_m3_h: float, diameter_mm: float) -> float:
    """Mean speed in a full pipe, m/s. Raises BadQuantity."""
    check_not_negative(flow_m3_h, "flow_m3_h")
    check_positive(diameter_mm, "diameter_mm")
    return flow_m3_h / 3600.0 / (math.pi / 4 * (diameter_mm / 1000.0) ** 2)


def reynolds_number(
    *, speed_m_s: float, diameter_mm: float, water_kg_m3: float = DENSITY_25C, viscosity_pa_s: float = VISCOSITY_25C
) -> float:
    """Reynolds number of pipe flow. Raises BadQuantity."""
    check_positive(viscosity_pa_s, "viscosity_pa_s")
    return water_kg_m3 * speed_m_s * diameter_mm / 1000.0 / viscosity_pa_s


def friction_factor_COL39(reynolds: float, *, relative_roughness: float) -> float:
    """Darcy friction factor: 64/Re below 2040, else Colebrook's equation, solved by repetition. Raises OutOfRange.

    Between about 2000 and 4000 real flow wanders between the two; the answer there is a convention.
    """
    check_positive(reynolds, "reynolds")
    check_range(relative_roughness, "relative_roughness", what="Relative roughness", low=0, high=0.1)
    if reynolds < 2040:
        return 64.0 / reynolds
    inverse_root = 7.0
    for _ in range(40):
        inverse_root = -2 * math.log10(relative_roughness / 3.7 + 2.51 * inverse_root / reynolds)
    return inverse_root**-2


def pipe_head_m_darcy(
    *,
    flow_m3_h: float,
    diameter_mm: float,
    length_m: float,
    roughness_mm: float = default("pipe_roughness_mm"),
    viscosity_pa_s: float = VISCOSITY_25C,
) -> float:
    """Head lost in a straight full pipe, m (Darcy-Weisbach, Colebrook). Bends and valves come on top.

    Raises BadQuantity.
    """
    check_not_negative(length_m, "length_m")
    speed = pipe_speed_m_s(flow_m3_h=flow_m3_h, diameter_mm=diameter_mm)
    if speed == 0:
        return 0.0
    reynolds = reynolds_number(speed_m_s=speed, diameter_mm=diameter_mm, viscosity_pa_s=viscosity_pa_s)
    friction = friction_factor_COL39(reynolds, relative_roughness=roughness_mm / diameter_mm)
    return friction * length_m / (diameter_mm / 1000.0) * speed**2 / (2 * GRAVITY_M_S2)


def pipe_head_m_HW(
    *, flow_m3_h: float, diameter_mm: float, length_m: float, c_factor: float = default("hazen_williams_c")
) -> float:
    """Head lost in a straight full pipe, m (Hazen-Williams; 5-25 degC, turbulent; C 150 smooth plastic).

    Raises BadQuantity.
    """
    check_not_negative(flow_m3_h, "flow_m3_h")
    check_positive(diameter_mm, "diameter_mm")
    check_not_negative(length_m, "length_m")
    check_positive(c_factor, "c_factor")
    return 10.67 * length_m * (flow_m3_h / 3600.0) ** 1.852 / (c_factor**1.852 * (diameter_mm / 1000.0) ** 4.8704)


# Pumps --------------------------------------------------------------------------------------------------------------


def affinity(speed_share: float) -> tuple[float, float, float]:
    """Flow, head and power of a pump at a share of its speed: n, n2, n3. Raises OutOfRange."""
    check_not_negative(speed_share, "speed_share")
    return speed_share, speed_share**2, speed_share**3


def hydraulic_power_w(*, flow_l_per_h: float, head_m: float, efficiency: float) -> float:
    """Electrical power to lift so much water so high, W: rho g Q H / efficiency (small pumps 0.1-0.5).

    Raises BadQuantity.
    """
    check_not_negative(flow_l_per_h, "flow_l_per_h")
    check_not_negative(head_m, "head_m")
    check_positive(efficiency, "efficiency")
    if efficiency > 1:
        raise BadQuantity(f"A pump's efficiency (efficiency) is at most 1; got {efficiency:g}.")
    return DENSITY_25C * GRAVITY_M_S2 * flow_l_per_h / 3.6e6 * head_m / efficiency
