"""Look and act lines for water. Husbandry limits, not toxicity limits: common practice, no source; a facility may set its own.

Values are in canonical units: °C, pH, mg/L as N (TAN, nitrite), mg/L as NO3 (nitrate), mg/L as CaCO3 (KH), mg/L (oxygen, chlorine).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Level = Literal["target", "ok", "look", "act"]
Qualifier = Literal["", "<", ">"]


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterLimit:
    """Lines of one analyte; None where a side has none. `speaks_of_filter`: the value says how the bed is doing."""

    analyte: str
    label: str
    unit: str
    target_high: float | None = None
    target_low: float | None = None
    look_high: float | None = None
    act_high: float | None = None
    look_low: float | None = None
    act_low: float | None = None
    is_over_inclusive: bool = True  # "≥ 0.5"; pH and temperature have "> 8.5"
    speaks_of_filter: bool = False

    def level(self, value: float, qualifier: Qualifier = "") -> Level:
        """Where a reading stands. "< 0.5" is never over a line, "> 8" is at least 8."""
        if qualifier != "<" and self.act_high is not None and self._is_over(value, self.act_high):
            return "act"
        if qualifier != ">" and self.act_low is not None and value < self.act_low:
            return "act"
        if qualifier != "<" and self.look_high is not None and self._is_over(value, self.look_high):
            return "look"
        if qualifier != ">" and self.look_low is not None and value < self.look_low:
            return "look"
        is_low_enough = self.target_high is None or value <= self.target_high
        is_high_enough = self.target_low is None or value >= self.target_low
        return "target" if is_low_enough and is_high_enough else "ok"

    def _is_over(self, value: float, line: float) -> bool:
        return value >= line if self.is_over_inclusive else value > line

    @property
    def look_words(self) -> str:
        """'≥ 0.5', '< 6.5, > 8.5', '–'."""
        low = [] if self.look_low is None else [f"< {self.look_low:g}"]
        sign = "≥" if self.is_over_inclusive else ">"
        high = [] if self.look_high is None else [f"{sign} {self.look_high:g}"]
        return ", ".join(low + high) or "–"


LIMITS: Mapping[str, WaterLimit] = {
    limit.analyte: limit
    for limit in (
        WaterLimit(
            analyte="tan", label="TAN", unit="mg/L as N", target_high=0.2, look_high=0.5, act_high=1.0,
            speaks_of_filter=True,
        ),
        WaterLimit(
            analyte="nitrite", label="Nitrite", unit="mg/L as N", target_high=0.1, look_high=0.3, act_high=0.6,
            speaks_of_filter=True,
        ),
        WaterLimit(analyte="nitrate", label="Nitrate", unit="mg/L as NO₃", target_high=40, look_high=80, act_high=150),
        WaterLimit(
            analyte="ph", label="pH", unit="", target_low=6.8, target_high=8.2, look_low=6.5, look_high=8.5,
            act_low=6.0, act_high=9.0, is_over_inclusive=False,
        ),
        WaterLimit(analyte="kh", label="KH", unit="mg/L CaCO₃", target_low=60, look_low=40, act_low=20),
        WaterLimit(
            analyte="do", label="Oxygen", unit="mg/L", target_low=5, look_low=4, act_low=2.5, speaks_of_filter=True
        ),
        WaterLimit(analyte="chlorine", label="Chlorine", unit="mg/L", target_high=0, look_high=0.05, act_high=0.2),
        WaterLimit(
            analyte="temperature", label="Water", unit="°C", target_low=22, target_high=27, look_low=18, look_high=30,
            act_low=15, act_high=33, is_over_inclusive=False,
        ),
    )
}  # fmt: skip
"""Temperature lines are those of adults indoors; ponds follow the season and are not judged by them."""
