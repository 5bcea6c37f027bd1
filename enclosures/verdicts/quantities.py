"""What can be entered, how far it may go, and the slips people make with it. Data, not code: one line a quantity.

Hard ranges refuse; soft ranges ask once. Both are common practice, no source, and wide on purpose. `compare` says how a new value is
held against the last one (or the plan, or the estimate): the factors down and up, or the difference, beyond which it is asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from enclosures.estimates import units

LB_G = 16 * units.G_PER_OZ


@dataclass(frozen=True, kw_only=True, slots=True)
class Slip:
    """A likely mistake: what the person may have meant, and how it turns into the field's own unit."""

    meant: str  # unit of what was typed: "°F", "oz"; empty for a slip of the decimal point
    convert: Callable[[float], float]


def _times(factor: float) -> Callable[[float], float]:
    return lambda value: value * factor


FAHRENHEIT = Slip(meant="°F", convert=units.c_from_f)
OUNCES = Slip(meant="oz", convert=units.g_from_oz)
POUNDS = Slip(meant="lb", convert=_times(LB_G))
KILOGRAMS = Slip(meant="kg", convert=_times(1000))
CENTIMETRES = Slip(meant="cm", convert=_times(10))
INCHES = Slip(meant="in", convert=units.mm_from_in)
METRES = Slip(meant="m", convert=_times(1000))
US_GALLONS = Slip(meant="US gal", convert=units.l_from_us_gal)
IMP_GALLONS = Slip(meant="imp gal", convert=units.l_from_imp_gal)
L_PER_MINUTE = Slip(meant="L/min", convert=_times(60))
AS_NH3 = Slip(meant="mg/L as NH3", convert=_times(units.N_SHARE_OF["NH3"]))
AS_NO2 = Slip(meant="mg/L as NO2", convert=_times(units.N_SHARE_OF["NO2"]))
AS_N = Slip(meant="mg/L as N", convert=_times(1 / units.N_SHARE_OF["NO3"]))
IN_DKH = Slip(meant="dKH", convert=_times(units.CACO3_PER_DKH))
PER_CENT = Slip(meant="%", convert=_times(0.01))
SHIFT_DOWN = Slip(meant="", convert=_times(0.1))
SHIFT_UP = Slip(meant="", convert=_times(10))

LENGTHS = (CENTIMETRES, INCHES, SHIFT_DOWN)
VOLUMES = (US_GALLONS, IMP_GALLONS, SHIFT_UP, SHIFT_DOWN)
MASSES = (OUNCES, POUNDS, KILOGRAMS, SHIFT_UP, SHIFT_DOWN)
FLOWS = (L_PER_MINUTE, US_GALLONS, IMP_GALLONS, SHIFT_UP, SHIFT_DOWN)
SHIFTS = (SHIFT_DOWN, SHIFT_UP)


@dataclass(frozen=True, kw_only=True, slots=True)
class Compare:
    """Against the last value. `factors` (down, up) for sizes, `difference` for temperatures; either side may be None."""

    words: str = "Last time it was"
    factors: tuple[float | None, float | None] | None = None
    difference: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Limit:
    """What a case's own limit means: the void's height, a pump's rating. `slack` is the share over it that is only asked about."""

    words: str
    is_hard: bool = True
    slack: float = 0.0
    low_share: float | None = None  # asked about under this share of the limit
    high_share: float = 1.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Quantity:
    key: str
    label: str
    unit: str
    hard: tuple[float, float]
    soft: tuple[float, float]
    slips: tuple[Slip, ...] = ()
    compare: Compare | None = None
    limit: Limit | None = None
    decimals: int = 0  # of a converted value

    def is_hard_ok(self, value: float) -> bool:
        return self.hard[0] <= value <= self.hard[1]

    def is_soft_ok(self, value: float) -> bool:
        return self.soft[0] <= value <= self.soft[1]


def _q(
    key: str,
    label: str,
    unit: str,
    soft: tuple[float, float],
    hard: tuple[float, float],
    slips: tuple[Slip, ...] = (),
    *,
    compare: Compare | None = None,
    limit: Limit | None = None,
    decimals: int = 0,
) -> Quantity:
    return Quantity(
        key=key,
        label=label,
        unit=unit,
        soft=soft,
        hard=hard,
        slips=slips,
        compare=compare,
        limit=limit,
        decimals=decimals,
    )


QUANTITIES: Mapping[str, Quantity] = {
    q.key: q
    for q in (
        # the build
        _q("chamber_area_m2", "Chamber area", "m²", (0.02, 4), (0.005, 50), decimals=3),
        _q("void_height_mm", "Void height", "mm", (30, 500), (10, 2000), LENGTHS),
        _q("usable_fraction", "Usable share of the void", "", (0.5, 0.95), (0.2, 1), (PER_CENT,), decimals=2),
        _q("due_fill", "Due line", "", (0.5, 0.9), (0.3, 1), (PER_CENT,), decimals=2),
        _q("layer_depth_mm", "Layer depth", "mm", (20, 1200), (1, 3000), LENGTHS),
        _q("free_space", "Free space in the bed", "", (0.3, 0.6), (0.05, 0.95), (PER_CENT,), decimals=2),
        _q("area_m2_per_m3", "Surface of the media", "m²/m³", (40, 1000), (10, 5000)),
        _q("pipe_bore_mm", "Cleanout pipe", "mm", (25, 200), (10, 600), LENGTHS),
        _q("pipe_top_mm", "Pipe top above the water", "mm", (30, 800), (0, 3000), LENGTHS),
        _q("water_over_media_mm", "Water over the media", "mm", (20, 300), (0, 3000), LENGTHS),
        _q("floor_fall_mm_per_m", "Fall of the floor", "mm per m", (0, 100), (0, 500)),
        _q("guard_opening_mm", "Guard opening", "mm", (2, 20), (0, 100), LENGTHS),
        _q("water_volume_l", "Water volume", "L", (20, 50_000), (1, 2_000_000), VOLUMES),
        _q("surface_m2", "Water surface", "m²", (0.05, 500), (0.01, 50_000), decimals=2),
        _q("enclosure_depth_mm", "Water depth", "mm", (50, 2500), (10, 20_000), (*LENGTHS, METRES)),
        _q("rated_l_per_h", "Rated flow", "L/h", (100, 20_000), (1, 200_000), FLOWS),
        # flow, void, cleanout
        _q(
            "flow_l_per_h", "Flow", "L/h", (20, 20_000), (0, 200_000), FLOWS,
            compare=Compare(factors=(0.4, 1.8)),
            limit=Limit(words="The pump is rated", is_hard=False, low_share=0.2, high_share=1.1),
        ),
        _q(
            "depth_mm", "Sludge depth", "mm", (0, 2000), (0, 2000), (SHIFT_DOWN, CENTIMETRES, INCHES),
            compare=Compare(factors=(0.35, 3.0)),
            limit=Limit(words="The void is", slack=0.05),
        ),
        _q("head_difference_mm", "Head difference", "mm", (-10, 200), (-50, 2000), LENGTHS),
        _q("level_over_media_mm", "Level from the mark", "mm", (-80, 100), (-1000, 1000), (SHIFT_DOWN,)),
        _q("pump_off_min", "Pump off", "min", (0, 60), (0, 10_000)),
        _q(
            "slurry_l", "Slurry", "L", (0.5, 1000), (0, 100_000), VOLUMES,
            compare=Compare(words="The sludge is estimated at", factors=(0.5, 8.0)),
        ),
        _q(
            "water_change_l", "Water changed", "L", (0.5, 50_000), (0, 2_000_000), VOLUMES,
            compare=Compare(factors=(0.4, 2.5)),
            limit=Limit(words="The place holds", is_hard=False, high_share=3.0),
        ),
        _q("temp_difference_c", "Temperature difference", "°C", (-3, 3), (-40, 40), decimals=1),
        # water
        _q(
            "water_temp_c", "Water temperature", "°C", (2, 34), (-2, 45), (FAHRENHEIT,),
            compare=Compare(difference=8.0), decimals=1,
        ),
        _q("ph", "pH", "", (6.0, 9.0), (3, 11), (SHIFT_DOWN,), decimals=1),
        _q("tan_mg_l_as_n", "TAN", "mg/L as N", (0, 10), (0, 100), (AS_NH3, SHIFT_DOWN), decimals=2),
        _q("nitrite_mg_l_as_n", "Nitrite", "mg/L as N", (0, 10), (0, 100), (AS_NO2, SHIFT_DOWN), decimals=2),
        _q("nitrate_mg_l_as_no3", "Nitrate", "mg/L as NO3", (0, 200), (0, 1000), SHIFTS),
        _q("kh_mg_l_caco3", "Carbonate hardness", "mg/L CaCO3", (20, 400), (0, 1000), (IN_DKH,)),
        _q("do_mg_l", "Oxygen", "mg/L", (2, 15), (0, 25), (SHIFT_DOWN,), decimals=1),
        _q("chlorine_mg_l", "Chlorine", "mg/L", (0, 1), (0, 20), (SHIFT_DOWN,), decimals=2),
        _q("salinity_g_l", "Salinity", "g/L", (0, 5), (0, 45), (SHIFT_DOWN,), decimals=1),
        # feeding
        _q(
            "offered_g", "Food given", "g", (0, 5000), (0, 100_000), (SHIFT_DOWN, OUNCES),
            compare=Compare(words="The plan is", factors=(None, 2.5)), decimals=1,
        ),
        _q(
            "offered_dry_g", "Dry food given", "g", (0, 5000), (0, 100_000),
            limit=Limit(words="Six per cent of what lives there is", is_hard=False), decimals=1,
        ),
        _q("moisture_percent", "Moisture", "%", (2, 96), (0, 99)),
        _q("protein_percent", "Protein", "%", (1, 75), (0, 95)),
        # animals, eggs
        _q(
            "mass_g", "Mass", "g", (1, 50_000), (0.3, 200_000), MASSES,
            compare=Compare(factors=(0.74, 1.35)), decimals=1,
        ),
        _q(
            "scl_mm", "Straight carapace length", "mm", (18, 1000), (10, 2500), (CENTIMETRES, INCHES, SHIFT_DOWN, SHIFT_UP),
            compare=Compare(factors=(0.97, 1.35)), decimals=1,
        ),
        _q("hatchling_mass_g", "Hatchling mass", "g", (1, 25), (0.3, 200), MASSES, decimals=1),
        _q("quarantine_days", "Quarantine", "days", (30, 365), (0, 1500)),
        _q("eggs_n", "Eggs", "", (1, 30), (0, 250)),
        _q("egg_mass_g", "Egg mass", "g", (1, 40), (0.5, 200), MASSES, decimals=1),
        _q("incubator_temp_c", "Incubator temperature", "°C", (22, 33), (10, 40), (FAHRENHEIT,), decimals=1),
        _q("incubation_set_c", "Set temperature", "°C", (22, 33), (18, 36), (FAHRENHEIT,), decimals=1),
        _q("water_to_substrate", "Water to dry substrate", "", (0.2, 2), (0, 5), decimals=1),
        _q("lay_to_hatch_days", "Lay to hatch", "days", (45, 250), (1, 600)),
        # winter, outage
        _q("brumation_temp_c", "Water in winter rest", "°C", (1, 12), (-2, 30), (FAHRENHEIT,), decimals=1),
        _q("brumation_loss_percent", "Mass lost over winter", "%", (-2, 12), (-30, 60)),
        _q("days_without_food", "Days without food", "days", (0, 200), (0, 400)),
        _q("outage_hours", "Outage", "h", (0, 72), (0, 2000)),
    )
}  # fmt: skip
