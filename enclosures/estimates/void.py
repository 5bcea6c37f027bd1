"""The void as a box: usable litres, and depth and volume of what lies in it.

One geometry for the whole program: usable area = chamber plan area x usable fraction, so that fill = depth / void
height is the same number as volume / usable litres, and the same that a rod shows. Square metres times millimetres are
litres.
"""

from __future__ import annotations

from enclosures.estimates.checks import check_area_m2, check_not_negative, check_usable_fraction, check_void_height_mm


def usable_void_l(*, chamber_area_m2: float, void_height_mm: float, usable_fraction: float) -> float:
    """Litres of sludge the void can hold up to the underside of the support grid.

    `usable_fraction` (0.2-1) leaves out legs, blocks, slopes and dead corners. Raises OutOfRange.
    """
    check_void_height_mm(void_height_mm)
    return usable_area_m2(chamber_area_m2=chamber_area_m2, usable_fraction=usable_fraction) * void_height_mm


def usable_area_m2(*, chamber_area_m2: float, usable_fraction: float) -> float:
    """Plan area on which sludge can lie, m2. Raises OutOfRange."""
    check_area_m2(chamber_area_m2, "chamber_area_m2")
    check_usable_fraction(usable_fraction)
    return chamber_area_m2 * usable_fraction


def depth_mm_from_volume_l(volume_l: float, *, chamber_area_m2: float, usable_fraction: float) -> float:
    """Mean depth of settled sludge, mm, from its wet volume. May exceed the void height. Raises OutOfRange."""
    check_not_negative(volume_l, "volume_l")
    return volume_l / usable_area_m2(chamber_area_m2=chamber_area_m2, usable_fraction=usable_fraction)


def volume_l_from_depth_mm(depth_mm: float, *, chamber_area_m2: float, usable_fraction: float) -> float:
    """Wet volume of settled sludge, L, from its mean depth. Inverse of `depth_mm_from_volume_l`. Raises OutOfRange."""
    check_not_negative(depth_mm, "depth_mm")
    return depth_mm * usable_area_m2(chamber_area_m2=chamber_area_m2, usable_fraction=usable_fraction)


def fill_fraction(depth_mm: float, *, void_height_mm: float) -> float:
    """Depth over void height; 1 is full to the grid, more means sludge up in the bed. Raises OutOfRange."""
    check_not_negative(depth_mm, "depth_mm")
    check_void_height_mm(void_height_mm)
    return depth_mm / void_height_mm


def free_void_l(volume_l: float, *, chamber_area_m2: float, void_height_mm: float, usable_fraction: float) -> float:
    """Usable litres still free above the sludge, never below 0. Raises OutOfRange."""
    check_not_negative(volume_l, "volume_l")
    capacity_l = usable_void_l(
        chamber_area_m2=chamber_area_m2, void_height_mm=void_height_mm, usable_fraction=usable_fraction
    )
    return max(0.0, capacity_l - volume_l)
