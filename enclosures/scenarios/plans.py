"""What the supervisor has planned: meals by the stock of the day, set anew with the seasons; a few instructions, looks and skips."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from enclosures.scenarios.animals import BEASTS, STOPS_BELOW_C
from enclosures.scenarios.growth import mass_g
from enclosures.scenarios.rounds import HABITS, P4_SUNDAY, Q1_GROWN, Habit, is_second, present
from enclosures.scenarios.rows import LAST_DAY, Row, Tables, clock, days, event, row, stamp
from enclosures.scenarios.station import INDOOR
from enclosures.scenarios.stores import DRY_SHARE, STEP, UNIT, UNIT_G

DAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
# the days on which the supervisor sat down with the last weights
SET_ANEW = (
    date(2025, 9, 7), date(2025, 10, 26), date(2026, 1, 10), date(2026, 3, 22), date(2026, 5, 2), date(2026, 7, 1),
    date(2026, 9, 1),
)  # fmt: skip
LESS_OVER_C = 5.0  # less food from the stop up to so much above it
HELD_SHORT = {"P2": 0.8}
SMALL_DRY_G = 10.0  # pellets by the piece when a quarter scoop is too much

# enclosure, from, to, given at, what
_INSTRUCTIONS = (
    ("P1", date(2025, 9, 29), date(2025, 11, 1), "Lift the leaves off before feeding; they go to the void otherwise."),
    ("T2", date(2025, 9, 28), None, "BL-133 is small: see that it gets its share before the others are in."),
    ("Q1", date(2025, 9, 7), date(2025, 12, 5), "Faecal sample on the first Monday of the month."),
    ("B2", date(2025, 10, 26), date(2025, 12, 20), "Basking lamp is new: water and basking spot on every round."),
    ("T1", date(2026, 2, 2), date(2026, 3, 1), "Count twice, they hide under the cork."),
    ("P1", date(2026, 3, 22), date(2026, 4, 30), "First meals after the winter: half, and look who comes."),
    ("P3", date(2026, 5, 2), date(2026, 6, 15), "Look at the guard of the intake bay; it was bent once."),
    ("P2", date(2026, 9, 14), date(2026, 11, 1), "Leaf net on by the end of the month."),
)  # fmt: skip
_ODD = (
    ("B1", date(2025, 9, 24), "07:43", "K1", "am", 4, 4, "BL-103 swims tilted to the left, eats."),
    ("P4", date(2025, 10, 2), "16:46", "K2", "pm", 6, 7, "Six seen; BL-125 may sit under the lily."),
    ("P3", date(2026, 6, 3), "08:15", "K1", "am", None, None, "Foam at the weir."),
    ("B2", date(2025, 11, 24), "07:49", "K1", "am", 4, 4, "Basking lamp flickers."),
)
_SKIPPED = (("Q1", date(2025, 9, 27), "08:33", "K3", "am", "under treatment"),)


def plan_tables() -> Tables:
    return {
        "feeding_plans": _plans(),
        "instructions": [_instruction(*each) for each in _INSTRUCTIONS],
        "round_checks": [_check(*each) for each in _ODD],
        "round_skips": [_skip(*each) for each in _SKIPPED],
    }


def _plans() -> list[Row]:
    rows: list[Row] = []
    counts: dict[tuple[str, str], int] = {}
    for first, after in zip(SET_ANEW, (*SET_ANEW[1:], LAST_DAY + timedelta(days=400)), strict=True):
        for code, habit in _habits():
            lines = _lines(code, habit, first)
            if not lines:
                continue
            counts[code, habit.slot] = n = counts.get((code, habit.slot), 0) + 1
            last = after - timedelta(days=1) if after in SET_ANEW else None
            rows += [
                row(
                    plan=f"{code}-{habit.slot}-{n}", enclosure=code, slot=habit.slot, line=line,
                    from_on=_begins(habit, first), to_on=last, every_weeks=2 if habit.every_other is not None else 1,
                    weekdays=" ".join(DAY_NAMES[day] for day in habit.weekdays), **food, **_rule(code, first),
                    pauses_in_winter=True, entered_at=stamp(clock(first, "17:20")), entered_by="SUP",
                )
                for line, food in enumerate(lines, start=1)
            ]  # fmt: skip
    return rows


def _habits() -> list[tuple[str, Habit]]:
    """The weekdays of every week, and beside them the day that counts only in every second one."""
    every_week = {code: replace(habit, every_other=None) for code, habit in (HABITS | {"Q1": Q1_GROWN}).items()}
    second = [
        (code, replace(habit, weekdays=(habit.every_other,)))
        for code, habit in HABITS.items()
        if habit.every_other is not None
    ]
    return [*every_week.items(), ("P4", P4_SUNDAY), *second]


def _begins(habit: Habit, first: date) -> date:
    """The day itself; for every second week the first day from it on that is one of the meal's."""
    if habit.every_other is None:
        return first
    return next(day for day in days(first, first + timedelta(days=13)) if is_second(habit, day))


def _lines(code: str, habit: Habit, day: date) -> list[dict[str, object]]:
    who = present(code, clock(day, "12:00"))
    dry_g = sum(mass_g(animal, day) for animal in who) * habit.percent / 100 * HELD_SHORT.get(code, 1.0)
    lines = []
    for food, share in habit.mix.items():
        unit = "piece" if food == "pellet" and dry_g * share < SMALL_DRY_G else UNIT[food]
        grams = UNIT_G[food][unit]
        amount = round(dry_g * share / DRY_SHARE[food] / grams / STEP[unit]) * STEP[unit]
        if amount > 0:
            lines.append({"food_item": food, "amount": amount, "unit": unit, "offered_g": round(amount * grams, 2)})
    return lines


def _rule(code: str, day: date) -> dict[str, object]:
    """Outdoors the water decides; indoors it is warm."""
    if code in INDOOR:
        return {"not_below_c": None, "less_below_c": None, "less_share": 0.5}
    stop = max(STOPS_BELOW_C[BEASTS[animal].taxon] for animal in present(code, clock(day, "12:00")))
    return {"not_below_c": stop, "less_below_c": stop + LESS_OVER_C, "less_share": 0.5}


def _instruction(code: str, first: date, last: date | None, text: str) -> Row:
    return event(
        "instruction", code, first, at=clock(first, "17:25"), by="SUP", how="form", enclosure=code, text=text, from_on=first,
        to_on=last, is_done=False,
    )  # fmt: skip


def _check(code: str, day: date, at: str, by: str, slot: str, seen: int | None, known: int | None, odd: str) -> Row:
    return event(
        "check",
        code,
        day,
        at=clock(day, at),
        by=by,
        enclosure=code,
        slot=slot,
        head_count=seen,
        n_expected=known,
        odd=odd,
    )


def _skip(code: str, day: date, at: str, by: str, slot: str, cause: str) -> Row:
    return event("skip", code, day, at=clock(day, at), by=by, enclosure=code, slot=slot, cause=cause)
