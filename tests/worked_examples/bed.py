"""Nitrification, media, flow and settling."""

from __future__ import annotations

from typing import Any

from tests.worked_examples.example import Example


def _example(call: str, expected: float, source: str, how_read: str, where: str = "", **rest: Any) -> Example:
    return Example(call=call, expected=expected, source=source, how_read=how_read, where=where, **rest)


NITRIFICATION = [
    _example(
        "nitrification.oxygen_g", 4.57, "ZC02", "read", "4.57 g O2 per g TAN (USEPA 1975)", args=(1.0,), within=0.01
    ),
    _example(
        "nitrification.oxygen_g",
        4.32,
        "GJ74",
        "read-2nd",
        "with growth",
        args=(1.0,),
        inputs={"per_n": 3.22 + 1.11},
        within=0.011,
    ),
    _example("nitrification.alkalinity_g_caco3", 7.145, "EPA75", "lib", "100.087 / 14.007", args=(1.0,), within=0.005),
    _example("nitrification.bicarbonate_g", 1.679, "IUPAC", "lib", "84.007 / 50.043", args=(1.0,), within=0.001),
    _example("nitrification.oxygen_g", 18.3, "GJ74", "lib", "4 g TAN a day", args=(4.0,), within=0.05),
    _example("nitrification.alkalinity_g_caco3", 28.6, "EPA75", "lib", "4 g TAN a day", args=(4.0,), within=0.05),
    _example("nitrification.bicarbonate_g", 48.0, "EPA75", "lib", "for 28.6 g CaCO3", args=(28.6,), within=0.05),
    _example(
        "nitrification.theta_from_two_rates",
        1.0945,
        "H14",
        "read",
        "abstract: 18 % of the 20 degC rate at 1 degC",
        inputs={"rate_share": 0.18, "temp_c": 1, "reference_c": 20},
        within=5e-4,
    ),
    _example(
        "nitrification.steady_tan_mg_l",
        0.8824,
        "JUDGEMENT",
        "lib",
        "10 g/d on 60 m2 at 0.45, K 1.5",
        inputs={"load_g_per_day": 10, "ability_max_g_per_day": 0.45 * 60, "half_saturation": 1.5},
        within=1e-3,
    ),
    _example("nitrification.areal_rate_monod", 0.28, "JUDGEMENT", "lib", "at 2.5 mg/L", args=(2.5,), within=0.005),
]

MEDIA = [
    _example(
        "media.specific_surface_m2_m3",
        3936,
        "MICROBEAD",
        "read",
        "data sheet: 1 mm beads",
        args=(1,),
        inputs={"porosity": 0.344},
        rel=0.001,
    ),
    _example(
        "media.specific_surface_m2_m3", 150, "JUDGEMENT", "lib", args=(20,), inputs={"porosity": 0.50}, within=1e-6
    ),
    _example(
        "media.specific_surface_m2_m3", 360, "JUDGEMENT", "lib", args=(10,), inputs={"porosity": 0.40}, within=1e-6
    ),
    _example(
        "media.specific_surface_m2_m3", 100, "JUDGEMENT", "lib", args=(30,), inputs={"porosity": 0.50}, within=1e-6
    ),
    _example(
        "media.specific_surface_m2_m3",
        287,
        "KEEPERS",
        "read",
        "pond tables: 85-90 ft2/ft3 for half-inch pea gravel",
        args=(12.7,),
        inputs={"porosity": 0.40},
        within=8,
    ),
]

SETTLING = [
    *(
        _example(
            "settling.stokes_mm_s_S51",
            mm_s,
            "S51",
            "lib",
            inputs={"diameter_um": um, "density_kg_m3": 1050},
            rel=0.001,
        )
        for um, mm_s in ((50, 0.0810), (100, 0.3241), (200, 1.2965), (500, 8.103), (1000, 32.41))
    ),
    *(
        _example(
            "settling.settling_mm_s",
            mm_s,
            "FLUIDS",
            "lib",
            "v_terminal, 1.3.1",
            inputs={"diameter_um": um, "density_kg_m3": density},
            rel=rel,
        )
        for um, density, mm_s, rel in (
            (100, 1050, 0.3237, 0.005),
            (200, 1050, 1.2585, 0.001),
            (500, 1050, 6.034, 0.001),
            (1000, 1050, 15.07, 0.03),
            (2000, 1190, 79.0, 0.03),
        )
    ),
    *(
        _example(
            "settling.capture_share",
            share,
            "JUDGEMENT",
            "lib",
            "scipy 1.17.1 lognorm.sf",
            args=(m_per_h,),
            within=0.003,
        )
        for m_per_h, share in ((0.6, 0.815), (1.8, 0.612), (3.6, 0.46), (10, 0.25), (20, 0.145))
    ),
]

_ERGUN = (  # grain mm, porosity, m/h, depth mm, Pa, head mm
    (10, 0.45, 1.0, 300, 0.3937, 0.040),
    (20, 0.50, 3.6, 400, 0.4066, 0.042),
    (20, 0.50, 10, 400, 1.8187, 0.186),
    (20, 0.50, 36, 400, 16.629, 1.701),
    (10, 0.40, 10, 300, 10.044, 1.027),
    (5, 0.40, 10, 300, 32.604, 3.335),
    (20, 0.25, 10, 400, 26.275, 2.687),
)
HYDRAULICS = [
    *(
        _example(
            "hydraulics.bed_loss_pa_ERG52",
            pa,
            "ERG52",
            "lib",
            "fluids 1.3.1 dP_Ergun",
            inputs={"upflow_m_per_h": v, "grain_mm": grain, "porosity": porosity, "depth_mm": depth},
            rel=0.001,
        )
        for grain, porosity, v, depth, pa, _ in _ERGUN
    ),
    *(_example("hydraulics.head_mm_from_pa", mm, "ERG52", "lib", args=(pa,), within=0.001) for *_, pa, mm in _ERGUN),
    _example(
        "hydraulics.orifice_l_per_h",
        245.5,
        "PRACTICE",
        "lib",
        "Cd 0.62, g 9.80665",
        inputs={"diameter_mm": 10, "head_m": 0.10},
        rel=0.001,
    ),
    _example(
        "hydraulics.orifice_l_per_h",
        62.5,
        "PRACTICE",
        "lib",
        "Cd 0.62",
        inputs={"diameter_mm": 6, "head_m": 0.05},
        rel=0.001,
    ),
    _example(
        "hydraulics.pipe_head_m_darcy",
        0.328,
        "COL39",
        "lib",
        "fluids 1.3.1",
        inputs={"flow_m3_h": 5, "diameter_mm": 40, "length_m": 10},
        rel=0.01,
    ),
    _example(
        "hydraulics.pipe_head_m_HW",
        0.327,
        "HW",
        "lib",
        "fluids 1.3.1, C 150",
        inputs={"flow_m3_h": 5, "diameter_mm": 40, "length_m": 10},
        rel=0.01,
    ),
    _example(
        "hydraulics.pipe_head_m_darcy",
        0.389,
        "COL39",
        "lib",
        "fluids 1.3.1",
        inputs={"flow_m3_h": 10, "diameter_mm": 50, "length_m": 10},
        rel=0.01,
    ),
    _example(
        "hydraulics.pipe_head_m_HW",
        0.398,
        "HW",
        "lib",
        "fluids 1.3.1, C 150",
        inputs={"flow_m3_h": 10, "diameter_mm": 50, "length_m": 10},
        rel=0.01,
    ),
    _example(
        "hydraulics.friction_factor_COL39",
        0.018514,
        "COL39",
        "lib",
        "fluids 1.3.1",
        args=(1e5,),
        inputs={"relative_roughness": 1e-4},
        within=1e-5,
    ),
    *(
        _example("hydraulics.affinity", value, "PRACTICE", "lib", args=(0.8,), part=i, within=1e-12)
        for i, value in enumerate((0.8, 0.64, 0.512))
    ),
    _example("hydraulics.left_after_turnovers", 0.3679, "PRACTICE", "lib", "e^-1", args=(1,), within=1e-4),
    _example("hydraulics.left_after_turnovers", 0.0498, "PRACTICE", "lib", "e^-3", args=(3,), within=1e-4),
]

WATER = [
    *(
        _example(
            "water_properties.density_kg_m3_TANAKA01", rho, "IAPWS", "lib", "chemicals 1.5.2", args=(t,), within=0.01
        )
        for t, rho in ((20, 998.207), (25, 997.047), (30, 995.649))
    ),
    *(
        _example("water_properties.viscosity_pa_s_VOGEL", mu, "IAPWS", "lib", "chemicals 1.5.2", args=(t,), rel=0.001)
        for t, mu in ((20, 1.0016e-3), (25, 0.8900e-3), (30, 0.7972e-3))
    ),
]
