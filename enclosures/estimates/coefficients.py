"""Every default number a facility may edit: value, unit, plausible range, where it is from, and how sure that is.

`low` and `high` are a 5-95 % range where `shape` says how the number is spread (a prior of the forecast), and the
plausible range otherwise. `how_known` marks the number itself: a default set around a source that was read is still
judgement. The defaults are starting points, not truths; the sludge numbers above all are learnt from soundings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from enclosures.estimates.limits import LIMITS, Limits
from enclosures.estimates.sources import HowRead

__all__ = ["COEFFICIENTS", "GROUPS", "LIMITS", "LITTER_MONTH_WEIGHTS", "Coefficient", "Limits", "default"]

Shape = Literal["fixed", "lognormal", "logit-normal", "normal"]
Z_95 = 1.6448536269514722  # the 95 % point of the standard normal


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One default. `sd` is on the scale of `shape` (log, logit or plain); None means: from the 5-95 % range."""

    value: float
    unit: str
    low: float
    high: float
    source: str
    note: str
    how_known: HowRead = "judgement"
    shape: Shape = "fixed"
    sd: float | None = None

    @property
    def spread(self) -> float:
        """Standard deviation on the scale of `shape`; 0 for a fixed number."""
        if self.sd is not None:
            return self.sd
        if self.shape == "fixed":
            return 0.0
        to_scale = {"lognormal": math.log, "logit-normal": _logit, "normal": float}[self.shape]
        return (to_scale(self.high) - to_scale(self.low)) / (2 * Z_95)


def _logit(share: float) -> float:
    return math.log(share / (1 - share))


def default(key: str) -> float:
    """The default value by key. Raises KeyError with a sentence for an unknown key."""
    if key not in COEFFICIENTS:
        raise KeyError(f"There is no coefficient named {key!r}.")
    return COEFFICIENTS[key].value


_C = Coefficient

# Tables: one coefficient in two lines.
# fmt: off
FEED_TO_NITROGEN: dict[str, Coefficient] = {
    "protein_per_nitrogen": _C(6.25, "g protein/g N", 5.5, 6.4, "TE",
        "The crude-protein convention: 0.16 g N per g.", "read-2nd"),
    "k_tan_fish": _C(0.092, "g TAN/g protein", 0.07, 0.11, "TE",
        "Fish design value, solids removed at once; for comparison only.", "read-2nd"),
    "k_tan_prompt": _C(0.072, "g TAN/g protein", 0.06, 0.1, "LYH05",
        "Turtles, ammonia and urea, within a day or so.", "read"),
    "k_tan_same_day": _C(0.041, "g TAN/g protein", 0.03, 0.055, "LYH05",
        "Turtles, ammonia alone, same day.", "read"),
    "k_tan_growing": _C(0.112, "g TAN/g protein", 0.09, 0.13, "JUDGEMENT",
        "Long run, growing juveniles: 0.16 (1 - 0.20 - 0.10)."),
    "k_tan_adult": _C(0.125, "g TAN/g protein", 0.1, 0.15, "JUDGEMENT",
        "Long run, adults that hardly grow; set below 0.16 (1 - 0.02 - 0.10) = 0.141."),
    "retained_share_growing": _C(0.2, "share of feed N", 0.1, 0.3, "LYH05",
        "Kept in growth; 21.5 % protein retained at 2 % ration.", "read"),
    "retained_share_adult": _C(0.02, "share of feed N", 0.0, 0.1, "JUDGEMENT",
        "Kept in growth and eggs by adults."),
    "vacuumed_n_share": _C(0.1, "share of feed N", 0.04, 0.2, "JUDGEMENT",
        "Leaves with vacuumed sludge: 0.18 kg per kg feed at about 4 % N."),
    "nitrogen_of_gain": _C(0.026, "g N/g gain", 0.022, 0.032, "JUDGEMENT",
        "Nitrogen in a gram of turtle gained, wet; softshell data read."),
    "tan_load_half_width": _C(0.4, "share", 0.2, 0.6, "JUDGEMENT",
        "Shown as plus or minus on every ammonia load."),
    "metabolic_q10": _C(3.0, "-", 2.0, 5.0, "JUDGEMENT",
        "For 15-30 degC, around several read studies (2.5 to 4.6).", shape="lognormal"),
    "metabolic_mass_exponent": _C(0.85, "-", 0.7, 0.95, "JUDGEMENT",
        "Resting need against body mass.", shape="normal"),
    "ration_dry_hatchling": _C(0.011, "g dry/g body", 0.008, 0.015, "PRACTICE",
        "One feeding, six days a week."),
    "ration_dry_juvenile": _C(0.011, "g dry/g body", 0.008, 0.015, "PRACTICE",
        "One feeding, four or five days a week."),
    "ration_dry_adult": _C(0.01, "g dry/g body", 0.008, 0.012, "PRACTICE",
        "One feeding, two to four days a week."),
    "ration_taper_c": _C(15.0, "degC", 12.0, 18.0, "PRACTICE",
        "Feed less below this."),
    "ration_stop_c": _C(11.0, "degC", 10.0, 12.0, "PRACTICE",
        "Feed nothing below this."),
}

DIGESTION: dict[str, Coefficient] = {
    "faecal_share_pellet": _C(0.27, "share of dry feed", 0.15, 0.4, "LYH05",
        "Dry matter not digested; 26-34 % read in softshells.", "read"),
    "faecal_share_prey": _C(0.1, "share of dry feed", 0.03, 0.2, "BBJ06",
        "Shrimp 97 % digested by sliders; widened for other prey.", "read"),
    "faecal_share_insect": _C(0.2, "share of dry feed", 0.08, 0.35, "JUDGEMENT",
        "Chitin passes."),
    "faecal_share_plant": _C(0.35, "share of dry feed", 0.2, 0.6, "JUDGEMENT",
        "Fibre passes."),
    "left_share_all": _C(0.0, "share", 0.0, 0.05, "PRACTICE",
        "Tap 'all eaten'."),
    "left_share_most": _C(0.15, "share", 0.05, 0.3, "PRACTICE",
        "Tap 'most eaten'."),
    "left_share_some": _C(0.5, "share", 0.3, 0.7, "PRACTICE",
        "Tap 'some eaten'."),
    "left_share_none": _C(1.0, "share", 0.9, 1.0, "PRACTICE",
        "Tap 'none eaten'."),
    "left_share_not_noted": _C(0.07, "share", 0.0, 0.25, "PRACTICE",
        "Nothing tapped."),
}

NITRIFICATION: dict[str, Coefficient] = {
    "oxygen_per_n": _C(4.57, "g O2/g N", 4.18, 4.57, "GJ74",
        "Theory, no growth; 4.32 with growth.", "read"),
    "alkalinity_per_n": _C(7.14, "g CaCO3/g N", 6.3, 7.4, "EPA75",
        "Theory 100.087 / 14.007; range observed in attached growth.", "lib"),
    "nitrate_per_n": _C(0.98, "g NO3-N/g N", 0.97, 1.0, "ETB06",
        "The rest becomes biofilm.", "memory"),
    "areal_rate_max": _C(0.45, "g TAN/m2/d", 0.15, 1.0, "MICROBEAD",
        "At 25 degC, well oxygenated, rich water.", shape="lognormal"),
    "half_saturation_tan": _C(1.5, "mg/L as N", 0.5, 3.0, "JUDGEMENT",
        "Chosen so that the rate at 2.5 mg/L is 0.28.", shape="lognormal"),
    "areal_rate_linear": _C(0.2, "g TAN/m2/d per mg/L", 0.08, 0.4, "MBC06",
        "Below 1 mg/L the rate is proportional; form read, size judged.", shape="lognormal"),
    "theta_nitrification": _C(1.043, "per degC", 1.02, 1.07, "ZC02",
        "TAN limits: +4.275 % per degC at 20.", "read"),
    "theta_nitrification_do": _C(1.011, "per degC", 1.0, 1.02, "ZC02",
        "Oxygen limits: +1.108 % per degC at 20.", "read"),
    "theta_nitrification_cold": _C(1.09, "per degC", 1.07, 1.12, "H14",
        "Below 10 degC; 18 % of the 20 degC rate at 1 degC.", "read"),
    "access_share": _C(0.8, "share", 0.3, 1.0, "JUDGEMENT",
        "Part of the bed the water really visits."),
    "oxygen_full_rate": _C(2.0, "mg/L", 1.0, 4.0, "KEEPERS",
        "Outlet oxygen above which it no longer limits.", "read-2nd"),
    "alkalinity_warn": _C(50.0, "mg/L CaCO3", 40.0, 80.0, "KEEPERS",
        "Below this nitrification begins to starve.", "read-2nd"),
    "alkalinity_act": _C(40.0, "mg/L CaCO3", 20.0, 50.0, "KEEPERS",
        "Above 40 is advised.", "read-2nd"),
    "nitrifier_safety_factor": _C(2.0, "-", 1.5, 3.0, "PRACTICE",
        "Bed ability over load in a plan.", "memory"),
    "bed_tan_mg_l": _C(0.5, "mg/L as N", 0.2, 1.0, "JUDGEMENT",
        "Ammonia level at which a bed's ability is quoted."),
    "startup_days": _C(35.0, "d", 20.0, 60.0, "JUDGEMENT",
        "Days to ability at 25 degC; 1 to 6 weeks is usual.", shape="lognormal"),
    "startup_theta": _C(1.07, "per degC", 1.04, 1.1, "JUDGEMENT",
        "Slower when colder: days x theta^(25 - T)."),
    "heterotroph_oxygen": _C(0.2, "kg O2/kg dry feed", 0.1, 0.5, "JUDGEMENT",
        "Oxygen other bacteria take in the bed."),
}

MEDIA: dict[str, Coefficient] = {
    "lava_specific_surface": _C(140.0, "m2/m3", 80.0, 250.0, "JUDGEMENT",
        "Lava rock, 20-30 mm.", shape="lognormal"),
    "lava_porosity": _C(0.5, "share", 0.42, 0.6, "JUDGEMENT",
        "Free space between the stones.", shape="normal"),
}

SLUDGE: dict[str, Coefficient] = {
    "solids_yield": _C(0.18, "kg dry/kg dry feed", 0.08, 0.4, "SOLIDS",
        "Dry solids to the void per dry feed, all in; farms 0.20.", shape="lognormal", sd=0.49),
    "degradable_share": _C(0.4, "share", 0.2, 0.64, "NHUT19",
        "Part of the solids that breaks down within months.", shape="logit-normal", sd=0.6),
    "decay_labile_per_day": _C(0.01, "1/d at 20 degC", 0.003, 0.033, "WST57",
        "Break-down of the degradable part; the fastest goes in a week (LG15).", shape="lognormal"),
    "decay_refractory_per_day": _C(0.0001, "1/d at 20 degC", 2e-05, 0.0005, "JUDGEMENT",
        "Break-down of the rest.", shape="lognormal"),
    "decay_theta": _C(1.05, "per degC", 1.03, 1.08, "PRACTICE",
        "Warmer is faster; lagoons 1.04-1.08. Kept within 1.0-1.1.", "memory", shape="normal", sd=0.015),
    "fresh_solids_kg_m3": _C(35.0, "kg dry/m3", 15.0, 82.0, "GEB04",
        "Just settled sludge, 3.5 % solids.", shape="lognormal"),
    "consolidated_solids_kg_m3": _C(90.0, "kg dry/m3", 60.0, 135.0, "GEB04",
        "Old sludge, 9 % solids; farm sludge 8-10 %, thickened 5-22 % (SH09).", "read", shape="lognormal"),
    "compaction_per_day": _C(0.01, "1/d", 0.002, 0.05, "GRAY95",
        "Pace of consolidation, shaped on septic tanks.", shape="lognormal"),
    "capture_share": _C(0.6, "share", 0.3, 0.9, "CB00",
        "Part of suspended solids the void catches; see settling.", shape="logit-normal"),
    "uneaten_share": _C(0.05, "share of dry feed", 0.0, 0.2, "JUDGEMENT",
        "Never eaten, when the tap is not used."),
    "biofilm_yield": _C(0.03, "kg/kg dry feed", 0.01, 0.08, "JUDGEMENT",
        "Biofilm that sloughs off.", shape="lognormal"),
    "wet_density_kg_l": _C(1.03, "kg/L", 1.01, 1.06, "CB00",
        "Settled sludge; particles 1.05-1.19."),
    "volatile_share": _C(0.75, "share of dry", 0.6, 0.85, "PRACTICE",
        "Burns off; trout sludge 0.73-0.74 read.", "memory"),
    "sludge_volume_index": _C(60.0, "mL/g", 30.0, 150.0, "PRACTICE",
        "Settled mL per g dry in a 30-minute jar.", "memory", shape="lognormal"),
    "load_noise": _C(0.25, "log sd", 0.083, 0.583, "JUDGEMENT",
        "Bursts and habits the log does not see, anew about every 91 days.", shape="lognormal"),
    "yield_offset_prey": _C(-0.5, "log", -0.83, -0.17, "JUDGEMENT",
        "Whole fish against pellets.", shape="normal", sd=0.2),
    "yield_offset_insect": _C(-0.2, "log", -0.53, 0.13, "JUDGEMENT",
        "Insects against pellets.", shape="normal", sd=0.2),
    "yield_offset_plant": _C(0.2, "log", -0.13, 0.53, "JUDGEMENT",
        "Plants against pellets.", shape="normal", sd=0.2),
}

LITTER: dict[str, Coefficient] = {
    "litter_none": _C(10.0, "g dry/m2/yr", 1.4, 72.0, "JUDGEMENT",
        "Reaching the void: dust, plants, sloughing.", shape="lognormal", sd=1.2),
    "litter_open": _C(35.0, "g dry/m2/yr", 8.6, 142.0, "JUDGEMENT",
        "Open yard: 100 falling x 0.35 caught.", shape="lognormal", sd=0.85),
    "litter_near": _C(77.0, "g dry/m2/yr", 19.0, 312.0, "JUDGEMENT",
        "Near trees: 220 falling x 0.35 caught.", shape="lognormal", sd=0.85),
    "litter_canopy": _C(158.0, "g dry/m2/yr", 39.0, 640.0, "LITTER",
        "Under canopy: about 450 falling x 0.35 caught.", shape="lognormal", sd=0.85),
    "litter_own_sd": _C(0.6, "log sd", 0.3, 1.0, "JUDGEMENT",
        "Spread about a facility's own figure."),
    "litter_capture": _C(0.35, "share", 0.1, 0.8, "PRACTICE",
        "Part of litterfall that reaches the void; screened 0.2, torn net 0.7."),
    "autumn_share": _C(0.45, "share of the year", 0.23, 0.69, "JUDGEMENT",
        "October and November outdoors; half a year later in the south.", shape="logit-normal", sd=0.6),
}

READINGS: dict[str, Coefficient] = {
    "rod_over_mean_filter": _C(1.0, "-", 0.82, 1.22, "JUDGEMENT",
        "Rod point over mean depth, habit of the pipe.", shape="lognormal", sd=0.12),
    "rod_over_mean_cycle": _C(1.0, "-", 0.82, 1.22, "JUDGEMENT",
        "The same, anew after each cleanout: the mound.", shape="lognormal", sd=0.12),
    "rod_error_floor_mm": _C(3.5, "mm", 2.0, 6.0, "JUDGEMENT",
        "Reading error of a rod on soft sludge."),
    "rod_error_share": _C(0.1, "share of depth", 0.05, 0.2, "JUDGEMENT",
        "Part of the error that grows with depth."),
    "rod_noise_person": _C(1.0, "-", 0.44, 2.28, "JUDGEMENT",
        "Who reads, how carefully.", shape="lognormal", sd=0.5),
    "rod_shared_error": _C(0.6, "share", 0.3, 0.9, "JUDGEMENT",
        "Error two readings by one person have in common."),
    "residual_full": _C(0.14, "share", 0.05, 0.32, "JUDGEMENT",
        "Left behind by a full cleanout.", shape="logit-normal", sd=0.65),
    "residual_part": _C(0.45, "share", 0.26, 0.65, "JUDGEMENT",
        "Left behind by a part cleanout.", shape="logit-normal", sd=0.5),
    "slurry_dilution": _C(2.2, "-", 1.2, 4.0, "JUDGEMENT",
        "Logged slurry over sludge: rinse water.", shape="lognormal"),
    "slurry_log_sd": _C(0.4, "log sd", 0.2, 0.6, "JUDGEMENT",
        "All error of a logged slurry volume."),
    "settled_dilution": _C(1.1, "-", 0.8, 1.5, "JUDGEMENT",
        "The same, when read after an hour's settling.", shape="lognormal", sd=0.2),
}

DUE: dict[str, Coefficient] = {
    "due_fill": _C(0.7, "share of void height", 0.3, 1.0, "PRACTICE",
        "Vacuum at this fill; lower where an inlet would be buried."),
    "horizon_days": _C(1095.0, "d", 365.0, 1825.0, "JUDGEMENT",
        "How far ahead a due day is looked for."),
    "feed_q10": _C(3.0, "-", 2.0, 4.0, "JUDGEMENT",
        "Appetite against temperature.", shape="lognormal"),
    "feed_stop_c": _C(13.0, "degC", 10.0, 16.0, "PRACTICE",
        "No feeding below; by taxon."),
    "feed_taper_c": _C(3.0, "degC", 1.0, 6.0, "JUDGEMENT",
        "Width of the fall to nothing above the stop."),
    "feed_mass_exponent": _C(0.75, "-", 0.6, 0.95, "JUDGEMENT",
        "Appetite against body mass."),
    "feed_habit_sd": _C(0.15, "log sd per root year", 0.05, 0.4, "JUDGEMENT",
        "Drift of a keeper's hand.", shape="lognormal"),
}

SETTLING: dict[str, Coefficient] = {
    "settling_median_pumped": _C(3.0, "m/h", 1.0, 9.0, "JUDGEMENT",
        "Dirty water through a pump: fragments.", shape="lognormal"),
    "settling_gsd_pumped": _C(6.0, "-", 4.0, 9.0, "JUDGEMENT",
        "Geometric spread of settling speeds, pumped."),
    "settling_median_gravity": _C(30.0, "m/h", 10.0, 90.0, "JUDGEMENT",
        "Whole droppings, gravity-fed; trout 25-60 read.", shape="lognormal"),
    "settling_gsd_gravity": _C(5.0, "-", 3.0, 8.0, "JUDGEMENT",
        "Geometric spread of settling speeds, gravity-fed."),
    "upflow_good_m_per_h": _C(5.0, "m/h", 2.0, 7.0, "JUDGEMENT",
        "Up to here whole droppings stay in the void."),
    "upflow_fines_m_per_h": _C(10.0, "m/h", 7.0, 15.0, "PRACTICE",
        "Above this fines are carried into the bed."),
    "upflow_lifts_m_per_h": _C(20.0, "m/h", 15.0, 30.0, "JUDGEMENT",
        "Above this settled sludge is lifted again."),
    "orifice_coefficient": _C(0.62, "-", 0.6, 0.65, "PRACTICE",
        "Sharp-edged hole.", "memory"),
    "hazen_williams_c": _C(150.0, "-", 130.0, 155.0, "HW",
        "Smooth plastic pipe.", "memory"),
    "pipe_roughness_mm": _C(0.0015, "mm", 0.001, 0.02, "PRACTICE",
        "Drawn plastic pipe.", "memory"),
    "turnover_h": _C(1.5, "h per system volume", 0.5, 4.0, "KEEPERS",
        "Tanks; ponds 2-4 h. Judge by load, not turnover.", "read-2nd"),
}

SIGNS: dict[str, Coefficient] = {
    "flow_low_share": _C(0.8, "share of baseline", 0.7, 0.9, "PRACTICE",
        "A sign, below this."),
    "flow_very_low_share": _C(0.6, "share of baseline", 0.5, 0.7, "PRACTICE",
        "Not coping, below this."),
    "head_rise_ratio": _C(1.5, "x baseline", 1.3, 2.0, "PRACTICE",
        "A sign at or above this and the rise below, twice."),
    "head_rise_mm": _C(5.0, "mm", 3.0, 10.0, "JUDGEMENT",
        "Least rise a ruler shows; clean coarse beds lose under 1 mm."),
    "test_age_indoor_days": _C(21.0, "d", 7.0, 30.0, "PRACTICE",
        "Tests older than this no longer speak, indoors."),
    "test_age_outdoor_days": _C(50.0, "d", 14.0, 60.0, "PRACTICE",
        "The same outdoors in season."),
    "no_test_days": _C(30.0, "d", 21.0, 60.0, "PRACTICE",
        "Without any test: not known."),
    "no_test_brumation_days": _C(60.0, "d", 30.0, 150.0, "PRACTICE",
        "The same in brumation."),
}

CREW: dict[str, Coefficient] = {
    "crew_setup_min": _C(15.0, "min", 5.0, 40.0, "PRACTICE",
        "Getting ready."),
    "crew_l_per_min": _C(3.25, "L/min", 2.5, 4.0, "PRACTICE",
        "Slurry vacuumed, emptying drums included."),
    "crew_refill_min": _C(10.0, "min", 5.0, 30.0, "PRACTICE",
        "Refill and restart."),
    "crew_write_up_min": _C(5.0, "min", 3.0, 15.0, "PRACTICE",
        "Writing it down."),
    "crew_slurry_per_sludge": _C(2.5, "L/L", 2.0, 3.0, "PRACTICE",
        "Water comes with it."),
    "crew_drum_l": _C(15.0, "L", 10.0, 18.0, "PRACTICE",
        "Usable in a 20 L drum."),
    "slurry_density_kg_l": _C(1.05, "kg/L", 1.0, 1.1, "PRACTICE",
        "20 L of slurry weighs about 21 kg."),
}

GROWTH: dict[str, Coefficient] = {
    "growth_k_captive": _C(0.5, "1/yr", 0.2, 1.2, "JUDGEMENT",
        "Captive juveniles, von Bertalanffy.", shape="lognormal"),
    "growth_k_wild": _C(0.3, "1/yr", 0.15, 0.6, "JUDGEMENT",
        "Wild; Malaclemys 0.28 and 0.61 read.", shape="lognormal"),
}

# fmt: on

GROUPS: dict[str, dict[str, Coefficient]] = {
    "Feed to nitrogen": FEED_TO_NITROGEN,
    "Digestion and leftovers": DIGESTION,
    "Nitrification and oxygen": NITRIFICATION,
    "Media": MEDIA,
    "Sludge": SLUDGE,
    "Leaves and dust": LITTER,
    "Readings and cleanouts": READINGS,
    "When due, and feed ahead": DUE,
    "Settling and hydraulics": SETTLING,
    "Signs of trouble": SIGNS,
    "Crew and drums": CREW,
    "Growth": GROWTH,
}
COEFFICIENTS: dict[str, Coefficient] = {key: item for group in GROUPS.values() for key, item in group.items()}

# Litterfall by month, January first, north temperate, as given; scale to mean 1 before use, shift by six in the south.
LITTER_MONTH_WEIGHTS: tuple[float, ...] = (0.3, 0.3, 0.6, 1.0, 1.1, 1.0, 0.9, 0.9, 1.1, 2.2, 2.0, 0.6)
