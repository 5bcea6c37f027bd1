"""The place itself: enclosures, filters as built, pumps, seasons, permits. All of it invented."""

from __future__ import annotations

from datetime import date

from enclosures.scenarios.rows import FIRST_DAY, ZONE, Row, Tables, clock, row, stamp

CODE, NAME = "BL", "Brackenlode Turtle Station"
UPFLOW = ("T1", "T2", "B1", "B2", "P1", "P2", "P3", "P4")
SPONGE = ("Q1", "G1")
INDOOR = ("T1", "T2", "B1", "B2", "G1", "Q1")
PONDS = ("P1", "P2", "P3", "P4")
IN_USE_FROM = {"T1": date(2023, 8, 1), "T2": date(2024, 8, 3), "P4": date(2024, 5, 4)}

# Outdoor water on the first of each month, °C, and the means of the months between.
FIRST_OF_MONTH_C = (4, 5, 8, 13, 18, 23, 26, 25, 21, 15, 9, 5)
MONTH_MEANS_C = tuple((a + b) / 2 for a, b in zip(FIRST_OF_MONTH_C, FIRST_OF_MONTH_C[1:] + (4,), strict=True))

# code, name, kind, indoor, water L, surface m², depth mm, trees, litter g/m²/year, place on the round
_ENCLOSURES = (
    ("T1", "Starter tub 1", "tub", True, 80, 0.55, 150, "none", 90, 10),
    ("T2", "Starter tub 2", "tub", True, 80, 0.55, 150, "none", 90, 20),
    ("B1", "Mud turtle tank", "tank", True, 400, 1.3, 310, "none", 60, 30),
    ("B2", "Winter tank", "tank", True, 620, 1.6, 390, "none", 40, 40),
    ("G1", "Grow-out tub", "nursery", True, 160, 0.8, 200, "none", None, 50),
    ("P1", "Pond turtle pond", "pond", False, 7800, 14, 1000, "near", 220, 60),
    ("P2", "Cooter pond", "pond", False, 5200, 9, 1100, "near", 260, 70),
    ("P3", "Map turtle pond", "pond", False, 6500, 12, 900, "near", 170, 80),
    ("P4", "Tunnel pond", "pond", False, 2400, 6, 600, "near", 220, 90),
    ("Q1", "Quarantine rack", "quarantine", True, 60, 0.35, 170, "none", None, 100),
)
_ENCLOSURE_NOTES = {
    "T1": "Plants: count their dead leaves as litter.",
    "T2": "Plants: count their dead leaves as litter.",
    "P1": "Netted against herons. Lemna on the east side.",
    "P2": "Leaf net from October to December.",
    "P3": "Fence checked monthly after an animal got into the intake bay.",
    "P4": "Under the poly-tunnel: about 3 °C warmer than the yard.",
}

# filter: from, area m², length × width mm, void mm, usable, flow L/h, head mm, pipe bore mm, coarse mm, fine mm, share new, why
_BUILDS = (
    ("T1", date(2023, 8, 1), 0.046, 230, 200, 60, 0.85, 180, 6, 32, 60, 160, True, "First build."),
    ("T2", date(2024, 8, 3), 0.046, 230, 200, 60, 0.85, 180, 6, 32, 60, 160, True, "First build."),
    ("B1", date(2020, 3, 14), 0.12, 400, 300, 100, 0.85, 620, 10, 50, 120, 210, True, "First build."),
    ("B2", date(2021, 9, 18), 0.20, 500, 400, 130, 0.85, 1200, 12, 50, 150, 225, True, "First build."),
    ("P1", date(2018, 4, 21), 0.45, 900, 500, 150, 0.75, 2400, 14, 75, 150, 250, True, "First build."),
    ("P2", date(2016, 5, 7), 0.48, 800, 600, 160, 0.80, 2900, 15, 90, 160, 235, True, "First build."),
    ("P2", date(2025, 3, 29), 0.48, 800, 600, 240, 0.80, 2900, 14, 90, 160, 235, False,
     "Void raised from 160 to 240 mm: it filled in months. 20 % of the lava is new."),
    ("P3", date(2019, 4, 27), 0.40, 800, 500, 150, 0.80, 2800, 14, 75, 175, 250, True, "First build."),
    ("P3", date(2025, 8, 9), 0.40, 800, 500, 150, 0.80, 2780, 12, 75, 175, 250, False,
     "Bed lifted: end cap found off the distribution pipe. Refitted, the right pump back on. 40 % of the lava is new."),
    ("P4", date(2024, 5, 4), 0.24, 600, 400, 120, 0.80, 1200, 9, 63, 120, 235, True, "First build."),
)  # fmt: skip

_PUMPS = (
    ("PU-T1", 300, 4, ""),
    ("PU-T2", 300, 4, ""),
    ("PU-B1", 1000, 12, ""),
    ("PU-B2", 2000, 25, ""),
    ("PU-P1", 4000, 35, ""),
    ("PU-P2", 4500, 40, ""),
    ("PU-P3", 4500, 40, "Worn impeller; kept for parts."),
    ("PU-SPARE", 2400, 20, "The spare from the shed shelf."),
    ("PU-P3B", 4500, 40, ""),
    ("PU-P4", 2000, 18, ""),
)
# pump, filter, from, to, entered on (empty: the same day)
_FITTINGS = (
    ("PU-T1", "T1", date(2023, 8, 1), None, None),
    ("PU-T2", "T2", date(2024, 8, 3), None, None),
    ("PU-B1", "B1", date(2020, 3, 14), None, None),
    ("PU-B2", "B2", date(2021, 9, 18), None, None),
    ("PU-P1", "P1", date(2018, 4, 21), None, None),
    ("PU-P2", "P2", date(2016, 5, 7), None, None),
    ("PU-P3", "P3", date(2019, 4, 27), date(2025, 4, 28), None),
    ("PU-SPARE", "P3", date(2025, 4, 28), date(2025, 8, 9), date(2025, 5, 10)),
    ("PU-P3B", "P3", date(2025, 8, 9), None, None),
    ("PU-P4", "P4", date(2024, 5, 4), None, None),
)

# enclosure, kind, first day, last day (both counted). The last winter is the living demo's.
SEASONS = (
    ("P1", "brumation", date(2023, 11, 5), date(2024, 3, 24)),
    ("P2", "brumation", date(2023, 11, 5), date(2024, 3, 24)),
    ("P1", "brumation", date(2024, 11, 2), date(2025, 3, 20)),
    ("P2", "brumation", date(2024, 11, 2), date(2025, 3, 20)),
    ("P1", "brumation", date(2025, 11, 2), date(2026, 3, 21)),
    ("P2", "brumation", date(2025, 11, 2), date(2026, 3, 21)),
    ("P4", "brumation", date(2024, 11, 20), date(2025, 3, 10)),
    ("P4", "brumation", date(2025, 11, 20), date(2026, 3, 10)),
    ("P3", "resting", date(2022, 10, 26), date(2023, 4, 30)),
    ("P3", "resting", date(2023, 10, 26), date(2024, 4, 30)),
    ("P3", "resting", date(2024, 10, 26), date(2025, 4, 30)),
    ("P3", "resting", date(2025, 10, 26), date(2026, 4, 30)),
    ("B2", "resting", date(2023, 5, 2), date(2023, 10, 24)),
    ("B2", "resting", date(2024, 5, 2), date(2024, 10, 24)),
    ("B2", "resting", date(2025, 5, 2), date(2025, 8, 1)),
    ("B2", "resting", date(2026, 5, 2), date(2026, 10, 24)),
    ("T1", "resting", date(2025, 6, 29), date(2025, 7, 11)),
    ("T1", "drained", date(2025, 7, 12), date(2025, 8, 20)),
)

_PERMITS = (
    ("AR-2021-118", "Province of Ardenmoor", "Keeping and captive breeding of the taxa held", date(2021, 1, 1),
     date(2025, 12, 31), "Yearly return by 31 January."),
    ("AR-2025-204", "Province of Ardenmoor", "Keeping and captive breeding of the taxa held", date(2026, 1, 1),
     date(2030, 12, 31), "Yearly return by 31 January."),
    ("SM-PA-23", "Loggerhead musk program", "Agreement: head-start of program hatchlings, ownership stays with the program",
     date(2023, 6, 1), None, "Two packages a year; tissue of dead animals to be kept."),
    ("MN-23-041", "Province of Ardenmoor", "Movement note: six musk turtles in", date(2023, 9, 16), date(2023, 9, 16), ""),
    ("MN-24-017", "Province of Ardenmoor", "Movement note: two mud turtles out", date(2024, 5, 18), date(2024, 5, 18), ""),
    ("MN-24-052", "Province of Ardenmoor", "Movement note: three musk turtles in", date(2024, 9, 21), date(2024, 9, 21), ""),
    ("MN-25-009", "Province of Ardenmoor", "Movement note: one pond turtle out on loan", date(2025, 4, 12), date(2025, 4, 12), ""),
    ("MN-25-020", "Province of Ardenmoor", "Movement note: two pond turtles out", date(2025, 5, 24), date(2025, 5, 24), ""),
    ("MN-25-044", "Province of Ardenmoor", "Movement note: one pond turtle in on loan", date(2025, 9, 6), date(2025, 9, 6), ""),
    ("MN-26-011", "Province of Ardenmoor", "Movement note: one pond turtle back from loan", date(2026, 4, 11), date(2026, 4, 11), ""),
    ("MN-26-023", "Province of Ardenmoor", "Movement note: two cooters out", date(2026, 5, 23), date(2026, 5, 23), ""),
)  # fmt: skip


def station_tables() -> Tables:
    return {
        "facility": [_facility()],
        "enclosures": _enclosures(),
        "filters": _filters(),
        "filter_builds": _builds(),
        "media_layers": _layers(),
        "pumps": [
            row(pump=code, rated_l_per_h=flow, watts=watts, serial="", note=note) for code, flow, watts, note in _PUMPS
        ],
        "pump_fittings": _fittings(),
        "seasons": _seasons(),
        "permits": [
            row(number=number, authority=by, scope=scope, from_on=first, to_on=last, conditions=conditions)
            for number, by, scope, first, last, conditions in _PERMITS
        ],
    }


def _facility() -> Row:
    return row(
        code=CODE,
        name=NAME,
        time_zone=str(ZONE),
        default_due_fill=0.7,
        public_region="Lower Merrow Vale, province of Ardenmoor",
        address="The Old Nursery, Withy Lane, Lower Merrow Vale, Ardenmoor",
        is_southern=False,
        room_temp_c=25,
        monthly_temp_c=" ".join(f"{value:g}" for value in MONTH_MEANS_C),
        temperature_unit="C",
    )


def _enclosures() -> list[Row]:
    return [
        row(
            enclosure=code, name=name, kind=kind, indoor=indoor, water_volume_l=litres, surface_m2=surface,
            depth_mm=depth, round_order=order, litter_level=trees, litter_g_m2_year=litter,
            target_low_c=22 if indoor else None, target_high_c=27 if indoor else None, has_deep_vault=False,
            note=_ENCLOSURE_NOTES.get(code, ""),
        )
        for code, name, kind, indoor, litres, surface, depth, trees, litter, order in _ENCLOSURES
    ]  # fmt: skip


def _filters() -> list[Row]:
    first_build = {code: day for code, day, *_ in reversed(_BUILDS)}
    upflow = [
        row(filter=f"{code}-F", enclosure=code, kind="upflow", commissioned_on=first_build[code]) for code in UPFLOW
    ]
    sponge = [
        row(filter=f"{code}-S", enclosure=code, kind="sponge", note="Air-driven sponge; no void.") for code in SPONGE
    ]
    return upflow + sponge


def _builds() -> list[Row]:
    return [
        row(
            filter=f"{code}-F", valid_from=day, chamber_area_m2=area, void_height_mm=void, usable_fraction=usable,
            chamber_length_mm=length, chamber_width_mm=width, baseline_flow_l_per_h=flow, baseline_head_mm=head,
            water_over_media_mm=60 if area < 0.1 else 100, pipe_bore_mm=bore, pipe_count=1,
            pipe_top_mm=60 if area < 0.1 else 150, grid_mm=12 if area < 0.1 else 30, floor_fall_mm_per_m=10,
            has_weir=True, baffle_count=0, guard_opening_mm=5 if area < 0.1 or code == "P4" else 15,
            closes_disagreement=(code, day) == ("P3", date(2025, 8, 9)),
            reason=why + (" One pipe, near the inlet." if code == "P3" else ""),
        )
        for code, day, area, length, width, void, usable, flow, head, bore, _coarse, _fine, _new, why in _BUILDS
    ]  # fmt: skip


def _layers() -> list[Row]:
    rows = []
    for code, day, *_middle, coarse, fine, new, _why in _BUILDS:
        for position, (low, high, depth) in enumerate(((40, 80, coarse), (15, 30, fine)), start=1):
            rows.append(
                row(
                    filter=f"{code}-F", valid_from=day, position=position, material="lava", grade_min_mm=low,
                    grade_max_mm=high, depth_mm=depth, is_new=new,
                )
            )  # fmt: skip
    return rows


def _fittings() -> list[Row]:
    rows = []
    for pump, code, first, last, entered_on in _FITTINGS:
        known = max(entered_on or first, FIRST_DAY)
        rows.append(
            row(
                pump=pump, filter=f"{code}-F", from_on=first, to_on=last, entered_at=stamp(clock(known, "17:30")),
                entered_by="BLD", note="Written down twelve days late." if pump == "PU-SPARE" else "",
            )
        )  # fmt: skip
    return rows


def _seasons() -> list[Row]:
    return [
        row(
            enclosure=code, kind=kind, from_on=first, to_on=last,
            entered_at=stamp(clock(max(first, FIRST_DAY), "17:00")), entered_by="SUP",
        )
        for code, kind, first, last in SEASONS
    ]  # fmt: skip
