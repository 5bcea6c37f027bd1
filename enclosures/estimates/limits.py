"""Husbandry limits of water readings: on target, worth a look, act, cannot be true.

Keepers' guides for turtles, common practice; no peer-reviewed limits for freshwater turtles were found, and limits made
for fish are not used. Each facility may set its own by kind of enclosure.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Grade = Literal["target", "between", "look", "act", "impossible"]
Band = tuple[float | None, float | None]  # lower and upper limit; None: no limit on that side


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of one analyte, all in `unit` and `expressed_as` (empty where there is no such question).

    On target: within `target`, ends included. Worth a look, or to act on: below the first or above the second of `look`
    and `act`; where `at_counts`, at the second as well. Outside `hard` a value cannot be true.
    """

    unit: str
    expressed_as: str
    target: Band
    look: Band
    act: Band
    hard: tuple[float, float]
    at_counts: bool
    source: str
    note: str

    def grade(self, value: float) -> Grade:
        """What a value in this unit and basis means; `between` is neither on target nor worth a look."""
        if not self.hard[0] <= value <= self.hard[1]:
            return "impossible"
        if _is_beyond(value, self.act, at_counts=self.at_counts):
            return "act"
        if _is_beyond(value, self.look, at_counts=self.at_counts):
            return "look"
        return "between" if _is_beyond(value, self.target, at_counts=False) else "target"


def _is_beyond(value: float, band: Band, *, at_counts: bool) -> bool:
    low, high = band
    if low is not None and value < low:
        return True
    return high is not None and (value > high or (at_counts and value == high))


# One analyte in two lines.
# fmt: off
LIMITS: dict[str, Limits] = {
    "tan": Limits("mg/L", "N", (None, 0.2), (None, 0.5), (None, 1.0), (0, 100), True, "PRACTICE",
        "Total ammonia nitrogen."),
    "nitrite": Limits("mg/L", "N", (None, 0.1), (None, 0.3), (None, 0.6), (0, 100), True, "KEEPERS",
        "Keepers' guides say below 0.5 mg/L as NO2, which is 0.15 as N."),
    "nitrate": Limits("mg/L", "NO3", (None, 40), (None, 80), (None, 150), (0, 1000), True, "KEEPERS",
        "Keepers' guides say 40 mg/L as NO3."),
    "ph": Limits("pH", "", (6.8, 8.2), (6.5, 8.5), (6.0, 9.0), (3, 11), False, "PRACTICE",
        "Filter bacteria fail below about 6.5."),
    "kh": Limits("mg/L", "CaCO3", (60, None), (40, None), (20, None), (0, 1000), False, "PRACTICE",
        "Carbonate hardness feeds nitrification."),
    "temperature": Limits("degC", "", (22, 27), (18, 30), (15, 33), (-2, 45), False, "PRACTICE",
        "Indoor adults; hatchlings 25-28. Ponds follow the season and are not graded by this."),
    "do": Limits("mg/L", "", (5, None), (4, None), (2.5, None), (0, 25), False, "PRACTICE",
        "At the filter outlet; saturation is 9.1 at 20 degC, 8.3 at 25, 7.6 at 30."),
    "chlorine": Limits("mg/L", "", (None, 0), (None, 0.05), (None, 0.2), (0, 20), True, "PRACTICE",
        "After a top-up; it kills the filter's bacteria."),
    "salinity": Limits("g/L", "", (None, 1.0), (None, None), (None, None), (0, 45), False, "PRACTICE",
        "Fresh-water species; terrapins 3-15. Nothing to look at or act on is set."),
}
# fmt: on
