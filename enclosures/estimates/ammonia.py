"""The un-ionised share of total ammonia, from pH, temperature and salt.

Fish limits are a yardstick for a filter here, not a toxicity limit for turtles: juvenile softshells showed no change in
97 days at up to 97 mg/L TAN (JN08; one species, one study). An error of 0.1 in pH changes the share by about a quarter,
more than any salt a pond holds: show the range from `un_ionised_range` before correcting for salt.
"""

from __future__ import annotations

from enclosures.estimates.checks import check_mg_l, check_not_negative, check_ph, check_range, check_salinity

KELVIN = 273.15
SALT_TERM = 0.0031  # pKa per g/kg, fitted to the free-scale constant of CW95 through PYCO2SYS


def pka_ammonia_E75(temp_c: float) -> float:
    """pKa of the ammonium ion in fresh water, 0-50 degC (Emerson et al. 1975). Raises OutOfRange.

    The constant is 2729.92; 2727.92, found in several public codes, is a slip of the pen.
    """
    check_range(temp_c, "temp_c", what="Water temperature", low=0, high=50, unit="°C")
    return 0.09018 + 2729.92 / (temp_c + KELVIN)


def pka_ammonia_brackish(temp_c: float, *, salinity_g_kg: float) -> float:
    """pKa on the free pH scale, salinity 0-35 g/kg: E75 plus 0.0031 per g/kg. Raises OutOfRange.

    Within 0.008 of the constant of Clegg & Whitfield 1995 from 10 to 35 degC. A pH electrode set in ordinary buffers
    reads close to the free scale in dilute brackish water. The constant of Khoo et al. 1977 is not used: it overstates
    NH3 (BELL07).
    """
    check_salinity(salinity_g_kg)
    return pka_ammonia_E75(temp_c) + SALT_TERM * salinity_g_kg


def un_ionised_fraction(*, ph: float, temp_c: float, salinity_g_kg: float = 0.0) -> float:
    """Share of total ammonia present as NH3, 0-1. Raises OutOfRange."""
    check_ph(ph)
    return 1.0 / (1.0 + 10.0 ** (pka_ammonia_brackish(temp_c, salinity_g_kg=salinity_g_kg) - ph))


def nh3_n_mg_l(tan_mg_l_as_n: float, *, ph: float, temp_c: float, salinity_g_kg: float = 0.0) -> float:
    """Un-ionised ammonia nitrogen, mg/L as N, from total ammonia nitrogen. Raises OutOfRange."""
    check_mg_l(tan_mg_l_as_n, "tan_mg_l_as_n")
    return tan_mg_l_as_n * un_ionised_fraction(ph=ph, temp_c=temp_c, salinity_g_kg=salinity_g_kg)


def un_ionised_range(
    *, ph: float, temp_c: float, salinity_g_kg: float = 0.0, ph_error: float = 0.2
) -> tuple[float, float]:
    """The share at pH - error and pH + error: what the pH reading's own doubt leaves open. Raises OutOfRange."""
    check_not_negative(ph_error, "ph_error")
    low, high = (
        un_ionised_fraction(ph=min(11.0, max(3.0, end)), temp_c=temp_c, salinity_g_kg=salinity_g_kg)
        for end in (ph - ph_error, ph + ph_error)
    )
    return low, high
