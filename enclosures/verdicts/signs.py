"""Everything the rules read about one filter on one day, gathered by the loader; nothing here knows a database.

"Current" readings are those since the last work on the filter (emptied, re-stacked, pump changed and confirmed): what was read
before says nothing of the filter as it stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from enclosures.verdicts.limits import LIMITS, Level, Qualifier, WaterLimit

TESTS_JUDGED = 3
TEST_DAYS_INDOORS, TEST_DAYS_OUTDOORS, TEST_DAYS_BRUMATION = 21, 50, 60
YOUNG_BED_DAYS = 42

FLOW_LOOK, FLOW_ACT = 0.80, 0.60  # shares of the baseline
HEAD_LOOK, HEAD_ACT, HEAD_RISE_MM = 1.5, 2.5, 5.0
LEVEL_LOOK_MM = 20.0
ROTTEN_EGG = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterSign:
    """One reading of one test, in canonical units (see limits.py). Readings of one day are one test."""

    on: date
    analyte: str
    value: float
    qualifier: Qualifier = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class FlowSign:
    """One flow check with the baselines in force that day. Any part may be missing; a baseline of 0 counts as none."""

    on: date
    flow_l_per_h: float | None = None
    head_difference_mm: float | None = None
    level_over_media_mm: float | None = None  # ± from the painted mark
    odour: int | None = None  # 0 none, 1 earthy, 2 musty, 3 rotten egg
    return_water: Literal["", "clear", "haze", "bits"] = ""
    baseline_flow_l_per_h: float | None = None
    baseline_head_mm: float | None = None

    @property
    def flow_share(self) -> float | None:
        if self.flow_l_per_h is None or not self.baseline_flow_l_per_h:
            return None
        return self.flow_l_per_h / self.baseline_flow_l_per_h

    @property
    def head_ratio(self) -> float | None:
        if self.head_difference_mm is None or not self.baseline_head_mm:
            return None
        return self.head_difference_mm / self.baseline_head_mm

    @property
    def is_head_up(self) -> bool:
        """1.5 times the baseline and 5 mm over it: at small heads one of the two alone is a ruler's error."""
        if self.head_ratio is None or self.head_difference_mm is None or self.baseline_head_mm is None:
            return False
        return self.head_ratio >= HEAD_LOOK and self.head_difference_mm - self.baseline_head_mm >= HEAD_RISE_MM


@dataclass(frozen=True, kw_only=True, slots=True)
class SoundingSign:
    """What the rod said, as a share of the void of that day. `is_at_grid`: the rod stopped at the grid, full or more."""

    on: date
    fill: float
    is_at_grid: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class StockEvent:
    """Something coming: 'The map turtles come in'. Arrivals close the working window for a month."""

    on: date
    text: str
    is_arrival: bool = True


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """A spell of days, both ends included; open-ended when `to_on` is None."""

    from_on: date
    to_on: date | None = None

    def covers(self, day: date) -> bool:
        return self.from_on <= day and (self.to_on is None or day <= self.to_on)


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterSigns:
    """All tuples are sorted by day, oldest first, and hold nothing later than the day of judging except what says "ahead"."""

    filter: str
    due_fill: float = 0.7
    flows: tuple[FlowSign, ...] = ()
    waters: tuple[WaterSign, ...] = ()
    soundings: tuple[SoundingSign, ...] = ()  # before-and-after depths of cleanouts count too
    limits: Mapping[str, WaterLimit] = field(default_factory=lambda: LIMITS)

    is_indoor: bool = True
    is_pond: bool = False
    is_southern: bool = False
    has_trees: bool = False
    brumations: tuple[Span, ...] = ()
    water_temp_c: float | None = None  # now: the last days' readings
    water_ahead_c: tuple[float, ...] = ()  # expected, one value a day from the day of judging; empty: not known

    stock_kg: float | None = None
    water_volume_l: float | None = None
    n_animals: int = 0
    n_program_animals: int = 0
    n_hatchlings: int = 0
    is_quarantine: bool = False
    has_gravid_or_nesting: bool = False
    has_nesting_females: bool = False  # females that nest here in season
    is_skin_sensitive: bool = False
    n_pumps: int = 1

    commissioned_on: date | None = None
    last_emptied_on: date | None = None  # full cleanouts only
    cleanouts_on: tuple[date, ...] = ()  # anything that took sludge out
    last_work_on: date | None = None  # emptied, re-stacked, pump change confirmed
    rebuilt_on: date | None = None  # new or re-stacked bed
    is_cycling: bool = False
    did_rebuild_close_disagreement: bool = False
    arrivals_on: tuple[date, ...] = ()
    events_ahead: tuple[StockEvent, ...] = ()
    remarks: tuple[str, ...] = ()  # whole sentences worth saying, lightest reasons of all

    # flow -----------------------------------------------------------------------------------------------------------

    @property
    def current_flows(self) -> tuple[FlowSign, ...]:
        if self.last_work_on is None:
            return self.flows
        return tuple(flow for flow in self.flows if flow.on >= self.last_work_on)

    def last_flow(self) -> FlowSign | None:
        """Latest check with a flow that can be set against a baseline."""
        return next((flow for flow in reversed(self.current_flows) if flow.flow_share is not None), None)

    def head_checks(self) -> tuple[FlowSign, ...]:
        """Checks with a head difference that can be set against a baseline, oldest first."""
        return tuple(flow for flow in self.current_flows if flow.head_ratio is not None)

    def last_level_mm(self) -> float | None:
        levels = [flow.level_over_media_mm for flow in self.current_flows if flow.level_over_media_mm is not None]
        return levels[-1] if levels else None

    def last_odour(self) -> int | None:
        odours = [flow.odour for flow in self.current_flows if flow.odour is not None]
        return odours[-1] if odours else None

    def is_return_cloudy(self) -> bool:
        looks = [flow.return_water for flow in self.current_flows if flow.return_water]
        return bool(looks) and looks[-1] in ("haze", "bits")

    # water ----------------------------------------------------------------------------------------------------------

    def is_brumating(self, day: date) -> bool:
        return any(span.covers(day) for span in self.brumations)

    def test_days(self, today: date) -> int:
        """How old a test may be and still speak: 21 days indoors, 50 outdoors in season, 60 in winter rest."""
        if self.is_brumating(today):
            return TEST_DAYS_BRUMATION
        return TEST_DAYS_INDOORS if self.is_indoor else TEST_DAYS_OUTDOORS

    def recent_tests(self, today: date) -> tuple[tuple[WaterSign, ...], ...]:
        """The last three tests that are young enough, oldest first; a test is all readings of one day."""
        days = sorted(
            {sign.on for sign in self._tests_of_the_filter() if (today - sign.on).days <= self.test_days(today)}
        )
        return tuple(tuple(s for s in self._tests_of_the_filter() if s.on == day) for day in days[-TESTS_JUDGED:])

    def last_test_on(self) -> date | None:
        """Last day TAN or nitrite was tested: other readings alone do not say whether the bed works."""
        return max((sign.on for sign in self.waters if sign.analyte in ("tan", "nitrite")), default=None)

    def last_value(self, analyte: str, today: date) -> WaterSign | None:
        """The latest reading of an analyte that is young enough to speak."""
        found = [s for s in self.waters if s.analyte == analyte and (today - s.on).days <= self.test_days(today)]
        return found[-1] if found else None

    def level_of(self, sign: WaterSign) -> Level:
        limit = self.limits.get(sign.analyte)
        return limit.level(sign.value, sign.qualifier) if limit else "ok"

    def _tests_of_the_filter(self) -> list[WaterSign]:
        return [s for s in self.waters if s.analyte in self.limits and self.limits[s.analyte].speaks_of_filter]

    # sounding, bed, stock -------------------------------------------------------------------------------------------

    @property
    def last_sounding(self) -> SoundingSign | None:
        return self.soundings[-1] if self.soundings else None

    def days_since_sounding(self, today: date) -> int | None:
        """None: never sounded."""
        return (today - self.soundings[-1].on).days if self.soundings else None

    def bed_age_days(self, today: date) -> int | None:
        return (today - self.rebuilt_on).days if self.rebuilt_on else None

    def is_bed_young(self, today: date) -> bool:
        age = self.bed_age_days(today)
        return self.is_cycling or (age is not None and 0 <= age < YOUNG_BED_DAYS)

    @property
    def density_kg_m3(self) -> float | None:
        if self.stock_kg is None or not self.water_volume_l:
            return None
        return self.stock_kg / (self.water_volume_l / 1000)

    def water_trend_c(self) -> float | None:
        """Expected change over the coming fortnight, °C."""
        return self.water_ahead_c[14] - self.water_ahead_c[0] if len(self.water_ahead_c) > 14 else None
