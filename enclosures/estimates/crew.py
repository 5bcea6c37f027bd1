"""A cleanout planned: how much slurry, how long, how many drums.

Common practice, no source; every figure is the facility's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from enclosures.estimates.checks import check_not_negative, check_positive
from enclosures.estimates.coefficients import default


@dataclass(frozen=True, slots=True)
class CrewSums:
    """What one cleanout asks for."""

    slurry_l: float
    minutes: float
    n_drums: int
    slurry_kg: float


def slurry_l(sludge_l: float, *, per_sludge: float = default("crew_slurry_per_sludge")) -> float:
    """Slurry vacuumed for so much settled sludge, L: water comes with it. Raises OutOfRange, BadQuantity."""
    check_not_negative(sludge_l, "sludge_l")
    check_positive(per_sludge, "per_sludge")
    return sludge_l * per_sludge


def minutes(
    slurry_litres: float,
    *,
    l_per_min: float = default("crew_l_per_min"),
    setup_min: float = default("crew_setup_min"),
    refill_min: float = default("crew_refill_min"),
    write_up_min: float = default("crew_write_up_min"),
) -> float:
    """Minutes from set-up to written up. Raises OutOfRange, BadQuantity."""
    check_not_negative(slurry_litres, "slurry_litres")
    check_positive(l_per_min, "l_per_min")
    return setup_min + slurry_litres / l_per_min + refill_min + write_up_min


def n_drums(slurry_litres: float, *, drum_l: float = default("crew_drum_l")) -> int:
    """Drums to carry away, whole ones. Raises OutOfRange, BadQuantity."""
    check_not_negative(slurry_litres, "slurry_litres")
    check_positive(drum_l, "drum_l")
    return math.ceil(slurry_litres / drum_l - 1e-9)


def crew_sums(sludge_l: float) -> CrewSums:
    """All of it with the defaults. Raises OutOfRange."""
    litres = slurry_l(sludge_l)
    return CrewSums(litres, minutes(litres), n_drums(litres), litres * default("slurry_density_kg_l"))
