"""Stone in the bed: its volume, its free space, and the surface bacteria can use.

Surface is the outer one: pores under about 0.1 mm clog and do not count, so makers' figures for porous stone are far
too high.
"""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.estimates.checks import (
    check_area_m2,
    check_fraction,
    check_not_negative,
    check_porosity,
    check_positive,
    check_range,
)
from enclosures.estimates.sources import HowRead


@dataclass(frozen=True, slots=True)
class Medium:
    """Defaults of one material and grade: grain in mm, free space and usable surface with their ranges."""

    name: str
    grain_low_mm: float
    grain_high_mm: float
    porosity: float
    surface_low_m2_m3: float
    surface_m2_m3: float
    surface_high_m2_m3: float
    source: str
    how_known: HowRead

    @property
    def grain_mm(self) -> float:
        """Middle of the grade."""
        return (self.grain_low_mm + self.grain_high_mm) / 2


# fmt: off
MEDIA: dict[str, Medium] = {
    "lava_15_30": Medium("Lava rock 15-30 mm", 15, 30, 0.50, 80, 140, 250, "JUDGEMENT", "judgement"),
    "lava_20_30": Medium("Lava rock 20-30 mm", 20, 30, 0.50, 80, 140, 250, "JUDGEMENT", "lib"),
    "lava_20_40": Medium("Lava rock 20-40 mm", 20, 40, 0.50, 75, 120, 200, "JUDGEMENT", "judgement"),
    "lava_40_60": Medium("Lava rock 40-60 mm", 40, 60, 0.50, 60, 75, 90, "JUDGEMENT", "lib"),
    "lava_40_80": Medium("Lava rock 40-80 mm", 40, 80, 0.50, 40, 65, 90, "JUDGEMENT", "judgement"),
    "tuff_8_20": Medium("Volcanic tuff 8-20 mm", 8, 20, 0.50, 200, 300, 400, "FAO589", "memory"),
    "pumice_10_20": Medium("Pumice 10-20 mm", 10, 20, 0.55, 150, 200, 250, "PRACTICE", "memory"),
    "gravel_5": Medium("Gravel about 5 mm", 4, 6, 0.40, 600, 720, 900, "JUDGEMENT", "lib"),
    "gravel_10": Medium("Gravel about 10 mm", 8, 12, 0.40, 300, 360, 450, "JUDGEMENT", "lib"),
    "gravel_20": Medium("Gravel about 20 mm", 16, 24, 0.40, 150, 180, 225, "JUDGEMENT", "lib"),
    "gravel_30": Medium("Gravel about 30 mm", 24, 36, 0.40, 100, 120, 150, "JUDGEMENT", "lib"),
    "clay_8_16": Medium("Expanded clay 8-16 mm", 8, 16, 0.45, 150, 250, 300, "PRACTICE", "memory"),
    "koi_mat": Medium("Open mat", 1, 5, 0.90, 200, 275, 300, "KEEPERS", "read-2nd"),
    "brushes": Medium("Brushes", 1, 5, 0.95, 100, 150, 200, "PRACTICE", "memory"),
    "sponge": Medium("Sponge", 1, 3, 0.95, 300, 500, 1000, "JUDGEMENT", "judgement"),
}
# fmt: on


def specific_surface_m2_m3(grain_mm: float, *, porosity: float, sphericity: float = 1.0) -> float:
    """Outer surface per bed volume, m2/m3 = 6 (1 - porosity) / d, over sphericity (crushed rock 0.6-0.85). Raises OutOfRange.

    The geometric bound for grains of one size.
    """
    check_range(grain_mm, "grain_mm", what="Grain size", low=0.05, high=500, unit="mm")
    check_porosity(porosity)
    check_range(sphericity, "sphericity", what="Sphericity", low=0.2, high=1)
    return 6000.0 * (1 - porosity) / grain_mm / sphericity


def layer_volume_m3(*, area_m2: float, depth_mm: float) -> float:
    """Volume of a layer, m3. Raises OutOfRange."""
    check_area_m2(area_m2)
    check_not_negative(depth_mm, "depth_mm")
    return area_m2 * depth_mm / 1000.0


def pore_volume_l(*, volume_m3: float, porosity: float) -> float:
    """Water held between the stones, L: what to flush away after a long stop. Raises OutOfRange."""
    check_not_negative(volume_m3, "volume_m3")
    check_porosity(porosity)
    return volume_m3 * porosity * 1000.0


def layer_surface_m2(*, volume_m3: float, specific_surface: float, access_share: float = 1.0) -> float:
    """Surface in a layer that the water visits, m2. Raises OutOfRange."""
    check_not_negative(volume_m3, "volume_m3")
    check_positive(specific_surface, "specific_surface")
    check_fraction(access_share, "access_share")
    return volume_m3 * specific_surface * access_share


def wet_bed_mass_kg(*, volume_m3: float, kg_per_l: float = 1.5) -> float:
    """Mass of a flooded bed, kg: what the shelf and the grid must carry. 1.4-1.6 kg/L for lava (memory).

    Raises OutOfRange.
    """
    check_not_negative(volume_m3, "volume_m3")
    check_range(kg_per_l, "kg_per_l", what="Wet bed density", low=1.0, high=2.5, unit="kg/L")
    return volume_m3 * 1000.0 * kg_per_l
