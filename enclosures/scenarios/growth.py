"""How heavy each animal is on any day, and when somebody weighed it.

Adults swing a few per cent through the year. The young follow their own weighings, exponentially between them. Lengths come from
mass by the shape of the taxon. The masses are invented inside published ranges.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from datetime import date, datetime, timedelta

from enclosures.scenarios.animals import BEASTS, EO, GO, KB, PR, SM, Spell, spells
from enclosures.scenarios.rows import FIRST_DAY, LAST_DAY, Row, clock, days, event, stream, weekday_in_month
from enclosures.scenarios.station import SEASONS

# SCL in mm = (mass in g / shape)^(1/3)
SHAPE = {SM: 2.1e-4, KB: 1.7e-4, EO: 2.07e-4, PR: 1.13e-4, GO: 1.5e-4}

# g and mm in April 2023 (BL-139: on arrival)
_ADULTS = {
    "BL-101": (122, 90), "BL-102": (176, 101), "BL-103": (159, 98), "BL-104": (455, 130), "BL-105": (512, 135),
    "BL-106": (742, 153), "BL-107": (785, 156), "BL-108": (856, 161), "BL-109": (1150, 217), "BL-110": (2050, 263),
    "BL-111": (2400, 277), "BL-112": (145, 95), "BL-113": (205, 111), "BL-114": (238, 117), "BL-115": (1060, 192),
    "BL-116": (1180, 199), "BL-139": (498, 134),
}  # fmt: skip
# month by month, against April: thin after winter, females heavy with eggs in May
_POND_MALE = (0.985, 0.98, 0.99, 1.0, 1.01, 1.02, 1.03, 1.03, 1.04, 1.03, 1.01, 1.0)
_POND_FEMALE = (0.98, 0.97, 0.97, 1.0, 1.075, 1.06, 1.01, 1.02, 1.04, 1.04, 1.02, 1.0)
_INDOORS = (1.01, 1.0, 1.0, 1.0, 1.02, 1.02, 1.0, 0.99, 1.0, 1.01, 1.02, 1.02)

_D = date
_BATCH_1 = (_D(2023, 9, 16), _D(2023, 12, 20), _D(2024, 3, 20), _D(2024, 6, 22), _D(2024, 9, 21), _D(2025, 4, 12),
            _D(2025, 6, 28), _D(2025, 9, 27))  # fmt: skip
_BATCH_2 = (_D(2024, 9, 21), _D(2024, 12, 21), _D(2025, 3, 22), _D(2025, 6, 28), _D(2025, 9, 27))
_PROGRAM_G = {
    "BL-120": (_BATCH_1, (3.6, 7.9, 15.2, 26.4, 34.8, 33.1, 42.0, 53.5)),
    "BL-121": (_BATCH_1, (3.3, 7.2, 13.8, 24.1, 31.9, 30.6, 38.7, 49.2)),
    "BL-122": (_BATCH_1, (3.1, 6.8, 13.0, 22.8, 30.2, 28.8, 36.1, 46.0)),
    "BL-123": ((_D(2023, 9, 16), _D(2023, 10, 21)), (3.0, 2.7)),
    "BL-124": (_BATCH_1, (3.2, 5.1, 8.8, 15.2, 20.9, 36.0, 44.0, 54.8)),
    "BL-125": (_BATCH_1, (3.9, 7.6, 14.5, 25.0, 33.0, 31.4, 40.1, 51.0)),
    "BL-131": (_BATCH_2, (3.3, 8.4, 15.0, 23.5, 31.0)),
    "BL-132": (_BATCH_2, (3.6, 9.0, 16.2, 25.8, 33.5)),
    "BL-133": (_BATCH_2, (2.9, 6.3, 11.4, 17.9, 24.3)),
}
_AFTER_G = ((_D(2026, 4, 11), 0.95), (_D(2026, 10, 3), 1.35))  # the living demo: thinner after winter, then on
_LEAVING_MM = {"BL-127": 41.0, "BL-128": 43.0}
_YOUNG_G: dict[str, tuple[tuple[date, float], ...]] = {
    "BL-117": ((_D(2023, 9, 10), 3.4), (_D(2024, 5, 18), 17.0)),
    "BL-118": ((_D(2023, 9, 11), 3.1), (_D(2024, 5, 18), 15.5)),
    "BL-119": ((_D(2023, 9, 14), 3.6), (_D(2024, 5, 18), 16.5), (_D(2024, 10, 5), 27.0), (_D(2025, 4, 5), 40.0),
               (_D(2025, 10, 4), 55.0), (_D(2026, 10, 3), 78.0)),
    "BL-127": ((_D(2024, 8, 13), 5.6), (_D(2025, 5, 24), SHAPE[EO] * 41.0**3)),
    "BL-128": ((_D(2024, 8, 14), 6.0), (_D(2025, 5, 24), SHAPE[EO] * 43.0**3)),
    "BL-129": ((_D(2024, 8, 15), 5.1), (_D(2024, 9, 30), 5.4)),
    "BL-130": ((_D(2024, 8, 16), 5.5), (_D(2025, 5, 24), 14.9), (_D(2025, 10, 4), 27.0), (_D(2026, 10, 3), 66.0)),
    "BL-134": ((_D(2025, 8, 18), 8.4), (_D(2025, 10, 4), 11.0), (_D(2026, 5, 23), 34.0), (_D(2026, 10, 3), 70.0)),
    "BL-135": ((_D(2025, 8, 19), 9.7), (_D(2025, 10, 4), 12.6), (_D(2026, 5, 23), 38.0)),
    "BL-136": ((_D(2025, 8, 20), 9.1), (_D(2025, 10, 4), 11.8), (_D(2026, 5, 23), 36.0)),
    "BL-137": ((_D(2025, 8, 21), 8.6), (_D(2025, 9, 10), 8.3)),
    "BL-138": ((_D(2025, 8, 22), 8.9), (_D(2025, 10, 4), 11.5), (_D(2026, 5, 23), 35.0), (_D(2026, 10, 3), 72.0)),
    "BL-140": ((_D(2026, 2, 14), 3.4), (_D(2026, 10, 3), 14.0)),
    "BL-141": ((_D(2026, 2, 17), 3.2), (_D(2026, 10, 3), 13.0)),
}  # fmt: skip


def _anchors() -> dict[str, tuple[tuple[date, float], ...]]:
    found = dict(_YOUNG_G)
    for code, (when, grams) in _PROGRAM_G.items():
        points = tuple(zip(when, grams, strict=True))
        if code != "BL-123":
            points += tuple((day, round(grams[-1] * factor, 1)) for day, factor in _AFTER_G)
        found[code] = points
    return found


ANCHORS = _anchors()
_JUVENILE_APRIL = _D(2024, 4, 12)  # the April weighing of 2024 fell on the day without wifi


def mass_g(code: str, day: date) -> float:
    """Body mass without the scale's noise."""
    if code in _ADULTS:
        start, _length = _ADULTS[code]
        return start * _season_factor(code, day)
    points = ANCHORS[code]
    at = bisect_right([when for when, _ in points], day)
    if at == 0:
        return points[0][1]
    if at == len(points):
        return points[-1][1]
    (first, low), (last, high) = points[at - 1], points[at]
    share = (day - first).days / (last - first).days
    return math.exp((1 - share) * math.log(low) + share * math.log(high))


def _season_factor(code: str, day: date) -> float:
    beast = BEASTS[code]
    if beast.taxon in (EO, PR):
        months = _POND_FEMALE if beast.sex == "female" else _POND_MALE
    else:
        months = _INDOORS
    return months[day.month - 1]


def scl_mm(code: str, day: date) -> float:
    if code in _ADULTS:
        return float(_ADULTS[code][1])
    # a shell does not shrink when the animal thins: the heaviest it has been so far
    heaviest = max([mass_g(code, day), *(grams for when, grams in ANCHORS[code] if when <= day)])
    factor = 1.0 if code in _LEAVING_MM else 1 + stream("shape", code).uniform(-0.02, 0.02)
    return (heaviest / SHAPE[BEASTS[code].taxon]) ** (1 / 3) * factor


def measurements() -> list[Row]:
    stays: dict[str, list[Spell]] = {}
    for spell in spells():
        stays.setdefault(spell.animal, []).append(spell)
    rows = []
    for code in BEASTS:
        when = _adult_days(code, stays[code]) if code in _ADULTS else _young_days(code, stays[code])
        rows += [_weighing(code, day) for day in when]
    return rows


def _place(stays: list[Spell], moment: datetime) -> str | None:
    """Where the animal can be weighed at that moment; nobody weighs a missing animal."""
    return next((stay.enclosure for stay in stays if stay.covers(moment) and stay.reason != "missing"), None)


def _adult_days(code: str, stays: list[Spell]) -> list[date]:
    months = {
        EO: ((4, 2), (8, 1), (10, 3)), PR: ((4, 2), (8, 1), (10, 3)), GO: ((2, 1), (4, 2), (8, 3), (10, 2)),
        KB: ((2, 1), (5, 1), (8, 1), (11, 1)),
    }[BEASTS[code].taxon]  # fmt: skip
    first = _D(2023, 4, 8)
    chosen = [day for day in days(FIRST_DAY, LAST_DAY) if _is_saturday(day, months) or day == first]
    chosen = [day for day in chosen if _place(stays, clock(day, "10:00"))]
    if code == "BL-139":
        chosen = [_D(2025, 9, 6), *chosen]
    return chosen


def _is_saturday(day: date, months: tuple[tuple[int, int], ...]) -> bool:
    return day.weekday() == 5 and (day.month, weekday_in_month(day)) in months


def _young_days(code: str, stays: list[Spell]) -> list[date]:
    """Weekly to two months, fortnightly to six, then monthly; not in the winter rest; and on its own marked days."""
    marked = [when for when, _ in ANCHORS[code] if when <= LAST_DAY]
    start = marked[0]
    chosen = set(marked)
    for day in days(start, LAST_DAY):
        here = (day - start).days
        is_its_day = day.weekday() == 5 and (
            here <= 61 or (here <= 183 and day.toordinal() // 7 % 2 == 0) or weekday_in_month(day) == 1
        )
        if here > 183 and (day.year, day.month) == (2024, 4):
            is_its_day = day == _JUVENILE_APRIL
        near_a_mark = any(0 < abs((day - mark).days) <= 5 for mark in marked)
        if is_its_day and not near_a_mark:
            chosen.add(day)
    return sorted(day for day in chosen if _can_be_weighed(stays, day, is_marked=day in marked))


def _can_be_weighed(stays: list[Spell], day: date, *, is_marked: bool) -> bool:
    if is_marked:
        return True
    place = _place(stays, clock(day, "10:50"))
    return place is not None and not is_resting(place, day)


def is_resting(place: str, day: date) -> bool:
    return any(code == place and kind == "brumation" and first <= day <= last for code, kind, first, last in SEASONS)


def _weighing(code: str, day: date) -> Row:
    draw = stream("weigh", code, day)
    is_adult = code in _ADULTS
    marked = dict(ANCHORS.get(code, ()))
    exact = marked.get(day) or (
        float(_ADULTS[code][0]) if is_adult and day in (_D(2023, 4, 8), _D(2025, 9, 6)) else None
    )
    grams = exact or mass_g(code, day) * draw.gauss(1, 0.008 if is_adult else 0.02)
    with_length = (day.month == 4 if is_adult else day.day <= 7) or day in marked or exact is not None
    length = scl_mm(code, day) if with_length and not _too_flat(code, day) else None
    number = int(code.removeprefix("BL-"))
    at = clock(day, "16:05" if exact and not is_adult and number >= 120 else "10:50") + timedelta(
        minutes=2 * (number % 20)
    )
    if (first := _first_moment(code)) and at < first:
        at = first + timedelta(minutes=20)
    at = min(at, _last_moment(code, day) - timedelta(minutes=20))
    return event(
        "weighing", code, day, at=at, by=_weigher(day), how="form", animal=code, mass_g=_on_the_scale(grams),
        scl_mm=round(length, 1) if length and length < 100 else (round(length) if length else None),
        fed_state="fasted" if at.hour < 12 else "", method="0.1 g scale" if grams < 200 else "bench scale",
    )  # fmt: skip


def _too_flat(code: str, day: date) -> bool:
    """Cooter hatchlings are flatter than the shape of the grown ones allows; they were not measured at first."""
    return BEASTS[code].taxon == PR and code not in _ADULTS and mass_g(code, day) < 20


def _on_the_scale(grams: float) -> float:
    return round(grams, 1) if grams < 200 else float(round(grams))


def _first_moment(code: str) -> datetime | None:
    start = BEASTS[code].stops[0][0]
    return start if isinstance(start, datetime) else None


def _last_moment(code: str, day: date) -> datetime:
    """The moment it left, if it left that day; else the end of the working day."""
    gone = [when for when, place, _ in BEASTS[code].stops if place is None and isinstance(when, datetime)]
    return next((when for when in gone if when.date() == day), clock(day, "19:00"))


def _weigher(day: date) -> str:
    if day.weekday() == 5:
        return "K3" if day >= _D(2024, 5, 4) else "SUP"
    return "K1" if day.weekday() < 5 else "SUP"
