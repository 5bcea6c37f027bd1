"""What is believed of a filter before its own records speak: one standard normal per uncertain thing.

Every uncertain quantity is a monotone transform of one component of a vector z. With nothing else known z ~ N(0, I); facility
pooling moves it by handing over a `Prior` with another mean and covariance. Names, not positions, tie the two together.

`source` is a key of the project's source list (estimates/SOURCES.md); JUDGEMENT and PRACTICE mean that there is none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Component:
    """One uncertain quantity: `centre` is its median; `spread` the sd of its log, its logit, or itself."""

    kind: Literal["log", "logit", "normal"]
    centre: float
    spread: float
    unit: str
    source: str
    low: float = 0.0  # hard limits, applied after the transform
    high: float = float("inf")

    def value(self, z: Floats) -> Floats:
        """The quantity at z (any shape), in `unit`."""
        if self.kind == "log":
            out = self.centre * np.exp(self.spread * z)
        elif self.kind == "logit":
            out = 1.0 / (1.0 + np.exp(-(np.log(self.centre / (1.0 - self.centre)) + self.spread * z)))
        else:
            out = self.centre + self.spread * z
        return np.clip(out, self.low, self.high)


COMPONENTS: dict[str, Component] = {
    # kg dry solids reaching the void per kg dry feed: 5-95 % .08-.40
    "s": Component(kind="log", centre=0.18, spread=0.49, unit="kg/kg", source="SOLIDS", high=1.5),
    # degradable share of those solids: 5-95 % .20-.64
    "phi": Component(kind="logit", centre=0.40, spread=0.60, unit="1", source="NHUT19"),
    # decay of the degradable share at 20 degC: 5-95 % .003-.033 per day
    "k20": Component(kind="log", centre=0.010, spread=0.726, unit="1/d", source="WST57"),
    "theta": Component(kind="normal", centre=1.05, spread=0.015, unit="1", source="PRACTICE", low=1.0, high=1.1),
    "kr20": Component(kind="log", centre=1e-4, spread=0.978, unit="1/d", source="JUDGEMENT"),
    # dry mass per wet volume, fresh (5-95 % 15-82) and consolidated (60-135)
    "c0": Component(kind="log", centre=35.0, spread=0.517, unit="kg/m3", source="GEB04"),
    "c_inf": Component(kind="log", centre=90.0, spread=0.2465, unit="kg/m3", source="GEB04"),
    # consolidation: 5-95 % .002-.050 per day
    "kappa": Component(kind="log", centre=0.010, spread=0.978, unit="1/d", source="GRAY95"),
    # rod at the pipe over mean depth: the habit of the pipe, and the mound anew after each cleanout
    "gamma": Component(kind="log", centre=1.0, spread=0.12, unit="1", source="JUDGEMENT"),
    "mound": Component(kind="log", centre=1.0, spread=0.12, unit="1", source="JUDGEMENT"),
    "rod": Component(kind="log", centre=1.0, spread=0.50, unit="1", source="JUDGEMENT"),
    # what a quarter's load departs from its feed by; at .15 the forecast was too sure of sludge that was not of its own making
    "noise_sd": Component(kind="log", centre=0.25, spread=0.55, unit="1", source="JUDGEMENT"),
    # share of sludge left behind by a cleanout
    "resid_full": Component(kind="logit", centre=0.1406, spread=0.65, unit="1", source="JUDGEMENT"),
    "resid_part": Component(kind="logit", centre=0.4502, spread=0.50, unit="1", source="JUDGEMENT"),
    "autumn": Component(kind="logit", centre=0.45, spread=0.60, unit="1", source="JUDGEMENT"),
    "gap": Component(kind="log", centre=1.0, spread=0.35, unit="1", source="JUDGEMENT"),
    # litres found after a rebuild over litres carried across it, where nobody measured
    "rebuild": Component(kind="log", centre=1.0, spread=0.30, unit="1", source="JUDGEMENT"),
    # feed that nobody logged, over a default rate
    "unlogged": Component(kind="log", centre=1.0, spread=0.80, unit="1", source="JUDGEMENT"),
}

# Background load reaching the void, g dry per m2 of water and year: median and log sd, by surroundings (litterfall x .35 capture).
LITTER: dict[str, tuple[float, float]] = {
    "none": (10.0, 1.2),  # plants, dust, sloughing: judgement
    "open": (35.0, 0.85),
    "near": (77.0, 0.85),
    "canopy": (158.0, 0.85),
}
LITTER_CAPTURE = 0.35  # of leaves that fall on the water; judgement
LITTER_OWN_SPREAD = 0.6  # log sd where the facility gives its own g/m2/yr

# Log offset of s by food class; classes but the reference carry their own uncertainty.
FOOD_OFFSET: dict[str, float] = {
    "pellet": 0.0,
    "insect": -0.2,
    "worm": -0.2,  # as insects: judgement
    "crustacean": -0.2,
    "mollusc": -0.2,
    "fish": -0.5,
    "plant": 0.2,
    "gel": 0.0,
    "other": 0.0,
}
FOOD_SPREAD = 0.2
REFERENCE_FOOD = "pellet"

ETA_LEFTOVER = 0.60  # capture of food nobody ate; science of settling, judgement
SLURRY_DILUTION = 2.2  # litres in the drum per litre of sludge
SLURRY_SPREAD = 0.40
HABIT_SHIFT = 0.25  # where the keeper cleans, as log share of the due level
HABIT_SPREAD = 0.25
ROOF_FILL = 1.05  # a filter that runs is seldom far over
ROOF_WIDTH = 0.08
UNKNOWN_START_MAX_FILL = 0.9
START_BEFORE_CLEANOUT_SPREAD = 0.35  # log share of the due level when a first cleanout found nobody's records
NOISE_PERIOD_DAYS = 91
LEAF_SWING = 1.2  # leaf fall outdoors varies by season by this times the feed's own noise (about 30 %): judgement


@dataclass(frozen=True, kw_only=True, eq=False)
class Prior:
    """z ~ N(mean, covariance) over named components; the rest of a filter's components are N(0, 1) and independent."""

    names: tuple[str, ...]
    mean: Floats
    covariance: Floats

    @classmethod
    def standard(cls, names: tuple[str, ...]) -> Prior:
        return cls(names=names, mean=np.zeros(len(names)), covariance=np.eye(len(names)))

    def spread_over(self, names: tuple[str, ...]) -> Prior:
        """This belief placed on a longer (or other) list of components; those it does not name stay standard."""
        mean, covariance = np.zeros(len(names)), np.eye(len(names))
        here = [(i, self.names.index(name)) for i, name in enumerate(names) if name in self.names]
        if here:
            to, of = (np.array(side) for side in zip(*here, strict=True))
            mean[to] = self.mean[of]
            covariance[np.ix_(to, to)] = self.covariance[np.ix_(of, of)]
        return Prior(names=names, mean=mean, covariance=covariance)

    @property
    def is_standard(self) -> bool:
        return not self.mean.any() and np.array_equal(self.covariance, np.eye(len(self.names)))

    def draw(self, rng: np.random.Generator, n: int) -> Floats:
        """n draws, shape (n, components)."""
        z = rng.standard_normal((n, len(self.names)))
        if self.is_standard:
            return z
        return self.mean + z @ np.linalg.cholesky(self.covariance).T

    def log_density(self, z: Floats) -> Floats:
        """Log density of each row of z, up to a constant."""
        if self.is_standard:
            return -0.5 * np.einsum("ij,ij->i", z, z)
        white = np.linalg.solve(np.linalg.cholesky(self.covariance), (z - self.mean).T)
        return -0.5 * np.einsum("ij,ij->j", white, white)


def food_factor(food_class: str, z: Floats | None) -> Floats | float:
    """Factor on s for a food class; `z` None for the reference class, which has no uncertainty of its own."""
    offset = FOOD_OFFSET.get(food_class, 0.0)
    return float(np.exp(offset)) if z is None else np.exp(offset + FOOD_SPREAD * z)


def litter_belief(*, litter_level: str, litter_g_m2_year: float | None) -> tuple[float, float]:
    """Median (g dry/m2/yr reaching the void) and log sd of the background load."""
    if litter_g_m2_year is not None:
        return max(litter_g_m2_year, 0.0) * LITTER_CAPTURE, LITTER_OWN_SPREAD
    return LITTER.get(litter_level, LITTER["none"])
