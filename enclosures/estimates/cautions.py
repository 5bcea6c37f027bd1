"""Exposure limits shown with a cleanout. For information: local rules and people trained for it decide."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ExposureLimit:
    """Hydrogen sulphide in air, ppm. `minutes` is how long, None where a ceiling is meant at any moment."""

    body: str
    kind: str
    ppm: float
    minutes: int | None
    source: str


# Heavier than air; smelt from about 0.01-0.1 ppm, and at about 100 ppm no longer smelt at all.
H2S_LIMITS: tuple[ExposureLimit, ...] = (
    ExposureLimit("OSHA general industry", "ceiling", 20, None, "NIOSH"),
    ExposureLimit("OSHA general industry", "single peak", 50, 10, "NIOSH"),
    ExposureLimit("NIOSH", "ceiling", 10, 10, "NIOSH"),
    ExposureLimit("NIOSH", "immediately dangerous", 100, None, "NIOSH"),
)
H2S_SMELL_FAILS_PPM = 100.0
