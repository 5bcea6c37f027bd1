"""What was done to the filters and read from them: soundings, cleanouts, flow checks, upkeep. The readings stand as they are."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from enclosures.scenarios.growth import is_resting
from enclosures.scenarios.rounds import FRI, TUE, WED, is_out_of_use, keeper
from enclosures.scenarios.rows import FIRST_DAY, Row, clock, days, event, stream, weekday_in_month
from enclosures.scenarios.station import PONDS, UPFLOW
from enclosures.scenarios.water import P2_STORY, P3_STORY

_D = date
AT_GRID = ">="

# filter, day, depth mm, qualifier
SOUNDINGS: tuple[tuple[str, date, int, str], ...] = (
    ("B1", _D(2023, 7, 8), 49, ""), ("B1", _D(2023, 11, 4), 70, ""), ("B1", _D(2024, 9, 7), 44, ""),
    ("B1", _D(2025, 3, 1), 72, ""),
    ("B2", _D(2023, 4, 29), 64, ""), ("B2", _D(2024, 4, 27), 67, ""), ("B2", _D(2025, 1, 11), 78, ""),
    ("B2", _D(2025, 4, 5), 102, ""),
    ("P1", _D(2023, 9, 16), 75, ""), ("P1", _D(2024, 4, 20), 113, ""), ("P1", _D(2024, 6, 29), 139, ""),
    ("P1", _D(2025, 5, 3), 77, ""), ("P1", _D(2025, 5, 31), 83, ""), ("P1", _D(2025, 8, 30), 120, ""),
    ("P2", _D(2023, 6, 10), 56, ""), ("P2", _D(2023, 9, 23), 121, ""), ("P2", _D(2024, 4, 13), 157, ""),
    ("P2", _D(2024, 6, 22), 160, AT_GRID), ("P2", _D(2024, 8, 3), 156, ""), ("P2", _D(2025, 6, 21), 43, ""),
    ("P2", _D(2025, 9, 6), 82, ""),
    ("P3", _D(2023, 8, 26), 45, ""), ("P3", _D(2024, 5, 18), 83, ""), ("P3", _D(2024, 7, 20), 102, ""),
    ("P3", _D(2025, 5, 24), 18, ""), ("P3", _D(2025, 6, 28), 20, ""), ("P3", _D(2025, 7, 26), 19, ""),
    ("P4", _D(2024, 9, 21), 23, ""), ("P4", _D(2025, 5, 10), 56, ""), ("P4", _D(2025, 8, 23), 69, ""),
    ("T1", _D(2024, 3, 16), 12, ""),
    ("T2", _D(2025, 4, 12), 12, ""), ("T2", _D(2025, 8, 2), 19, ""),
)  # fmt: skip

# filter: (from, to, flow then and at the end, head difference then and at the end), L/h and mm
_FLOW = {
    "B1": ((_D(2023, 4, 1), _D(2024, 3, 9), 595, 470, 11, 17), (_D(2024, 3, 9), _D(2025, 7, 19), 600, 450, 10, 17),
           (_D(2025, 7, 19), _D(2026, 10, 4), 610, 500, 10, 14)),
    "B2": ((_D(2023, 4, 1), _D(2023, 10, 21), 1090, 980, 13, 16), (_D(2023, 10, 21), _D(2025, 12, 6), 1190, 1000, 12, 17),
           (_D(2025, 12, 6), _D(2026, 10, 4), 1190, 1090, 12, 14)),
    "P1": ((_D(2023, 4, 1), _D(2024, 8, 24), 2370, 1780, 14, 26), (_D(2024, 8, 24), _D(2025, 9, 27), 2380, 1900, 14, 22),
           (_D(2025, 9, 27), _D(2026, 4, 18), 1900, 1660, 22, 27), (_D(2026, 4, 18), _D(2026, 10, 4), 2380, 2100, 14, 19)),
    "P2": ((_D(2023, 4, 1), _D(2024, 4, 13), 2820, 2300, 15, 22), (_D(2024, 10, 12), _D(2025, 3, 29), 2720, 2600, 14, 16),
           (_D(2025, 3, 29), _D(2026, 10, 4), 2880, 2480, 14, 18)),
    "P3": ((_D(2023, 4, 1), _D(2023, 4, 8), 2240, 2240, 21, 21), (_D(2023, 4, 8), _D(2024, 9, 28), 2780, 2250, 14, 21),
           (_D(2024, 9, 28), _D(2025, 4, 27), 2780, 2780, 14, 14), (_D(2025, 9, 12), _D(2026, 10, 4), 2760, 2560, 12, 14)),
    "P4": ((_D(2024, 5, 4), _D(2026, 8, 8), 1200, 980, 9, 14), (_D(2026, 8, 8), _D(2026, 10, 4), 1190, 1150, 9, 10)),
    "T1": ((_D(2023, 8, 1), _D(2024, 7, 13), 180, 150, 6, 8), (_D(2024, 7, 13), _D(2025, 7, 12), 178, 156, 6, 8),
           (_D(2025, 8, 20), _D(2026, 10, 4), 180, 156, 6, 8)),
    "T2": ((_D(2024, 8, 3), _D(2026, 10, 4), 180, 148, 6, 8),),
}  # fmt: skip
_P2_FLOW = {
    _D(2024, 4, 13): (2300, 8), _D(2024, 5, 18): (2150, 14), _D(2024, 6, 8): (1950, 20), _D(2024, 6, 22): (1750, 28),
    _D(2024, 7, 5): (1650, 34), _D(2024, 7, 13): (2000, 18), _D(2024, 8, 3): (1800, 24), _D(2024, 8, 24): (1600, 31),
    _D(2024, 9, 13): (1500, 35), _D(2024, 9, 28): (2700, 5), _D(2024, 10, 12): (2720, 4),
}  # fmt: skip
_P3_FLOW = {
    _D(2025, 4, 27): (2780, 14, 0), _D(2025, 4, 28): (1450, 14, 0), _D(2025, 5, 24): (1420, 22, 1),
    _D(2025, 6, 14): (1380, 41, 1), _D(2025, 6, 28): (1290, 58, 1), _D(2025, 7, 12): (1180, 77, 2),
    _D(2025, 7, 26): (1050, 96, 2), _D(2025, 8, 8): (980, 110, 2), _D(2025, 8, 12): (2780, 12, 1),
    _D(2025, 8, 16): (2790, 12, 0), _D(2025, 8, 23): (2780, 12, 0), _D(2025, 8, 30): (2770, 12, 0),
    _D(2025, 9, 6): (2770, 12, 0), _D(2025, 9, 12): (2760, 12, 0),
}  # fmt: skip
PUMP_SWAP_ENTERED = clock(_D(2025, 5, 10), "17:30")
P1_LAST_FLOW = _D(2025, 9, 27)

_FIRST_DRAW = ((0.25, 1), (0.6, 2), (2.0, 3))


def sounding_times() -> dict[tuple[str, date], datetime]:
    return {
        (code, day): clock(day, "10:05") + timedelta(minutes=12 * UPFLOW.index(code)) for code, day, *_ in SOUNDINGS
    }


def soundings() -> list[Row]:
    rows = []
    for code, day, depth, qualifier in SOUNDINGS:
        more: dict[str, object] = {}
        if (code, day) == ("P1", _D(2025, 5, 31)):
            more = {"flags": "UNIT", "note": "Typed 83 with cm chosen; the void is 150 mm high: 83 mm was meant."}
        rows += sounding(code, sounding_times()[code, day], depth_mm=depth, qualifier=qualifier, **more)
    return rows


def sounding(code: str, at: datetime, *, depth_mm: float, qualifier: str = "", **more: object) -> list[Row]:
    """Three readings about the depth, or one when the rod stood at the grid."""
    day = at.date()
    void = void_mm(code, day)
    spread = min(max(1, round(depth_mm * 0.03)), void - depth_mm)
    depths = [depth_mm] if qualifier else [depth_mm - spread, depth_mm, depth_mm + spread]
    share = depth_mm / void
    first_draw = next(level for most, level in _FIRST_DRAW if share < most)
    odour = 2 if share > 0.9 else 1
    by = "SUP" if code in PONDS else keeper(day, "am")
    return [
        event(
            "sounding", code, day, at=at, by=by, how="form", filter=f"{code}-F", reading=n, depth_mm=depth,
            qualifier=qualifier, point="cleanout pipe", method="rod", pump_off_min=10, first_draw=first_draw,
            odour=odour, **more,
        )
        for n, depth in enumerate(depths, start=1)
    ]  # fmt: skip


_VOID_MM = {"T1": 60, "T2": 60, "B1": 100, "B2": 130, "P1": 150, "P2": 160, "P3": 150, "P4": 120}


def void_mm(code: str, day: date) -> int:
    return 240 if code == "P2" and day >= _D(2025, 3, 29) else _VOID_MM[code]


_PAPER = {"how": "paper", "note": "From the paper notebook.", "cause": "seasonal"}
_BY_VAC: dict[str, object] = {
    "slurry_known_by": "drums", "sludge_to": "compost bed", "safety_ticked": True, "media_disturbed": False,
}  # fmt: skip


def cleanouts() -> list[Row]:
    on_paper = clock(FIRST_DAY, "11:00")
    rows = [
        cleanout(code, day, at=day, entered=on_paper, outcome="full", depth_after_mm=after, **_PAPER)
        for code, day, after in (
            ("B1", _D(2022, 11, 12), 7), ("B2", _D(2022, 10, 15), 10), ("P1", _D(2023, 3, 25), 12),
            ("P2", _D(2022, 10, 22), 11),
        )
    ]  # fmt: skip
    return [*rows, *_indoor_cleanouts(), *_pond_cleanouts()]


def _indoor_cleanouts() -> list[Row]:
    def done(code: str, day: date, **said: object) -> Row:
        return cleanout(code, day, at=clock(day, "09:40"), outcome="full", people="SUP K2", **(_BY_VAC | said))

    return [
        done("B1", _D(2024, 3, 9), depth_before_mm=87, depth_after_mm=6, slurry_l=22, minutes=35, cause="sounding",
             flow_before_l_per_h=470, flow_after_l_per_h=600, water_replaced_l=60, colour="dark brown", odour=1,
             first_draw=2, consistency="silky"),
        done("B1", _D(2025, 7, 19), depth_before_mm=93, depth_after_mm=7, slurry_l=24, minutes=30, cause="sounding",
             flow_before_l_per_h=450, flow_after_l_per_h=610, water_replaced_l=60, colour="dark brown", odour=1,
             first_draw=2, consistency="silky"),
        done("B2", _D(2023, 10, 21), depth_before_mm=53, depth_after_mm=5, slurry_l=24, minutes=40, cause="seasonal",
             flow_before_l_per_h=980, flow_after_l_per_h=1190, water_replaced_l=80, colour="brown", odour=1,
             first_draw=2),
        done("T1", _D(2024, 7, 13), depth_before_mm=26, depth_after_mm=1, slurry_l=4, minutes=12, cause="animals moved out",
             flow_before_l_per_h=150, flow_after_l_per_h=178, water_replaced_l=20, colour="brown", odour=1, first_draw=1),
        done("T1", _D(2025, 7, 12), depth_before_mm=21, depth_after_mm=0, slurry_l=4, minutes=12, cause="strip and disinfect",
             colour="brown", odour=1, first_draw=1, media_disturbed=True,
             note="Tub stripped, stone washed and dried, disinfected."),
    ]  # fmt: skip


def _pond_cleanouts() -> list[Row]:
    def done(code: str, day: date, *, at: str = "09:10", outcome: str = "full", **said: object) -> Row:
        return cleanout(code, day, at=clock(day, at), outcome=outcome, **(_BY_VAC | {"people": "SUP BLD"} | said))

    return [
        done("P3", _D(2023, 4, 8), depth_after_mm=10, cause="seasonal", slurry_known_by="", colour="black",
             note="Depth before was not measured."),
        done("P1", _D(2024, 8, 24), depth_before_mm=150, depth_before_qualifier=AT_GRID, depth_after_mm=12, slurry_l=128,
             minutes=95, cause="sounding", flow_before_l_per_h=1780, flow_after_l_per_h=2380, water_replaced_l=400,
             colour="black", consistency="gritty", odour=3, first_draw=3, note="Only a faint smell of egg."),
        done("P2", _D(2024, 7, 6), outcome="part", depth_before_mm=160, depth_before_qualifier=AT_GRID, minutes=50,
             cause="flow", flow_before_l_per_h=1650, flow_after_l_per_h=2050, slurry_known_by="", colour="black", odour=3,
             first_draw=4, people="SUP K3", safety_ticked=True,
             note="Thunderstorm after 50 minutes: pumps off, everybody in. Depth after and volume not measured; about a third out."),
        done("P2", _D(2024, 9, 14), depth_before_mm=160, depth_before_qualifier=AT_GRID, depth_after_mm=14, slurry_l=165,
             minutes=140, cause="flow", flow_before_l_per_h=1500, flow_after_l_per_h=2700, water_replaced_l=700,
             colour="black", odour=3, first_draw=4, consistency="gritty"),
        done("P2", _D(2025, 3, 29), at="08:40", depth_before_mm=44, depth_after_mm=1, slurry_l=45, minutes=300,
             cause="void raised", people="SUP BLD K2", water_replaced_l=2600, media_disturbed=True, colour="dark brown",
             odour=2, first_draw=2, note="Pond half drained; void raised and bed laid again."),
        done("P3", _D(2024, 9, 28), depth_before_mm=116, depth_after_mm=9, slurry_l=88, minutes=80, cause="sounding",
             flow_before_l_per_h=2250, flow_after_l_per_h=2780, colour="black", odour=2, first_draw=3),
        done("P3", _D(2025, 8, 9), at="10:00", depth_after_mm=0, slurry_l=60, minutes=360, cause="bed lifted",
             people="SUP BLD K2", media_disturbed=True, colour="black", odour=3, first_draw=3,
             found="19 mm at the pipe, 138 mm at the far end; end cap off the distribution pipe",
             note="Bed lifted, distribution pipe refitted, the right pump back on, 40 % new lava."),
    ]  # fmt: skip


def cleanout(
    code: str, day: date, *, at: date | datetime, outcome: str, entered: datetime | None = None, how: str = "form",
    **said: object,
) -> Row:  # fmt: skip
    return event(
        "cleanout", code, day, at=at, by="SUP", entered=entered, how=how, filter=f"{code}-F", stage="done",
        outcome=outcome, **said,
    )  # fmt: skip


def flow_checks(first: date, last: date) -> list[Row]:
    rows = []
    for day in days(first, last):
        for code in UPFLOW:
            story = _story_flow(code, day)
            if story is not None:
                rows.append(story)
            elif day == P1_LAST_FLOW and code == "P1":
                rows.append(
                    _flow(code, clock(day, "10:20"), by="SUP", flow_l_per_h=1900, head_difference_mm=22, odour=1)
                )
            elif _flow_day(code, day):
                usual = _usual_flow(code, day)
                rows += [usual] if usual else []
    return rows


def _story_flow(code: str, day: date) -> Row | None:
    if code == "P2" and day in _P2_FLOW:
        flow, level = _P2_FLOW[day]
        return _flow(code, clock(day, "11:35"), by="SUP", flow_l_per_h=flow, level_over_media_mm=level, odour=1)
    if code == "P3" and day in _P3_FLOW:
        flow, head, odour = _P3_FLOW[day]
        swapped = day == _D(2025, 4, 28)
        return _flow(
            code, clock(day, "16:10" if swapped else "11:35"), by="BLD" if swapped else "SUP",
            entered=PUMP_SWAP_ENTERED if swapped else None, flow_l_per_h=flow, head_difference_mm=head, odour=odour,
        )  # fmt: skip
    return None


def _flow_day(code: str, day: date) -> bool:
    """Every other Wednesday; monthly in the winter rest; not on top of a story."""
    if day.weekday() != WED or is_out_of_use(code, day):
        return False
    if (code == "P2" and min(P2_STORY) <= day <= max(P2_STORY)) or (
        code == "P3" and min(P3_STORY) <= day <= max(P3_STORY)
    ):
        return False
    if code in PONDS and (is_resting(code, day) or day.month in (12, 1, 2)):
        return weekday_in_month(day) == 1
    return (day.toordinal() // 7 + UPFLOW.index(code)) % 2 == 0


def _usual_flow(code: str, day: date) -> Row | None:
    for start, end, flow, flow_end, head, head_end in _FLOW[code]:
        if start <= day < end:
            share = (day - start).days / (end - start).days
            draw = stream("flow", code, day)
            step = 5 if flow_end < 700 else 10
            measured = (flow + share * (flow_end - flow)) * draw.gauss(1, 0.01)
            at = clock(day, "11:05") + timedelta(minutes=6 * UPFLOW.index(code))
            return _flow(
                code, at, by="K1", flow_l_per_h=round(measured / step) * step,
                head_difference_mm=round(head + share * (head_end - head)), odour=0, return_water="clear",
            )  # fmt: skip
    return None


def _flow(code: str, at: datetime, *, by: str, entered: datetime | None = None, **said: object) -> Row:
    return event("flow", code, at.date(), at=at, by=by, entered=entered, how="form", filter=f"{code}-F", **said)


def upkeep(first: date, last: date) -> list[Row]:
    rows = []
    for day in days(first, last):
        for code in UPFLOW:
            if is_out_of_use(code, day):
                continue
            draw = stream("upkeep", code, day)
            at = clock(day, "08:42") + timedelta(minutes=3 * UPFLOW.index(code))
            if code not in PONDS and day.weekday() in (TUE, FRI):
                rows.append(job(code, at, "sponge", by="K1", fullness=draw.randint(1, 3), minutes=2))
            if code in PONDS and day.weekday() == TUE and not is_resting(code, day):
                leaves = 2 if day.month in (10, 11) else 0
                rows.append(job(code, at, "screen", by="K1", fullness=min(draw.randint(0, 2) + leaves, 4), minutes=4))
            if day.weekday() == WED and weekday_in_month(day) == 1:
                rows.append(job(code, at, "rcd_test", by="K1", minutes=1))
            if day.weekday() == WED and day.month in (4, 10) and weekday_in_month(day) == 2:
                rows.append(job(code, clock(day, "14:10"), "pump_service", by="BLD", minutes=25))
            if (
                code in ("P1", "P2", "P4")
                and day.weekday() == FRI
                and day.month in (6, 9)
                and weekday_in_month(day) == 2
            ):
                rows.append(job(code, clock(day, "14:30"), "plants", by="BLD", minutes=30))
    return rows + _marked_jobs()


def job(
    code: str, at: datetime, kind: str, *, by: str, entered: datetime | None = None, note: str = "", **said: object
) -> Row:
    return event(
        "upkeep", kind, code, at.date(), at=at, by=by, entered=entered, how="form", filter=f"{code}-F", kind=kind,
        note=note, **said,
    )  # fmt: skip


def _marked_jobs() -> list[Row]:
    return [
        job("P2", clock(_D(2023, 10, 5), "16:50"), "other", by="K2", note="Leaf net found torn on the oak side."),
        job("P2", clock(_D(2023, 12, 10), "09:30"), "other", by="SUP", minutes=40, note="Leaf net mended."),
        job("P3", clock(_D(2024, 7, 21), "10:50"), "other", by="BLD", minutes=45, parts="intake guard",
            note="Intake guard was bent; straightened and screwed down."),
        job("T2", clock(_D(2024, 8, 3), "10:30"), "other", by="BLD", note="Cycling begun: ammonia dosed to 3 mg/L as N."),
        job("T2", clock(_D(2024, 8, 15), "08:50"), "other", by="K1", note="Ammonia dosed a second time, by mistake."),
        job("T2", clock(_D(2024, 9, 12), "10:00"), "other", by="SUP",
            note="A dose of 1 mg/L gone within a day, three days running: ready."),
        job("P2", clock(_D(2025, 3, 29), "14:30"), "restack", by="BLD", minutes=300, parts="20 % new lava",
            note="Void raised to 240 mm."),
        job("P3", clock(_D(2025, 4, 28), "15:40"), "pump_swap", by="BLD", entered=PUMP_SWAP_ENTERED, minutes=20,
            parts="PU-SPARE", note="Pump failed; the spare from the shelf put on. Forgot to write it down."),
        job("P3", clock(_D(2025, 8, 9), "15:10"), "restack", by="BLD", minutes=360, parts="40 % new lava",
            note="End cap refitted on the distribution pipe, bed laid again."),
        job("P3", clock(_D(2025, 8, 9), "15:40"), "pump_swap", by="BLD", minutes=20, parts="PU-P3B"),
        job("T1", clock(_D(2025, 7, 12), "10:30"), "restack", by="BLD", minutes=90, note="Stripped, washed, disinfected, dry."),
        job("T1", clock(_D(2025, 8, 20), "14:20"), "other", by="BLD", minutes=20, note="Refilled and seeded with stone from B1."),
    ]  # fmt: skip
