"""The daily rounds: who was fed what, and how warm the water was.

Dry food of a meal = stock of the day x the enclosure's share x what the water's temperature allows x the keeper's hand
(lognormal, 0.15). It is then given in the units a keeper uses, rounded up or down by chance so that nothing is lost on the whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from random import Random

from enclosures.scenarios.animals import BEASTS, STOPS_BELOW_C, Spell, spells
from enclosures.scenarios.growth import is_resting, mass_g
from enclosures.scenarios.rows import Row, clock, days, event, stream
from enclosures.scenarios.station import IN_USE_FROM, INDOOR, SEASONS
from enclosures.scenarios.stores import DRY_SHARE, STEP, UNIT, UNIT_G
from enclosures.scenarios.weather import water_temp_c

MON, TUE, WED, THU, FRI, SAT, SUN = range(7)

Mix = dict[str, float]  # food item -> share of the dry food
TUB_MIX: Mix = {"crumb": 0.55, "bloodworm": 0.30, "krill": 0.15}
B1_MIX: Mix = {"pellet": 0.5, "snail": 0.15, "krill": 0.15, "earthworm": 0.2}
P1_MIX: Mix = {"pellet": 0.7, "earthworm": 0.15, "snail": 0.15}
P2_MIX: Mix = {"pellet": 0.67, "greens": 0.33}
MAP_MIX: Mix = {"pellet": 0.6, "krill": 0.2, "snail": 0.2}
P4_MIX: Mix = {"crumb": 0.5, "bloodworm": 0.15, "krill": 0.1, "snail": 0.1, "cricket": 0.1, "duckweed": 0.05}


@dataclass(frozen=True, kw_only=True)
class Habit:
    """How one enclosure is fed. `every_other`: a weekday that counts only in every second week."""

    mix: Mix
    percent: float  # dry food per feeding, % of the stock
    weekdays: tuple[int, ...]
    slot: str
    at: str
    every_other: int | None = None


_WEEK = (MON, TUE, WED, THU, FRI, SAT)
HABITS = {
    "T1": Habit(mix=TUB_MIX, percent=1.1, weekdays=_WEEK, slot="am", at="07:32"),
    "T2": Habit(mix=TUB_MIX, percent=1.1, weekdays=_WEEK, slot="am", at="07:36"),
    "B1": Habit(mix=B1_MIX, percent=1.2, weekdays=(TUE, THU, SAT, SUN), slot="am", at="07:41"),
    "B2": Habit(mix=MAP_MIX, percent=1.0, weekdays=(MON, WED, FRI), slot="am", at="07:46"),
    "G1": Habit(mix=TUB_MIX, percent=1.1, weekdays=_WEEK, slot="am", at="07:51"),
    "P1": Habit(mix=P1_MIX, percent=1.0, weekdays=(MON, WED, FRI), slot="am", at="07:58", every_other=SUN),
    "P2": Habit(mix=P2_MIX, percent=1.2, weekdays=(TUE, THU, SAT, SUN), slot="am", at="08:06"),
    "P3": Habit(mix=MAP_MIX, percent=1.0, weekdays=(MON, WED, FRI), slot="am", at="08:14", every_other=SUN),
    "P4": Habit(mix=P4_MIX, percent=1.5, weekdays=(TUE, THU, SAT), slot="pm", at="16:44", every_other=None),
    "Q1": Habit(mix=TUB_MIX, percent=1.1, weekdays=_WEEK, slot="am", at="08:32"),
}
P4_SUNDAY = Habit(mix=P4_MIX, percent=1.5, weekdays=(SUN,), slot="am", at="08:22")
Q1_GROWN = Habit(mix=P1_MIX, percent=1.0, weekdays=(MON, WED, FRI), slot="am", at="08:32")

_POWER_CUT = date(2025, 7, 8)
_EATEN = (("all", 0.72), ("most", 0.17), ("some", 0.08), ("none", 0.03))
_SHY = (("all", 0.35), ("most", 0.18), ("some", 0.12), ("none", 0.35))  # the first two weeks in quarantine
_WEEKEND_KEEPER_FROM = date(2024, 5, 4)


@cache
def _spells_by_place() -> dict[str, list[Spell]]:
    found: dict[str, list[Spell]] = {}
    for spell in spells():
        found.setdefault(spell.enclosure, []).append(spell)
    return found


@cache
def _covering(enclosure: str, moment: datetime) -> tuple[Spell, ...]:
    return tuple(spell for spell in _spells_by_place().get(enclosure, ()) if spell.covers(moment))


def present(enclosure: str, moment: datetime) -> list[str]:
    """Codes of the animals in it at the moment, the missing left out."""
    return [spell.animal for spell in _covering(enclosure, moment) if spell.reason != "missing"]


def keeper(day: date, slot: str) -> str:
    if slot == "pm":
        return "K2" if day.weekday() in (TUE, WED, THU, FRI, SAT) else "K1"
    if day.weekday() >= SAT:
        return "K3" if day >= _WEEKEND_KEEPER_FROM else "SUP"
    return "K1"


def habit_on(enclosure: str, day: date) -> Habit | None:
    """How it is fed that day, or None when it is not its day."""
    habit = HABITS[enclosure]
    if enclosure == "P4" and day.weekday() == SUN:
        habit = P4_SUNDAY
    if enclosure == "Q1" and day >= date(2025, 9, 1):
        habit = Q1_GROWN
    due = day.weekday() in habit.weekdays or is_second(habit, day)
    return habit if due else None


def is_second(habit: Habit, day: date) -> bool:
    """The weekday that counts only in every second week, in one of those."""
    return day.weekday() == habit.every_other and day.toordinal() // 7 % 2 == 0


def feedings(first: date, last: date) -> list[Row]:
    rows = []
    for day in days(first, last):
        for enclosure in HABITS:
            rows += feeding(enclosure, day)
    return rows


def feeding(enclosure: str, day: date, *, habit: Habit | None = None) -> list[Row]:
    """The rows of the day's meal, one a food; none when it is not fed that day, one without food when it was held back."""
    habit = habit or habit_on(enclosure, day)
    if habit is None or is_resting(enclosure, day):
        return []
    draw = stream("meal", enclosure, day)
    at = clock(day, habit.at) + timedelta(minutes=draw.randint(0, 4))
    who = present(enclosure, at)
    if not who:
        return []
    said = {
        "enclosure": enclosure, "slot": habit.slot,
        "head_count": len(who) if enclosure in INDOOR else None,
    }  # fmt: skip
    key, by = ("feeding", enclosure, day, habit.slot), keeper(day, habit.slot)
    if day == _POWER_CUT:
        return [_held_back(key, at=at, by=by, reason="power cut", **said)]
    warmth = _warmth(enclosure, who, day)
    if warmth == 0:
        return [_held_back(key, at=at, by=by, reason="water too cold", **said)]
    stock = sum(mass_g(code, day) for code in who)
    dry_g = stock * habit.percent / 100 * warmth * _hand(enclosure, day) * draw.lognormvariate(0, 0.15)
    eaten = _drawn(draw, _SHY if _is_shy(enclosure, day) else _EATEN)
    refused = "BL-123" if "BL-123" in who and day >= date(2023, 10, 8) else ""
    return _lines(
        key, at=at, by=by, dry_g=dry_g, mix=habit.mix, draw=draw, eaten=eaten, refused=refused,
        leftovers_removed=None if eaten == "all" else draw.random() < 0.6, **said,
    )  # fmt: skip


def _held_back(key: tuple[object, ...], *, at: datetime, by: str, reason: str, **said: object) -> Row:
    return event(*key, at=at, by=by, line=0, outcome="not_fed", not_fed_reason=reason, **said)


def _lines(
    key: tuple[object, ...], *, at: datetime, by: str, dry_g: float, mix: Mix, draw: Random, eaten: str, **said: object
) -> list[Row]:
    given = {food: _amount(food, dry_g * share, draw) for food, share in mix.items()}
    given = {food: amount for food, amount in given.items() if amount > 0}
    if not given:
        first = next(iter(mix))
        given = {first: STEP[UNIT[first]]}
    return [
        event(
            *key, at=at, by=by, outcome="planned" if eaten == "all" else "changed", line=line, food_item=food,
            amount=amount, unit=_unit(food, dry_g * mix[food]), eaten=eaten,
            offered_g=round(amount * UNIT_G[food][_unit(food, dry_g * mix[food])], 2), **said,
        )
        for line, (food, amount) in enumerate(given.items(), start=1)
    ]  # fmt: skip


def _unit(food: str, dry_g: float) -> str:
    """The keeper's unit: pellets by the piece when a quarter scoop is too much."""
    return "piece" if food == "pellet" and dry_g < 10 else UNIT[food]


def _amount(food: str, dry_g: float, draw: Random) -> float:
    """Whole steps of the unit, the remainder up or down by chance."""
    unit = _unit(food, dry_g)
    step = STEP[unit]
    steps = dry_g / DRY_SHARE[food] / UNIT_G[food][unit] / step
    whole = int(steps)
    return (whole + (draw.random() < steps - whole)) * step


def _warmth(enclosure: str, who: list[str], day: date) -> float:
    """0 below the stop of the least hardy animal, 0.4 at it, 1 from 5 °C above."""
    stop = max(STOPS_BELOW_C[BEASTS[code].taxon] for code in who)
    above = water_temp_c(enclosure, day) - stop
    return 0.0 if above < 0 else min(0.4 + 0.6 * above / 5, 1.0)


def _hand(enclosure: str, day: date) -> float:
    """At P2 far too much for one summer, then held short."""
    if enclosure != "P2" or day < date(2024, 5, 10):
        return 1.0
    return 1.5 if day <= date(2024, 8, 31) else 0.8


def _is_shy(enclosure: str, day: date) -> bool:
    arrivals = (date(2023, 9, 16), date(2024, 9, 21))
    return enclosure == "Q1" and any(0 <= (day - arrived).days < 14 for arrived in arrivals)


def _drawn(draw: Random, shares: tuple[tuple[str, float], ...]) -> str:
    return draw.choices([word for word, _ in shares], [share for _, share in shares])[0]


def temperatures(first: date, last: date) -> list[Row]:
    """A thermometer held in on the round: indoors Thursday and Saturday, ponds every other day, weekly in the winter rest."""
    rows = []
    for day in days(first, last):
        for enclosure, habit in HABITS.items():
            if not _thermometer_day(enclosure, day):
                continue
            at = clock(day, habit.at) + timedelta(minutes=2)
            rows.append(temperature_row(enclosure, day, at=at, by=keeper(day, habit.slot)))
    return rows


def temperature_row(enclosure: str, day: date, *, at: datetime, by: str) -> Row:
    return event(
        "temperature", enclosure, day, at=at, by=by, enclosure=enclosure, place="tank", analyte="temperature", reading=1,
        value=round(water_temp_c(enclosure, day), 1), unit="degC",
    )  # fmt: skip


def _thermometer_day(enclosure: str, day: date) -> bool:
    if is_out_of_use(enclosure, day):
        return False
    if enclosure in INDOOR:
        return day.weekday() in (THU, SAT) and bool(present(enclosure, clock(day, "12:00")))
    if is_resting(enclosure, day):
        return day.weekday() == MON
    return day.weekday() in (MON, WED, FRI, SUN)


def is_out_of_use(enclosure: str, day: date) -> bool:
    if day < IN_USE_FROM.get(enclosure, date.min):
        return True
    return any(code == enclosure and kind == "drained" and a <= day <= b for code, kind, a, b in SEASONS)
