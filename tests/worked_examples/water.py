"""Ammonia, criteria, oxygen and units: published values and the formulas they come from."""

from __future__ import annotations

from tests.worked_examples.example import Example

# Emerson et al. 1975: the formula with T + 273.2, as the printed table was made; with 273.15 the share is 0.3-0.4 % lower.
_EMERSON_PH = (6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
_EMERSON_PERCENT = {
    10: (0.0589, 0.1860, 0.5858, 1.829, 5.564, 15.71),
    15: (0.0865, 0.2731, 0.8585, 2.666, 7.970, 21.50),
    20: (0.1255, 0.3957, 1.2406, 3.821, 11.16, 28.43),
    25: (0.1796, 0.5658, 1.7677, 5.384, 15.25, 36.27),
    28: (0.2215, 0.6971, 2.1717, 6.560, 18.17, 41.25),
    30: (0.2541, 0.7992, 2.4843, 7.456, 20.30, 44.62),
}
EMERSON = [
    Example(
        call="ammonia.un_ionised_fraction",
        inputs={"ph": ph, "temp_c": temp_c},
        expected=percent / 100,
        rel=0.005,
        source="E75",
        how_read="lib",
        where="formula with T + 273.2; 20/8.0, 25/8.0, 25/7.0 and 20/7.0 agree with the table as remembered",
    )
    for temp_c, row in _EMERSON_PERCENT.items()
    for ph, percent in zip(_EMERSON_PH, row, strict=True)
]

# Trussell 1972 (fresh) and Bower & Bidwell 1978 (34 g/kg), as printed side by side in a photometer's manual, page 13.
# Known disagreement with Emerson: up to 2.8 % of the value (25 degC, pH 7.0).
_KIT_TEMPS = (10, 15, 20, 25)
_KIT_FRESH = {
    7.0: (0.19, 0.27, 0.40, 0.55),
    7.5: (0.59, 0.85, 1.24, 1.73),
    7.8: (1.16, 1.69, 2.45, 3.39),
    8.0: (1.83, 2.65, 3.83, 5.28),
    8.2: (2.86, 4.14, 5.94, 8.11),
    8.4: (4.46, 6.41, 9.09, 12.27),
    8.5: (5.55, 7.98, 11.18, 14.97),
}
_KIT_SALT = {
    7.5: (0.459, 0.665, 0.963, 1.39),
    7.8: (0.912, 1.32, 1.90, 2.74),
    8.0: (1.44, 2.07, 2.98, 4.28),
    8.2: (2.26, 3.25, 4.65, 6.61),
    8.5: (4.41, 6.28, 8.87, 12.40),
}
KIT_TABLES = [
    Example(
        call="ammonia.un_ionised_fraction",
        inputs={"ph": ph, "temp_c": temp_c, "salinity_g_kg": salinity},
        expected=percent / 100,
        rel=0.03,
        source=source,
        how_read="read-2nd",
        where="photometer manual, page 13, which prints the table",
    )
    for source, salinity, table in (("T72", 0, _KIT_FRESH), ("BB78", 34, _KIT_SALT))
    for ph, row in table.items()
    for temp_c, percent in zip(_KIT_TEMPS, row, strict=True)
]


def _share(
    ph: float, temp_c: float, salinity: float, expected: float, rel: float, source: str, how: str, where: str
) -> Example:
    return Example(
        call="ammonia.un_ionised_fraction",
        inputs={"ph": ph, "temp_c": temp_c, "salinity_g_kg": salinity},
        expected=expected,
        rel=rel,
        source=source,
        how_read=how,
        where=where,
    )


AMMONIA = [
    Example(
        call="ammonia.pka_ammonia_E75",
        args=(18,),
        expected=9.465,
        within=0.002,
        source="H96",
        how_read="read",
        where="calculator page based on it, 18 degC",
    ),
    _share(8.0, 10, 0, 0.0183, 0.005, "WQ", "read", "ammFrac, worked examples"),
    _share(8.0, 25, 0, 0.0539, 0.005, "WQ", "read", "ammFrac, worked examples"),
    _share(
        8.0, 25, 35, 0.0440, 0.04, "WQ", "read", "ammFrac, free scale; per kg of water, 3.5 % from per kg of solution"
    ),
    _share(
        7.8, 25, 35, 0.0282, 0.04, "WQ", "read", "ammFrac, free scale; per kg of water, 3.5 % from per kg of solution"
    ),
    _share(8.0, 25, 10, 0.05063, 0.02, "CW95", "lib", "through PyCO2SYS 1.8.3.4, free scale"),
    _share(8.0, 25, 35, 0.04242, 0.02, "CW95", "lib", "through PyCO2SYS 1.8.3.4, free scale"),
    _share(8.0, 25, 34, 0.0428, 0.03, "BB78", "read-2nd", "25 degC, pH 8.0"),
    _share(8.0, 20, 34, 0.0298, 0.03, "BB78", "read-2nd", "20 degC, pH 8.0"),
    Example(
        call="ammonia.nh3_n_mg_l",
        args=(97,),
        inputs={"ph": 7.76, "temp_c": 29.5},
        expected=4.16,
        rel=0.01,
        source="JN08",
        how_read="lib",
        where="highest TAN of the trial at its pH and temperature",
    ),
    Example(
        call="ammonia.nh3_n_mg_l",
        args=(11,),
        inputs={"ph": 7.76, "temp_c": 29.5},
        expected=0.47,
        rel=0.01,
        source="JN08",
        how_read="lib",
        where="lowest TAN of the trial",
    ),
    _share(7.6, 25, 0, 0.022, 0.03, "E75", "memory", "rounded share in keepers' use"),
    _share(8.0, 26, 0, 0.057, 0.02, "E75", "memory", "rounded share in keepers' use"),
    _share(8.4, 27, 0, 0.14, 0.02, "E75", "memory", "rounded share in keepers' use"),
]

_CRITERIA_PH = (6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
_ACUTE = {
    (True, 10): (33, 24, 13, 5.6, 2.1, 0.88),
    (True, 20): (23, 17, 9.2, 3.9, 1.5, 0.62),
    (True, 30): (9.9, 7.3, 4.0, 1.7, 0.65, 0.27),
    (False, 10): (51, 38, 21, 8.8, 3.3, 1.4),
}
_CHRONIC = {
    5: (4.9, 4.4, 3.2, 1.8, 0.80, 0.36),
    20: (2.1, 1.9, 1.4, 0.78, 0.35, 0.16),
    30: (1.1, 0.99, 0.73, 0.41, 0.18, 0.081),
}
CRITERIA = [
    *(
        Example(
            call="criteria.acute_EPA13",
            inputs={"ph": ph, "temp_c": temp_c, "salmonids_present": salmonids},
            part="tan_mg_l_as_n",
            expected=tan,
            figures=2,
            source="OR30",
            how_read="read",
            where=f"table 30{'A' if salmonids else 'B'}, {temp_c} degC",
        )
        for (salmonids, temp_c), row in _ACUTE.items()
        for ph, tan in zip(_CRITERIA_PH, row, strict=True)
    ),
    *(
        Example(
            call="criteria.chronic_EPA13",
            inputs={"ph": ph, "temp_c": temp_c},
            part="tan_mg_l_as_n",
            expected=tan,
            figures=2,
            source="OR30",
            how_read="read",
            where=f"table 30C, {temp_c} degC",
        )
        for temp_c, row in _CHRONIC.items()
        for ph, tan in zip(_CRITERIA_PH, row, strict=True)
    ),
    Example(
        call="criteria.acute_EPA13",
        inputs={"ph": 7.0, "temp_c": 20, "salmonids_present": True},
        part="tan_mg_l_as_n",
        expected=17,
        figures=2,
        source="EPA13",
        how_read="read-2nd",
        where="headline acute value, pH 7 and 20 degC",
    ),
    Example(
        call="criteria.chronic_EPA13",
        inputs={"ph": 7.0, "temp_c": 20},
        part="tan_mg_l_as_n",
        expected=1.9,
        figures=2,
        source="EPA13",
        how_read="read-2nd",
        where="headline chronic value, pH 7 and 20 degC",
    ),
]

_SATURATION = {  # degC: at salinity 0, 10, 35
    0: (14.621, 13.633, 11.446),
    10: (11.288, 10.589, 9.024),
    15: (10.084, 9.484, 8.135),
    20: (9.092, 8.572, 7.396),
    25: (8.263, 7.807, 6.772),
    28: (7.828, 7.404, 6.442),
    30: (7.559, 7.155, 6.237),
    35: (6.949, 6.589, 5.769),
}
# A colorimeter's manual, page 16: mg/L at 760, 700 and 650 mmHg, one decimal, older rounding.
_KIT_OXYGEN = {
    0: (14.6, 13.5, 12.5),
    5: (12.7, 11.7, 10.9),
    10: (11.3, 10.4, 9.7),
    15: (10.2, 9.3, 8.7),
    20: (9.2, 8.4, 7.8),
    23: (8.7, 8.0, 7.4),
}
OXYGEN = [
    *(
        Example(
            call="oxygen.saturation_mg_l_BK84",
            args=(temp_c,),
            inputs={"salinity_g_kg": salinity},
            expected=mg_l,
            within=0.01,
            source="BK84",
            how_read="lib",
            where="formula; gsw 3.6.23 agrees to 0.002",
        )
        for temp_c, row in _SATURATION.items()
        for salinity, mg_l in zip((0, 10, 35), row, strict=True)
    ),
    *(
        Example(
            call="oxygen.saturation_mg_l_BK84",
            args=(20,),
            inputs={"pressure_atm": mmhg / 760},
            expected=mg_l,
            within=0.01,
            source="APHA",
            how_read="lib",
            where=f"pressure term, {mmhg} mmHg",
        )
        for mmhg, mg_l in ((700, 8.358), (650, 7.746))
    ),
    *(
        Example(
            call="oxygen.saturation_mg_l_BK84",
            args=(temp_c,),
            inputs={"pressure_atm": mmhg / 760},
            expected=mg_l,
            within=0.15,
            source="DOKIT",
            how_read="read",
            where=f"page 16, {mmhg} mmHg",
        )
        for temp_c, row in _KIT_OXYGEN.items()
        for mmhg, mg_l in zip((760, 700, 650), row, strict=True)
    ),
    *(
        Example(
            call="oxygen.pressure_atm_from_altitude",
            args=(altitude_m,),
            expected=atm,
            within=5e-4,
            source="ISO2533",
            how_read="lib",
            where="fluids 1.3.1, ATMOSPHERE_1976",
        )
        for altitude_m, atm in ((500, 0.9421), (1000, 0.8870), (1500, 0.8345), (2000, 0.7846))
    ),
    Example(
        call="oxygen.oxygen_used_g_per_day",
        inputs={"flow_m3_h": 5, "do_in_mg_l": 7.5, "do_out_mg_l": 3.0},
        expected=540,
        rel=0.001,
        source="GJ74",
        how_read="lib",
        where="balance across the bed",
    ),
    Example(
        call="oxygen.tan_limit_by_oxygen_g_per_day",
        args=(540,),
        expected=118.2,
        rel=0.001,
        source="GJ74",
        how_read="lib",
        where="4.57 g O2 per g N",
    ),
]

UNITS = [
    Example(
        call="units.ion_mg_l",
        args=(1.0, ion),
        expected=value,
        within=1e-3,
        source="IUPAC",
        how_read="lib",
        where="masses",
    )
    for ion, value in (("NO3", 4.4266), ("NO2", 3.2844), ("NH3", 1.2159), ("NH4", 1.2879))
] + [
    Example(
        call="units.nitrogen_mg_l",
        args=(1.0, ion),
        expected=value,
        within=1e-4,
        source="IUPAC",
        how_read="lib",
        where="masses",
    )
    for ion, value in (("NH3", 0.8224), ("NH4", 0.7765), ("NO2", 0.3045), ("NO3", 0.2259))
]
