"""After the last fixed reading: what the demo goes on with, so that it is alive on whatever day it is opened.

Rounds go on by the same rules. The voids fill by a plain account (`plain_void.py`) from the true fill on
the last fixed day; now and then somebody takes a sounding of it, and three filters are vacuumed, late on purpose.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from functools import cache

from enclosures.scenarios.filters_log import AT_GRID, cleanout, sounding, void_mm
from enclosures.scenarios.plain_void import PlainVoid
from enclosures.scenarios.rounds import feedings
from enclosures.scenarios.rows import AS_OF, LAST_DAY, Row, clock, days, stream
from enclosures.scenarios.stores import DRY_SHARE
from enclosures.scenarios.weather import water_temp_c

TRUE_FILL = {"T1": 0.08, "T2": 0.36, "B1": 0.24, "B2": 0.75, "P1": 0.88, "P2": 0.40, "P3": 0.10, "P4": 0.64}
# usable m² of the chamber; m² of surface times g of litter a year
_PLACE = {
    "T1": (0.0391, 50), "T2": (0.0391, 50), "B1": (0.102, 78), "B2": (0.17, 64), "P1": (0.3375, 3080),
    "P2": (0.384, 2340), "P3": (0.32, 2040), "P4": (0.192, 1320),
}  # fmt: skip
_SOUNDED = (
    ("P3", date(2025, 10, 18)), ("B1", date(2025, 11, 8)), ("P4", date(2025, 11, 8)), ("T2", date(2026, 1, 17)),
    ("T1", date(2026, 2, 14)), ("B1", date(2026, 3, 7)), ("B2", date(2026, 3, 14)), ("P1", date(2026, 3, 28)),
    ("P2", date(2026, 4, 11)), ("P4", date(2026, 4, 11)), ("P3", date(2026, 5, 16)), ("T2", date(2026, 6, 6)),
    ("B1", date(2026, 6, 13)), ("P2", date(2026, 6, 20)), ("T1", date(2026, 7, 4)), ("P3", date(2026, 8, 15)),
    ("P1", date(2026, 8, 22)), ("B1", date(2026, 9, 5)), ("P2", date(2026, 9, 5)), ("P4", date(2026, 9, 12)),
)  # fmt: skip
# emptied late: the board should never be quiet
_EMPTIED = {("B2", date(2025, 12, 6)): 0.08, ("P1", date(2026, 4, 18)): 0.08, ("P4", date(2026, 8, 8)): 0.07}


@cache
def true_fill(code: str) -> dict[date, float]:
    """Fill at the end of every day from AS_OF on, by the plain account; after a cleanout what it left."""
    area, litter_g_year = _PLACE[code]
    fed = _dry_g_by_day()
    void = PlainVoid.filled(
        TRUE_FILL[code], usable_m2=area, void_mm=void_mm(code, LAST_DAY), litter_g_year=litter_g_year
    )
    fill = {AS_OF: TRUE_FILL[code]}
    for day in days(AS_OF + timedelta(days=1), LAST_DAY):
        void.live_a_day(dry_feed_g=fed[code, day], temp_c=water_temp_c(code, day), month=day.month)
        void.empty(left=_EMPTIED.get((code, day), 1.0))
        fill[day] = void.fill
    return fill


@cache
def _dry_g_by_day() -> dict[tuple[str, date], float]:
    dry: dict[tuple[str, date], float] = defaultdict(float)
    for r in feedings(AS_OF + timedelta(days=1), LAST_DAY):
        if r.get("offered_g"):
            day = date.fromisoformat(r["occurred_at"][:10])
            dry[r["enclosure"], day] += float(r["offered_g"]) * DRY_SHARE[r["food_item"]]
    return dry


def later_soundings() -> list[Row]:
    rows = []
    for code, day in _SOUNDED:
        rows += sounding(code, clock(day, "10:05"), **_rod(code, day))
    return rows


def _rod(code: str, day: date) -> dict[str, object]:
    """What the rod shows of the true depth: 8 % and 2 mm off, and never more than the grid lets it."""
    draw = stream("rod", code, day)
    height = void_mm(code, day)
    depth = round(true_fill(code)[day] * height * draw.gauss(1, 0.08) + draw.gauss(0, 2))
    return {"depth_mm": height, "qualifier": AT_GRID} if depth >= height else {"depth_mm": max(depth, 0)}


def later_cleanouts() -> list[Row]:
    rows = []
    for (code, day), left in _EMPTIED.items():
        before = true_fill(code)[day - timedelta(days=1)]
        area, _ = _PLACE[code]
        sludge_l = min(before, 1.0) * area * void_mm(code, day)
        rod = _rod(code, day - timedelta(days=1))
        rows.append(
            cleanout(
                code, day, at=clock(day, "09:10"), outcome="full", cause="sounding", depth_before_mm=rod["depth_mm"],
                depth_before_qualifier=rod.get("qualifier", ""), depth_after_mm=round(before * left * void_mm(code, day)),
                slurry_l=round(2.6 * sludge_l), minutes=round(30 + 2.6 * sludge_l / 3), slurry_known_by="drums",
                people="SUP BLD", sludge_to="compost bed", safety_ticked=True, media_disturbed=False, odour=2, first_draw=3,
            )
        )  # fmt: skip
    return rows
