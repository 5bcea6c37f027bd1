"""What the forecast is told: frozen facts of one filter, live as of one day, dated, in SI.

The loader in `enclosures/evidence.py` makes these from records; simulated facilities make them directly. Nothing here knows a database.
"Live as of D" means: entered by the end of D, dated by the end of D, not superseded or withdrawn by a row entered by D.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

FoodClass = Literal["pellet", "insect", "worm", "fish", "crustacean", "mollusc", "plant", "gel", "other"]
Eaten = Literal["all", "most", "some", "none", ""]
LitterLevel = Literal["none", "open", "near", "canopy"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Geometry:
    """One dated build of a filter's void. `due_fill` is a share of the void height (0.3-1)."""

    valid_from: date
    chamber_area_m2: float
    void_height_mm: float
    usable_fraction: float = 0.8
    due_fill: float = 0.7

    @property
    def usable_area_m2(self) -> float:
        return self.chamber_area_m2 * self.usable_fraction

    @property
    def usable_void_l(self) -> float:
        return self.usable_area_m2 * self.void_height_mm  # m2 x mm = L


@dataclass(frozen=True, kw_only=True, slots=True)
class FeedPortion:
    """One line of one feeding, as dry mass offered to the whole enclosure (not yet shared between filters)."""

    on: date
    dry_g: float
    food_class: FoodClass
    eaten: Eaten = ""
    protein_g: float = 0.0
    removed_dry_g: float = 0.0  # leftovers taken out again


@dataclass(frozen=True, kw_only=True, slots=True)
class SoundingSeen:
    """One sounding: repeat readings by one person. `qualifier` >= "rod at the grid", <= "below the mark".

    `minute` is minutes after local midnight, None when only the day is known. `is_disputed`: taken while signals disagreed,
    so it is shown and never learnt from.
    """

    entry: str
    on: date
    depths_mm: tuple[float, ...]
    minute: int | None = None
    qualifier: Literal["", ">=", "<="] = ""
    is_disputed: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class CleanoutDone:
    entry: str
    on: date
    outcome: Literal["full", "part", "attempted"]
    minute: int | None = None
    depth_before_mm: float | None = None
    depth_before_qualifier: Literal["", ">="] = ""
    depth_after_mm: float | None = None
    slurry_l: float | None = None
    is_disputed: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class TemperatureSeen:
    on: date
    temp_c: float


@dataclass(frozen=True, kw_only=True, slots=True)
class SeasonSpan:
    """`to_on` None: still so. Kinds: active, brumation, drained, resting."""

    kind: Literal["active", "brumation", "drained", "resting"]
    from_on: date
    to_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class StaySpan:
    """One animal in this enclosure; `to_on` None: still here. `expected_mass_g` when no weighing is known."""

    animal: str
    from_on: date
    to_on: date | None = None
    hatched_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class WeightSeen:
    animal: str
    on: date
    mass_g: float


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedChange:
    """Something decided for a day still ahead; factors apply to the feed from then on."""

    on: date
    feed_factor: float = 1.0
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Comer:
    """An animal that is to come. `usual_mass_g` on that day where it was never weighed; `lives_at_c` the water it grows in until then."""

    animal: str
    hatched_on: date | None = None
    usual_mass_g: float | None = None
    lives_at_c: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedMove:
    """Animals that are to come or to go on about `on`; `text` says who and where: "ten animals move to P3".

    `planned_for` is the day once meant where that has passed and the move is still to be made; `is_for_good` where they leave the facility.
    """

    on: date
    text: str
    leaving: tuple[str, ...] = ()
    coming: tuple[Comer, ...] = ()
    is_for_good: bool = False
    planned_for: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterEvidence:
    """All that is known of one filter. Tuples are sorted by day. `feed_share` is this filter's part of the enclosure's feed and litter (0-1]."""

    filter: str
    enclosure: str
    commissioned_on: date | None
    builds: tuple[Geometry, ...]
    feedings: tuple[FeedPortion, ...] = ()
    soundings: tuple[SoundingSeen, ...] = ()
    cleanouts: tuple[CleanoutDone, ...] = ()
    temperatures: tuple[TemperatureSeen, ...] = ()
    seasons: tuple[SeasonSpan, ...] = ()
    stays: tuple[StaySpan, ...] = ()
    weights: tuple[WeightSeen, ...] = ()
    planned: tuple[PlannedChange, ...] = ()
    planned_moves: tuple[PlannedMove, ...] = ()  # with `weights` of those who are to come
    planned_seasons: tuple[
        SeasonSpan, ...
    ] = ()  # dates still ahead, of begun ones their end; `seasons` is what has begun
    feed_share: float = 1.0
    is_indoor: bool = True
    surface_m2: float | None = None
    litter_level: LitterLevel = "none"
    litter_g_m2_year: float | None = None
    is_southern: bool = False
    room_temp_c: float = 24.0  # used indoors when no temperature is on record
    monthly_temp_c: tuple[float, ...] = (
        4,
        5,
        8,
        13,
        18,
        22,
        24,
        24,
        20,
        14,
        9,
        5,
    )  # outdoors, before there are own records
    feeding_stops_below_c: float = 13.0
    assumed_feed_share: float = 0.0  # of the last year's dry feed, what rests on a food class's usual recipe
    notes: tuple[str, ...] = ()  # doubts about the records themselves, as sentences that must be said

    def build_on(self, day: date) -> Geometry | None:
        """The build in force on a day; None before the first."""
        current = None
        for build in self.builds:
            if build.valid_from <= day:
                current = build
        return current


@dataclass(frozen=True, kw_only=True, slots=True)
class Quantiles:
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, kw_only=True, slots=True)
class DayQuantiles:
    """First days at or above a level; None: beyond the horizon."""

    p10: date | None
    p50: date | None
    p90: date | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Trace:
    """Fill over time for the chart: parallel tuples. `is_ahead` marks days after `as_of`. Values are fill (1 = full)."""

    days: tuple[date, ...]
    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]
    is_ahead: tuple[bool, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Outlook:
    """The forecast's answer for one filter. Fields are None only when it cannot be forecast (no geometry in force).

    fill      mean depth / void height at the end of `as_of` (may exceed 1);  depth_mm the same in mm;
    rod_mm    what a rod at the pipe should read today;
    due_on    first day on or after `as_of` with fill >= due_fill (already there: `as_of`);  full_on the same for fill >= 1;
    not_before  the horizon's date when any quantile of due_on lies beyond it, else None;
    sureness  none | rough | fair | good (job.md 3.2);  basis "2 soundings, 1 cleanout" of this cycle / history;
    chance_due_within  probability of being due within 30, 60, 180, 365 days;
    unexplained  sentences naming readings the model does not explain;  notes  other sentences that must be said;
    ahead  what is decided for days ahead and counted in, as sentences;
    """

    filter: str
    as_of: date
    due_fill: float | None
    void_height_mm: float | None
    fill: Quantiles | None
    depth_mm: Quantiles | None
    rod_mm: Quantiles | None
    due_on: DayQuantiles | None
    full_on: DayQuantiles | None
    not_before: date | None
    sureness: Literal["none", "rough", "fair", "good"]
    basis: str
    chance_due_within: tuple[tuple[int, float], ...] = ()
    n_soundings: int = 0
    n_cleanouts: int = 0
    last_sounding_on: date | None = None
    last_sounding_fill: float | None = None
    last_emptied_on: date | None = None
    dry_feed_since_emptied_g: float = 0.0
    feed_g_per_day: float = 0.0  # dry, mean of the last 28 days, to this filter
    litter_share: float = 0.0  # median share of the load that is background, this cycle
    next_reading: str = ""
    unexplained: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    ahead: tuple[str, ...] = ()
    trace: Trace | None = None
    model_version: str = ""
