"""Water tests and changes: mostly dull, and three stories that are not.

P2 in 2024: too much in, too small a void. P3 in 2025: a small spare pump and an end cap off the distribution pipe. T2 in August 2024:
a new filter cycling, ammonia dosed twice by mistake. Their figures are fixed; the dull ones are drawn about their usual means.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from enclosures.scenarios.rounds import FRI, MON, THU, is_out_of_use, keeper, present
from enclosures.scenarios.rows import Row, clock, days, event, stream, weekday_in_month
from enclosures.scenarios.station import INDOOR, PONDS
from enclosures.scenarios.stores import KIT, LADDER, PER_N
from enclosures.scenarios.weather import water_temp_c

VOLUME_L = {
    "T1": 80,
    "T2": 80,
    "B1": 400,
    "B2": 620,
    "G1": 160,
    "Q1": 60,
    "P1": 7800,
    "P2": 5200,
    "P3": 6500,
    "P4": 2400,
}
KIT_B_FROM = date(2024, 1, 27)

# TAN and nitrite, mg/L as N, by the meter (kit C)
P2_STORY = {
    date(2024, 4, 13): (0.1, 0.03), date(2024, 5, 18): (0.25, 0.08), date(2024, 6, 8): (0.4, 0.15),
    date(2024, 6, 22): (0.6, 0.3), date(2024, 7, 5): (0.8, 0.5), date(2024, 7, 13): (0.35, 0.2),
    date(2024, 8, 3): (0.5, 0.25), date(2024, 8, 24): (0.7, 0.4), date(2024, 9, 13): (0.6, 0.45),
    date(2024, 9, 28): (0.15, 0.1), date(2024, 10, 12): (0.05, 0.03),
}  # fmt: skip
P3_STORY = {
    date(2025, 4, 27): (0.05, 0.01), date(2025, 5, 24): (0.15, 0.06), date(2025, 6, 14): (0.3, 0.12),
    date(2025, 6, 28): (0.45, 0.25), date(2025, 7, 12): (0.6, 0.35), date(2025, 7, 26): (0.7, 0.45),
    date(2025, 8, 8): (0.75, 0.5), date(2025, 8, 12): (1.2, 0.3), date(2025, 8, 16): (1.0, 0.8),
    date(2025, 8, 23): (0.5, 0.9), date(2025, 8, 30): (0.2, 0.5), date(2025, 9, 6): (0.1, 0.2),
    date(2025, 9, 12): (0.05, 0.05),
}  # fmt: skip
# TAN and nitrite of T2 while it cycled, mg/L as N, by drops
T2_CYCLE = {
    date(2024, 8, 3): (3.0, 0.0), date(2024, 8, 8): (2.8, 0.1), date(2024, 8, 12): (2.0, 1.2),
    date(2024, 8, 19): (9.0, 1.4), date(2024, 8, 24): (3.0, 2.0), date(2024, 8, 31): (0.6, 1.2),
    date(2024, 9, 6): (0.1, 0.3), date(2024, 9, 10): (0.0, 0.0), date(2024, 9, 11): (0.0, 0.0),
    date(2024, 9, 12): (0.0, 0.0),
}  # fmt: skip
_AFTER_POWER_CUT = {date(2025, 7, 9), date(2025, 7, 10)}
_STORY_SPANS = {"P2": P2_STORY, "P3": P3_STORY, "T2": T2_CYCLE}


def reading(analyte: str, kit: str, true_n: float) -> dict[str, object]:
    """What a kit shows of a concentration in mg/L as N: its nearest step, or more than its last one."""
    seen = true_n * PER_N[kit]
    _analyte, reports_as, unit = KIT[kit]
    said: dict[str, object] = {"analyte": analyte, "unit": unit, "expressed_as": reports_as, "kit": kit}
    steps = LADDER[kit]
    if not steps:
        return said | {"value": max(round(seen, 2), 0.01), "qualifier": ""}
    if seen > steps[-1] * 1.15:
        return said | {"value": steps[-1], "qualifier": ">"}
    return said | {"value": min(steps, key=lambda step: abs(step - seen)), "qualifier": ""}


def plain(analyte: str, kit: str, value: float) -> dict[str, object]:
    """A reading by drops of something that is not nitrogen as N: the nearest step."""
    _analyte, reports_as, unit = KIT[kit]
    step = min(LADDER[kit], key=lambda step: abs(step - value))
    return {"analyte": analyte, "value": step, "qualifier": "", "unit": unit, "expressed_as": reports_as, "kit": kit}


def water_test(
    enclosure: str, at: datetime, *, by: str, readings: list[dict[str, object]], key: str = "test", **more: object
) -> list[Row]:
    """One test, one row a reading, the temperature first."""
    warm = {"analyte": "temperature", "value": round(water_temp_c(enclosure, at.date()), 1), "unit": "degC"}
    return [
        event(key, enclosure, at.date(), at=at, by=by, enclosure=enclosure, place="tank", reading=n, **said, **more)
        for n, said in enumerate([warm, *readings], start=1)
    ]


def usual_readings(
    enclosure: str, day: date, *, ammonia_kit: str, extra_tan: float = 0.0, is_afternoon: bool = False
) -> list[dict[str, object]]:
    draw = stream("water", enclosure, day)
    indoors = enclosure in INDOOR
    tan = max(draw.gauss(1, 0.3), 0.1) * (0.05 if indoors else 0.04) + extra_tan
    nitrite = max(draw.gauss(1, 0.3), 0.1) * (0.02 if indoors else 0.01)
    in_month = weekday_in_month(day)
    nitrate = (25 + 4 * (in_month - 2.5)) if indoors else 8
    ph = (
        7.5 if indoors else (8.4 if is_afternoon and water_temp_c(enclosure, day) > 20 and draw.random() < 0.4 else 7.8)
    )
    found = [
        reading("tan", ammonia_kit, tan),
        reading("nitrite", "drops-nitrite", nitrite),
        plain("nitrate", "drops-nitrate", nitrate * max(draw.gauss(1, 0.3), 0.2)),
        plain("ph", "drops-ph", draw.gauss(ph, 0.1)),
    ]
    if in_month == 1:
        found.append(plain("kh", "drops-kh", draw.gauss(110 if indoors else 130, 12)))
    return found


def tests(first: date, last: date) -> list[Row]:
    rows = []
    for day in days(first, last):
        for enclosure in VOLUME_L:
            rows += _story_test(enclosure, day) or _usual_test(enclosure, day)
    return rows


def _story_test(enclosure: str, day: date) -> list[Row]:
    story = _STORY_SPANS.get(enclosure, {})
    if day not in story:
        return []
    tan, nitrite = story[day]
    if enclosure == "T2":
        at, by = clock(day, "09:20"), keeper(day, "am")
        readings = [reading("tan", "A-ammonia", tan), reading("nitrite", "drops-nitrite", nitrite)]
        readings.append(plain("ph", "drops-ph", 7.6))
        return water_test(enclosure, at, by=by, readings=readings)
    at = clock(day, "11:20")
    draw = stream("story", enclosure, day)
    readings = [
        reading("tan", "C-ammonia", tan),
        reading("nitrite", "C-nitrite", nitrite),
        plain("ph", "drops-ph", draw.gauss(7.8, 0.1)),
    ]
    return water_test(enclosure, at, by="SUP", readings=readings)


def _is_in_story(enclosure: str, day: date) -> bool:
    story = _STORY_SPANS.get(enclosure)
    return story is not None and min(story) <= day <= max(story)


def _usual_test(enclosure: str, day: date) -> list[Row]:
    if is_out_of_use(enclosure, day) or _is_in_story(enclosure, day):
        return []
    if day in _AFTER_POWER_CUT and (enclosure in PONDS or enclosure in ("B1", "T2")):
        kit = "A-ammonia"
        return water_test(
            enclosure, clock(day, "10:10"), by="K1",
            readings=usual_readings(enclosure, day, ammonia_kit=kit, extra_tan=0.2),
        )  # fmt: skip
    if enclosure in PONDS:
        return _pond_test(enclosure, day)
    occupied = bool(present(enclosure, clock(day, "12:00")))
    new_and_empty = enclosure in ("T1", "T2") and not occupied
    due = day.weekday() == MON and (occupied or weekday_in_month(day) == 1)
    if not due or (new_and_empty and day < date(2023, 10, 1)) or (not occupied and enclosure in ("Q1", "G1")):
        return []
    place = list(VOLUME_L).index(enclosure)
    at = clock(day, "09:05") + timedelta(minutes=9 * place + stream("when", enclosure, day).randint(0, 4))
    return water_test(enclosure, at, by="K1", readings=usual_readings(enclosure, day, ammonia_kit="A-ammonia"))


def _pond_test(enclosure: str, day: date) -> list[Row]:
    if day.weekday() != THU:
        return []
    in_season = 4 <= day.month <= 10
    turn = (day.toordinal() // 7 + PONDS.index(enclosure)) % 2 == 0
    if not (turn if in_season else weekday_in_month(day) == 1):
        return []
    at = clock(day, "15:35") + timedelta(
        minutes=12 * PONDS.index(enclosure) + stream("when", enclosure, day).randint(0, 4)
    )
    kit = "B-ammonia" if day >= KIT_B_FROM else "A-ammonia"
    readings = usual_readings(enclosure, day, ammonia_kit=kit, is_afternoon=True)
    return water_test(enclosure, at, by="K2", readings=readings)


def changes(first: date, last: date) -> list[Row]:
    rows = []
    for day in days(first, last):
        for enclosure, litres in VOLUME_L.items():
            if is_out_of_use(enclosure, day):
                continue
            if enclosure in INDOOR:
                rows += _weekly_change(enclosure, day, litres)
            elif day.weekday() == FRI and day.month in (6, 7, 8):
                rows.append(change(enclosure, clock(day, "16:50"), by="K2", litres=litres * 0.05, cause="top-up"))
    return rows + _cycling_change()


def _weekly_change(enclosure: str, day: date, litres: float) -> list[Row]:
    if day.weekday() != MON or not present(enclosure, clock(day, "12:00")):
        return []
    place = list(VOLUME_L).index(enclosure)
    at = clock(day, "10:20") + timedelta(minutes=7 * place)
    return [change(enclosure, at, by="K1", litres=litres * 0.2, cause="weekly")]


def _cycling_change() -> list[Row]:
    return [
        change(
            "T2", clock(date(2024, 8, 19), "10:10"), by="SUP", litres=40, cause="ammonia beyond the kit", key="half"
        ),
        change(
            "T1",
            clock(date(2025, 8, 20), "14:00"),
            by="BLD",
            litres=80,
            cause="refilled after disinfection",
            key="fill",
        ),
    ]


def change(
    enclosure: str, at: datetime, *, by: str, litres: float, cause: str, key: str = "change", **more: object
) -> Row:
    return event(
        key, enclosure, at.date(), at=at, by=by, enclosure=enclosure, volume_l=round(litres, 1), source="well",
        temp_difference_c=round(stream("mix", enclosure, at.date()).uniform(-2, 0.5), 1), cause=cause, **more,
    )  # fmt: skip
