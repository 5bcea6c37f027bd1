"""One day in the void: what lies there decays, feed brings more, and the whole consolidates.

Two pools of dry mass (what breaks down within months, and what hardly does) and one wet volume. Decay takes volume with
mass; fresh solids arrive loose and settle towards a denser state. The three steps, in this order, are the reference for
the ensemble that `forecast.void_model` runs over arrays. Mass balance is exact; the volume rule is a first-order
relaxation (JUDGEMENT, shaped on septic tanks, GRAY95). A constant rate would over-predict late filling: this does not.
(EPR22 found an even steeper fall than GRAY95.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from enclosures.estimates.checks import check_fraction, check_not_negative, check_positive, check_temp_c
from enclosures.estimates.coefficients import default

L_PER_M3 = 1000.0
DAYS_PER_MONTH = 365.25 / 12
_GRAY_SLOPE = math.log(0.178 / 0.254) / math.log(60 / 6)


@dataclass(frozen=True, slots=True)
class SludgeState:
    """What lies in one void: dry mass that decays (kg), dry mass that stays (kg), settled wet volume (L)."""

    labile_kg: float = 0.0
    refractory_kg: float = 0.0
    volume_l: float = 0.0

    @property
    def dry_kg(self) -> float:
        return self.labile_kg + self.refractory_kg

    @property
    def solids_kg_m3(self) -> float:
        """Dry mass per wet volume; 0 when nothing lies there."""
        return self.dry_kg / self.volume_l * L_PER_M3 if self.volume_l else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SludgeParameters:
    """Rates per day at 20 degC; concentrations in kg dry mass per m3 of wet sludge."""

    degradable_share: float = default("degradable_share")
    decay_labile_per_day: float = default("decay_labile_per_day")
    decay_refractory_per_day: float = default("decay_refractory_per_day")
    decay_theta: float = default("decay_theta")
    fresh_solids_kg_m3: float = default("fresh_solids_kg_m3")
    consolidated_solids_kg_m3: float = default("consolidated_solids_kg_m3")
    compaction_per_day: float = default("compaction_per_day")

    def __post_init__(self) -> None:
        check_fraction(self.degradable_share, "degradable_share")
        for name in ("decay_labile_per_day", "decay_refractory_per_day", "compaction_per_day"):
            check_not_negative(getattr(self, name), name)
        for name in ("decay_theta", "fresh_solids_kg_m3", "consolidated_solids_kg_m3"):
            check_positive(getattr(self, name), name)


def decay_per_day(rate_at_20c: float, *, theta: float, temp_c: float) -> float:
    """First-order decay rate at a temperature, per day: k20 * theta^(T - 20). The form is lagoon design's (memory)."""
    check_temp_c(temp_c)
    return rate_at_20c * theta ** (temp_c - 20.0)


def left_after_a_day(production_kg: float, *, decay: float) -> float:
    """What remains at midnight of solids that arrived evenly through the day: P (1 - e^-k) / k, and P when k is 0."""
    return production_kg * -math.expm1(-decay) / decay if decay else production_kg


def one_day(
    state: SludgeState, *, production_kg: float, temp_c: float, parameters: SludgeParameters | None = None
) -> SludgeState:
    """The state one day later.

    `production_kg` dry solids reach the void during the day (feed and background together); `temp_c` is the void's
    water (-2 to 45). Steps: decay of what was there, the day's arrivals, consolidation. Raises OutOfRange.
    """
    check_not_negative(production_kg, "production_kg")
    p = parameters or SludgeParameters()
    decay_labile = decay_per_day(p.decay_labile_per_day, theta=p.decay_theta, temp_c=temp_c)
    decay_refractory = decay_per_day(p.decay_refractory_per_day, theta=p.decay_theta, temp_c=temp_c)

    labile_kg = state.labile_kg * math.exp(-decay_labile)
    refractory_kg = state.refractory_kg * math.exp(-decay_refractory)
    volume_l = state.volume_l
    if state.dry_kg > 0:
        volume_l *= (labile_kg + refractory_kg) / state.dry_kg

    labile_kg += left_after_a_day(p.degradable_share * production_kg, decay=decay_labile)
    refractory_kg += left_after_a_day((1 - p.degradable_share) * production_kg, decay=decay_refractory)
    volume_l += production_kg / p.fresh_solids_kg_m3 * L_PER_M3

    settled_l = (labile_kg + refractory_kg) / p.consolidated_solids_kg_m3 * L_PER_M3
    volume_l = settled_l + (volume_l - settled_l) * math.exp(-p.compaction_per_day)
    return SludgeState(labile_kg, refractory_kg, volume_l)


def after_cleanout(state: SludgeState, *, residual_share: float) -> SludgeState:
    """What a cleanout leaves: the same share (0-1) of both masses and of the volume. Raises OutOfRange."""
    check_fraction(residual_share, "residual_share")
    return SludgeState(
        state.labile_kg * residual_share, state.refractory_kg * residual_share, state.volume_l * residual_share
    )


def solids_yield_from_parts(
    *, capture_share: float, uneaten_share: float, faecal_share: float, biofilm_kg_per_kg: float
) -> float:
    """Dry solids to the void per dry feed, s = capture * (u + (1 - u)(1 - D)) + y. Shares 0-1. Raises OutOfRange.

    `faecal_share` is 1 - D, the part of eaten dry matter that is not digested.
    """
    check_fraction(capture_share, "capture_share")
    check_fraction(uneaten_share, "uneaten_share")
    check_fraction(faecal_share, "faecal_share")
    check_not_negative(biofilm_kg_per_kg, "biofilm_kg_per_kg")
    return capture_share * (uneaten_share + (1 - uneaten_share) * faecal_share) + biofilm_kg_per_kg


def feeding_load(
    *, offered: float, left_share: float, removed: float = 0.0, solids_yield: float, capture_share: float
) -> float:
    """Dry solids one feeding sends to the void, in the unit of `offered` (dry g or kg).

    load = capture * left in + s * eaten. What was not eaten (`left_share`, 0-1, of what was offered) stays in unless it
    was `removed`; more removed than the tap said was left means that much less was eaten. Raises OutOfRange.
    """
    check_not_negative(offered, "offered")
    check_fraction(left_share, "left_share")
    check_not_negative(removed, "removed")
    removed = min(removed, offered)
    not_eaten = max(left_share * offered, removed)
    return capture_share * (not_eaten - removed) + solids_yield * (offered - not_eaten)


def background_kg_per_day(*, surface_m2: float, litter_g_m2_year: float, month_weight: float = 1.0) -> float:
    """Leaves, dust and plants reaching the void, kg dry per day; `month_weight` has mean 1 over the year."""
    check_not_negative(surface_m2, "surface_m2")
    check_not_negative(litter_g_m2_year, "litter_g_m2_year")
    check_not_negative(month_weight, "month_weight")
    return surface_m2 * litter_g_m2_year * month_weight / 365_000.0


def septic_sludge_l_GRAY95(*, people: float, months: float) -> float:
    """Sludge in a household septic tank `months` after emptying, L: the analogue our slowing curve is judged against.

    Mean accumulation since emptying falls from 0.254 L per person and day at 6 months to 0.178 at 60 (GRAY95, 28
    tanks); a power law is laid through those two points, so use it for about 3 to 90 months. Raises OutOfRange.
    """
    check_not_negative(people, "people")
    check_positive(months, "months")
    per_person_day_l = 0.254 * (months / 6) ** _GRAY_SLOPE
    return people * months * DAYS_PER_MONTH * per_person_day_l


def septic_months_to_l_GRAY95(*, people: float, capacity_l: float) -> float:
    """Months until a household tank holds `capacity_l` of sludge: the inverse of `septic_sludge_l_GRAY95`."""
    check_positive(people, "people")
    check_positive(capacity_l, "capacity_l")
    first = people * DAYS_PER_MONTH * 0.254 / 6**_GRAY_SLOPE
    return (capacity_l / first) ** (1 / (1 + _GRAY_SLOPE))


def straight_line_months_VDH(*, fill_now: float, months_since_emptied: float, fill_due: float) -> float:
    """Months from emptying to `fill_due` on a straight line through one reading, as septic practice does (VDH).

    Kept as the yardstick to beat: it calls a filling void due too early when the reading is young. Raises BadQuantity.
    """
    check_positive(fill_now, "fill_now")
    check_positive(months_since_emptied, "months_since_emptied")
    check_positive(fill_due, "fill_due")
    return months_since_emptied * fill_due / fill_now
