"""Growth of shell and body: curves, rates, mass from length, and when a size is reached.

Captive growth with heat and full rations runs two to five times the wild rate. Fit an animal's own curve only with four
or more measurements over two years; before that borrow from its kind.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import BadQuantity, check_not_negative, check_positive


def length_von_bertalanffy(*, start: float, final: float, k_per_year: float, years: float) -> float:
    """Length after some years: L = Linf - (Linf - L0) e^(-k t), any unit; also the recapture form.

    Raises BadQuantity.
    """
    check_positive(start, "start")
    check_positive(final, "final")
    check_positive(k_per_year, "k_per_year")
    check_not_negative(years, "years")
    return final - (final - start) * math.exp(-k_per_year * years)


def years_to_length(*, start: float, target: float, final: float, k_per_year: float) -> float:
    """Years until a length is reached on the same curve; infinite when it never is. Raises BadQuantity."""
    for name, value in (("start", start), ("target", target), ("final", final), ("k_per_year", k_per_year)):
        check_positive(value, name)
    if target <= start:
        return 0.0
    if target >= final:
        return math.inf
    return math.log((final - start) / (final - target)) / k_per_year


def mass_gompertz(*, final: float, b: float, k_per_year: float, years: float) -> float:
    """Mass on a Gompertz curve: Winf exp(-b e^(-k t)). Raises BadQuantity."""
    check_positive(final, "final")
    check_positive(k_per_year, "k_per_year")
    return final * math.exp(-b * math.exp(-k_per_year * years))


def mass_logistic(*, final: float, b: float, k_per_year: float, years: float) -> float:
    """Mass on a logistic curve: Winf / (1 + b e^(-k t)). Raises BadQuantity."""
    check_positive(final, "final")
    check_positive(k_per_year, "k_per_year")
    return final / (1 + b * math.exp(-k_per_year * years))


def specific_growth_percent_per_day(*, first_g: float, last_g: float, days: float) -> float:
    """Specific growth rate between two weighings, % per day: 100 (ln W2 - ln W1) / days. Raises BadQuantity."""
    check_positive(first_g, "first_g")
    check_positive(last_g, "last_g")
    check_positive(days, "days")
    return 100.0 * math.log(last_g / first_g) / days


def mass_g_between(*, first_g: float, last_g: float, share_of_time: float) -> float:
    """Mass between two weighings, g, at a share (0-1) of the time between them: growth by a constant rate.

    Raises BadQuantity.
    """
    check_positive(first_g, "first_g")
    check_positive(last_g, "last_g")
    return first_g * (last_g / first_g) ** share_of_time


def mass_g_from_scl_POUGH80(scl_mm: float) -> float:
    """Mass of a turtle, any kind, from straight carapace length: 93 554.48 L_m^2.69 (Pough 1980). Coarse.

    Raises BadQuantity.
    """
    check_positive(scl_mm, "scl_mm")
    return 93_554.48 * (scl_mm / 1000.0) ** 2.69


def scl_mm_from_mass_POUGH80(mass_g: float) -> float:
    """The same turned round. Raises BadQuantity."""
    check_positive(mass_g, "mass_g")
    return (mass_g / 93_554.48) ** (1 / 2.69) * 1000.0


def mass_g_from_scl_SARNAT81(scl_mm: float) -> float:
    """Mass of young sliders, 32-75 mm: the power law through the two read points of Sarnat et al. 1981.

    Raises BadQuantity.
    """
    check_positive(scl_mm, "scl_mm")
    exponent = mass_exponent(first_mm=32.47, first_g=6.94, last_mm=75.21, last_g=80.63)
    return 6.94 * (scl_mm / 32.47) ** exponent


def mass_exponent(*, first_mm: float, first_g: float, last_mm: float, last_g: float) -> float:
    """Exponent of mass on length from two measurements of both; near 3. Raises BadQuantity."""
    for name, value in (("first_mm", first_mm), ("first_g", first_g), ("last_mm", last_mm), ("last_g", last_g)):
        check_positive(value, name)
    if first_mm == last_mm:
        raise BadQuantity("Two different lengths are needed (first_mm, last_mm).")
    return math.log(last_g / first_g) / math.log(last_mm / first_mm)


def condition_fulton(*, mass_g: float, scl_mm: float) -> float:
    """Fulton's condition, mass over length cubed, g per cm3. Compare an animal with itself. Raises BadQuantity."""
    check_positive(mass_g, "mass_g")
    check_positive(scl_mm, "scl_mm")
    return mass_g / (scl_mm / 10.0) ** 3


def feed_conversion(*, dry_feed_g: float, gain_g: float) -> float:
    """Dry feed over wet gain. Raises BadQuantity when nothing was gained."""
    check_not_negative(dry_feed_g, "dry_feed_g")
    check_positive(gain_g, "gain_g")
    return dry_feed_g / gain_g
