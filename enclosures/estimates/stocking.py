"""How much turtle there is for the water and for the bed."""

from __future__ import annotations

from enclosures.estimates.checks import check_area_m2, check_not_negative, check_positive, check_range
from enclosures.estimates.coefficients import default


def biomass_kg_per_m3(*, mass_g: float, water_volume_l: float) -> float:
    """Turtle per water, kg/m3 (g/L is the same number). Raises BadQuantity."""
    check_not_negative(mass_g, "mass_g")
    check_positive(water_volume_l, "water_volume_l")
    return mass_g / water_volume_l


def biomass_kg_per_m2_bed(*, mass_g: float, chamber_area_m2: float) -> float:
    """Turtle per chamber plan area, kg/m2. Raises BadQuantity."""
    check_not_negative(mass_g, "mass_g")
    check_area_m2(chamber_area_m2, "chamber_area_m2")
    return mass_g / 1000.0 / chamber_area_m2


def allometric_share(
    mass_g: float, *, reference_g: float, exponent: float = default("metabolic_mass_exponent")
) -> float:
    """Need of an animal relative to one of `reference_g`: (m / m0)^x, x about 0.85. Raises BadQuantity.

    Ten animals of 100 g eat more than one of 1 kg: that is what the exponent is for.
    """
    check_positive(mass_g, "mass_g")
    check_positive(reference_g, "reference_g")
    check_range(exponent, "exponent", what="Mass exponent", low=0.3, high=1.2)
    return (mass_g / reference_g) ** exponent


def temperature_share(temp_c: float, *, reference_c: float = 25.0, q10: float = default("metabolic_q10")) -> float:
    """Need relative to that at `reference_c`: Q10^((T - T0)/10), for 15-30 degC. Raises OutOfRange."""
    check_range(temp_c, "temp_c", what="Water temperature", low=-2, high=45, unit="°C")
    check_range(q10, "q10", what="Q10", low=1, high=12)
    return q10 ** ((temp_c - reference_c) / 10.0)


def ration_share_of_mass(dry_feed_g: float, *, mass_g: float) -> float:
    """Dry feed over body mass of all that ate from it, g/g. Raises BadQuantity."""
    check_not_negative(dry_feed_g, "dry_feed_g")
    check_positive(mass_g, "mass_g")
    return dry_feed_g / mass_g
