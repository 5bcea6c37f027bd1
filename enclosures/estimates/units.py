"""Units at the edge: conversions into SI and back, readings onto one basis, and numbers written for people.

Inside everything is SI; what a person typed, and in which unit, is kept beside it. A test kit's result has no meaning
until it is known what it is expressed as: there is no silent default.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import UnknownBasis, check_not_negative

G_PER_OZ = 28.349523125  # exact
L_PER_US_GAL = 3.785411784  # exact
L_PER_IMP_GAL = 4.54609  # exact
MM_PER_IN = 25.4  # exact

# Standard atomic masses, g/mol
MOLAR_N, MOLAR_H, MOLAR_O, MOLAR_C, MOLAR_CA = 14.007, 1.008, 15.999, 12.011, 40.078
MOLAR_CACO3 = MOLAR_CA + MOLAR_C + 3 * MOLAR_O
N_SHARE_OF: dict[str, float] = {
    "N": 1.0,
    "NH3": MOLAR_N / (MOLAR_N + 3 * MOLAR_H),
    "NH4": MOLAR_N / (MOLAR_N + 4 * MOLAR_H),
    "NO2": MOLAR_N / (MOLAR_N + 2 * MOLAR_O),
    "NO3": MOLAR_N / (MOLAR_N + 3 * MOLAR_O),
}
BASES_OF_ANALYTE: dict[str, tuple[str, ...]] = {
    "tan": ("N", "NH3", "NH4"),
    "nitrite": ("N", "NO2"),
    "nitrate": ("N", "NO3"),
}
CACO3_PER_DKH = MOLAR_CACO3 / (MOLAR_CA + MOLAR_O) * 10.0  # one German degree is 10 mg/L CaO
CACO3_PER_MEQ = MOLAR_CACO3 / 2

NBSP = "\u00a0"
THIN = "\u202f"  # narrow no-break space between groups of three
MINUS = "\u2212"


def g_from_oz(oz: float) -> float:
    return oz * G_PER_OZ


def oz_from_g(g: float) -> float:
    return g / G_PER_OZ


def l_from_us_gal(us_gal: float) -> float:
    return us_gal * L_PER_US_GAL


def us_gal_from_l(litres: float) -> float:
    return litres / L_PER_US_GAL


def l_from_imp_gal(imp_gal: float) -> float:
    return imp_gal * L_PER_IMP_GAL


def imp_gal_from_l(litres: float) -> float:
    return litres / L_PER_IMP_GAL


def c_from_f(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


def f_from_c(temp_c: float) -> float:
    return temp_c * 1.8 + 32.0


def mm_from_in(inches: float) -> float:
    return inches * MM_PER_IN


def in_from_mm(mm: float) -> float:
    return mm / MM_PER_IN


def basis_name(expressed_as: str) -> str:
    """The basis in its short form: 'NH4+' and 'nh4' are 'NH4', 'NO3-N' and 'N' are 'N', 'CaCO3' stays.

    Raises UnknownBasis when empty or not known. 'NH3/NH4' is not a basis either: the two differ by 6 %.
    """
    text = expressed_as.strip().upper().replace("₂", "2").replace("₃", "3").replace("₄", "4")
    text = text.replace("⁺", "+").replace("⁻", "-").replace("−", "-")
    if text.endswith(("-N", " N", "+N")) and text[:-2].rstrip("+-") in N_SHARE_OF:
        return "N"
    text = text.rstrip("+-")
    known = {"CACO3": "CaCO3", "DKH": "dKH", "°DKH": "dKH", "DH": "dKH", "MEQ/L": "meq/L", **{b: b for b in N_SHARE_OF}}
    if text not in known:
        said = f"“{expressed_as.strip()}” is not one we know" if text else "it is not noted"
        raise UnknownBasis(f"Say what the kit's result is expressed as (N, NH3, NH4, NO2, NO3 or CaCO3); {said}.")
    return known[text]


def nitrogen_mg_l(value: float, expressed_as: str, *, analyte: str = "") -> float:
    """mg/L as nitrogen from a reading in mg/L expressed as N or as an ion.

    With `analyte` (tan, nitrite, nitrate) a basis that cannot belong to it is refused too. Raises UnknownBasis and
    OutOfRange.
    """
    check_not_negative(value, "value")
    return value * _nitrogen_share(expressed_as, analyte=analyte)


def ion_mg_l(value_as_n: float, expressed_as: str, *, analyte: str = "") -> float:
    """mg/L expressed as an ion (or N) from mg/L as nitrogen: the inverse of `nitrogen_mg_l`."""
    check_not_negative(value_as_n, "value_as_n")
    return value_as_n / _nitrogen_share(expressed_as, analyte=analyte)


def _nitrogen_share(expressed_as: str, *, analyte: str) -> float:
    basis = basis_name(expressed_as)
    allowed = BASES_OF_ANALYTE.get(analyte, tuple(N_SHARE_OF))
    if basis not in allowed:
        raise UnknownBasis(f"{analyte or 'A nitrogen reading'} is expressed as {' or '.join(allowed)}, not as {basis}.")
    return N_SHARE_OF[basis]


def alkalinity_mg_l_caco3(value: float, expressed_as: str) -> float:
    """mg/L as CaCO3 from carbonate hardness or alkalinity given as CaCO3, in dKH or in meq/L. Raises UnknownBasis."""
    check_not_negative(value, "value")
    factors = {"CaCO3": 1.0, "dKH": CACO3_PER_DKH, "meq/L": CACO3_PER_MEQ}
    basis = basis_name(expressed_as)
    if basis not in factors:
        raise UnknownBasis(f"Carbonate hardness is expressed as CaCO3, in dKH or in meq/L, not as {basis}.")
    return value * factors[basis]


def dkh_from_caco3(mg_l_caco3: float) -> float:
    return mg_l_caco3 / CACO3_PER_DKH


# Numbers for people -------------------------------------------------------------------------------------------------


def grouped(value: float, *, decimals: int = 0) -> str:
    """A number with so many decimals, thin groups of three ('7 800') and a true minus sign; '–' if not finite."""
    if not math.isfinite(value):
        return "–"
    text = f"{abs(value):,.{decimals}f}".replace(",", THIN)
    is_zero = not any(digit in "123456789" for digit in text)
    return text if value >= 0 or is_zero else MINUS + text


def as_recorded(value: float) -> str:
    """A recorded number as it was noted: no rounding that shows, no trailing zeros, grouped."""
    if not math.isfinite(value):
        return "–"
    decimals = max(0, min(6, len(f"{value:.6f}".rstrip("0").partition(".")[2])))
    return grouped(value, decimals=decimals)


def rounded_for_people(value: float, *, figures: int = 2) -> str:
    """An estimate without false precision: so many significant figures and no more, never an exponent.

    7 812 -> '7 800', 0.04321 -> '0.043', 12.34 -> '12'. A round number keeps its value: 100 -> '100'.
    """
    if not math.isfinite(value):
        return "–"
    if value == 0:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    rounded = round(value, figures - 1 - magnitude)
    magnitude = math.floor(math.log10(abs(rounded)))  # 9.96 became 10
    return grouped(rounded, decimals=max(0, figures - 1 - magnitude))


def with_unit(number: str, unit: str) -> str:
    """A written number and its unit, kept on one line by a no-break space; nothing is added for an empty unit."""
    shown = _SHOWN_UNITS.get(unit, unit)
    return f"{number}{NBSP}{shown}" if shown else number


_SHOWN_UNITS = {"degC": "°C", "degF": "°F", "m2": "m²", "m3": "m³", "-": "", "pH": ""}


def quantity(value: float, unit: str, *, figures: int = 2) -> str:
    """An estimate with its unit, '7 800 L', without false precision."""
    return with_unit(rounded_for_people(value, figures=figures), unit)


def recorded_quantity(value: float, unit: str) -> str:
    """A recorded value with its unit, as it was noted."""
    return with_unit(as_recorded(value), unit)


def quantity_range(low: float, high: float, unit: str, *, figures: int = 2) -> str:
    """A range with its unit once, '12–15 L'; one number when both ends read the same."""
    low_text, high_text = (rounded_for_people(end, figures=figures) for end in (low, high))
    return with_unit(low_text if low_text == high_text else f"{low_text}–{high_text}", unit)


def percent(share: float, *, decimals: int = 0) -> str:
    """A share as per cent, '71 %', with a no-break space."""
    return with_unit(grouped(share * 100, decimals=decimals), "%")
