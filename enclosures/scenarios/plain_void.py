"""A plain account of one void, to invent believable rod readings with: dry solids in, slow decay, one density.

V (L) = M / (1000 x 1.03 x 0.04). It is not the forecast's model, and the forecast never sees it.
"""

from __future__ import annotations

from dataclasses import dataclass

MONTH_WEIGHTS = (0.3, 0.3, 0.6, 1, 1.1, 1, 0.9, 0.9, 1.1, 2.2, 2.0, 0.6)  # litter, January first

_KEPT_OF_FEED = (0.25 + 0.07) * 0.6 * 1.2  # faeces and leftovers, caught by the void, and what grows on them
_LITTER_CAUGHT = 0.35
_DECAY_PER_DAY_20C = 0.0010
_DECAY_THETA = 1.06
_G_PER_L = 1000 * 1.03 * 0.04


@dataclass
class PlainVoid:
    """`usable_m2`: chamber area times its usable share. `litter_g_year`: dry, on the whole surface."""

    usable_m2: float
    void_mm: float
    litter_g_year: float
    mass_g: float = 0.0

    @classmethod
    def filled(cls, fill: float, *, usable_m2: float, void_mm: float, litter_g_year: float) -> PlainVoid:
        return cls(usable_m2, void_mm, litter_g_year, fill * usable_m2 * void_mm * _G_PER_L)

    def live_a_day(self, *, dry_feed_g: float, temp_c: float, month: int) -> None:
        self.mass_g *= 1 - _DECAY_PER_DAY_20C * _DECAY_THETA ** (temp_c - 20)
        self.mass_g += dry_feed_g * _KEPT_OF_FEED + self.litter_g_year / 365 * MONTH_WEIGHTS[month - 1] * _LITTER_CAUGHT

    def empty(self, *, left: float) -> None:
        self.mass_g *= left

    @property
    def litres(self) -> float:
        return self.mass_g / _G_PER_L

    @property
    def depth_mm(self) -> float:
        return self.litres / self.usable_m2

    @property
    def fill(self) -> float:
        return self.depth_mm / self.void_mm
