"""One pond with a filter, made through actions, and stored answers made by hand, so that no test of a page waits for a forecast."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from enclosures.actions.feedings import LineGiven, log_feeding
from enclosures.actions.sludge import DepthGiven, log_flow_check, log_sounding
from enclosures.actions.stays import arrive
from enclosures.actions.water import ReadingGiven, log_water_test
from enclosures.models import (
    Animal,
    Enclosure,
    Facility,
    Filter,
    FilterOutlook,
    FoodItem,
    Measurement,
    MediaLayer,
    Moment,
    Taxon,
)
from enclosures.verdicts.words import Band
from tests.actions.station import at, entered_on, make_enclosure, make_filter, make_pellet, on
from tests.conftest import NOW, TODAY


def make_pond(facility: Facility, code: str = "P1", *, pellet: FoodItem | None = None, **more: Any) -> Filter:
    """A pond of 7 800 L with 0.45 m² × 150 mm of void under two layers of lava."""
    enclosure = make_enclosure(facility, code, name="Pond turtle pond", depth_mm=1000, litter_level="near", **more)
    each = make_filter(
        enclosure,
        baseline_flow_l_per_h=2400,
        baseline_head_mm=14,
        pipe_bore_mm=75,
        chamber_length_mm=900,
        chamber_width_mm=500,
    )
    build = each.builds.get()
    for position, (low, high, depth) in enumerate(((40, 80, 150), (15, 30, 250)), 1):
        MediaLayer.objects.create(
            build=build, position=position, grade_min_mm=low, grade_max_mm=high, depth_mm=depth, material="lava"
        )
    return each


def answer(
    each: Filter,
    *,
    fill: tuple[float, float, float] | None = (0.75, 0.88, 1.03),
    band: Band = Band.OVERDUE,
    score: float = 60,
    due: str = "Now. Past the due line since before 30 Aug.",
    sentence: str = "Flow is 79 % of baseline and head difference 1.6 ×.",
    as_of: date = TODAY,
    is_stale: bool = False,
    pinned: str = "",
    due_fill: float = 0.7,
    season: str = "",
) -> FilterOutlook:
    """A stored answer as `refresh_outlook` leaves it."""
    quantiles = dict(zip(("p10", "p50", "p90"), fill, strict=True)) if fill else None
    day = as_of.isoformat()
    days = [as_of - timedelta(days=60), as_of, as_of + timedelta(days=60)]
    row, _ = FilterOutlook.objects.update_or_create(
        filter=each,
        defaults={
            "as_of": as_of,
            "computed_at": NOW,
            "is_stale": is_stale,
            "band": band.plain,
            "band_order": band.order,
            "score": score,
            "fill_p10": fill[0] if fill else None,
            "fill_p50": fill[1] if fill else None,
            "fill_p90": fill[2] if fill else None,
            "sureness": "fair" if fill else "none",
            "coping": "straining",
            "sentence": sentence,
            "pinned": pinned,
            "answer": {
                "filter": each.code,
                "as_of": day,
                "fill": quantiles,
                "depth_mm": {name: share * 150 for name, share in quantiles.items()} if quantiles else None,
                "due_fill": due_fill if fill else None,
                "due_on": {"p10": day, "p50": day, "p90": day} if fill else None,
                "not_before": None,
                "band": band.plain,
                "sureness": "fair" if fill else "none",
                "basis": "2 soundings, 1 cleanout",
                "reasons": [sentence],
                "next_reading": "One more sounding would narrow this most.",
            },
            "detail": {"due_sentence": due, "season": season, "notes": [], "full_on": None, "void_height_mm": 150},
            "trace": {
                "days": [each_day.isoformat() for each_day in days],
                "p10": [0.5, 0.75, 0.8],
                "p50": [0.6, 0.88, 0.95],
                "p90": [0.7, 1.03, 1.1],
                "is_ahead": [False, False, True],
            }
            if fill
            else {},
        },
    )
    return row


def make_turtles(enclosure: Enclosure, n: int = 4) -> list[Animal]:
    """One male and the rest females, weighed in August."""
    taxon, _ = Taxon.objects.get_or_create(
        scientific_name="Emys orbicularis", defaults={"common_name": "European pond turtle"}
    )
    facility = enclosure.facility
    animals = []
    for number in range(n):
        animal = Animal.objects.create(
            code=f"{enclosure.code}-{101 + number}", taxon=taxon, sex="male" if number == 0 else "female"
        )
        arrive(
            animal=animal,
            to=enclosure,
            moment=on(date(2024, 5, 1), facility),
            stamp=entered_on(date(2024, 5, 1)),
            reason="routine",
        )
        weighed = Measurement(animal=animal, mass_g=700 + number, entered_at=NOW, entered_by="K1")
        weighed.moment = Moment.of_day(date(2025, 8, 2), zone=facility.zone)
        weighed.save()
        animals.append(animal)
    return animals


def log_some_days(each: Filter, *, pellet: FoodItem | None = None, n: int = 10, until: date = TODAY) -> None:
    """Feedings, temperatures, tests, a sounding and a flow check of the last days, each through its action."""
    enclosure, facility = each.enclosure, each.enclosure.facility
    pellet = pellet or FoodItem.objects.filter(code="pellet").first() or make_pellet()
    for number in range(n):
        day = until - timedelta(days=number + 1)
        log_feeding(
            enclosure=enclosure,
            moment=at(day, 8, 1, facility),
            lines=[LineGiven(food_item=pellet, amount=0.5, unit="scoop", eaten="all")],
            stamp=entered_on(day, hour=9),
            outcome="planned",
            slot="am",
        )
        log_water_test(
            enclosure=enclosure,
            moment=at(day, 8, 0, facility),
            readings=[ReadingGiven(analyte="temperature", value=14.6, unit="degC")],
            stamp=entered_on(day, hour=9),
        )
    tested = until - timedelta(days=2)
    log_water_test(
        enclosure=enclosure,
        moment=at(tested, 15, 38, facility),
        readings=[
            ReadingGiven(analyte="tan", value=8, unit="mg/L", qualifier=">", expressed_as="NH3"),
            ReadingGiven(analyte="nitrite", value=0.02, unit="mg/L", expressed_as="N"),
            ReadingGiven(analyte="ph", value=7.8, unit="pH"),
        ],
        stamp=entered_on(tested),
    )
    log_sounding(
        filter=each,
        moment=on(date(2025, 8, 30), facility),
        depths=[DepthGiven(depth_mm=depth) for depth in (118, 121, 121)],
        stamp=entered_on(date(2025, 8, 30), by="SUP"),
    )
    log_flow_check(
        filter=each,
        moment=on(date(2025, 9, 27), facility),
        flow_l_per_h=1900,
        head_difference_mm=22,
        stamp=entered_on(date(2025, 9, 27), by="SUP"),
    )
