"""The awkward cases, seeded into an otherwise tidy record: each is something a real station does sooner or later.

Wrong enclosure, wrong unit, wrong kit, a slow clock, a day without wifi, a round from memory, a meal logged twice, an animal
entered twice. What was wrong stays; the row that puts it right names it and says why.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

from enclosures.scenarios.animals import KB, NOTCH_SCHEME, STATION
from enclosures.scenarios.filters_log import job
from enclosures.scenarios.rounds import MAP_MIX, SAT, Habit, feeding, temperature_row
from enclosures.scenarios.rows import Row, Tables, clock, entry_id, event, minutes_after, row, stamp
from enclosures.scenarios.water import reading, water_test

NO_WIFI = date(2024, 4, 12)
BACK_ONLINE = clock(date(2024, 4, 15), "12:00")
SLOW_CLOCK = date(2024, 4, 1)
N_SLOW = 9
_LOGS = ("feedings", "water_tests", "water_changes", "flow_checks", "upkeep", "measurements")

Wanted = Callable[[Row], bool]


def seed(tables: Tables) -> None:
    """Puts every case into the tables, in place."""
    _meal_on_the_wrong_enclosure(tables)
    _units_converted_at_entry(tables)
    _three_tests_under_the_wrong_kit(tables)
    _animal_entered_twice(tables)
    _tablet_an_hour_slow(tables)
    _day_without_wifi(tables)
    _round_from_memory(tables)
    _moved_at_midday(tables)
    _evening_meal_twice(tables)


def _of(enclosure: str, day: date) -> Wanted:
    return lambda r: r.get("enclosure") == enclosure and r["occurred_at"].startswith(day.isoformat())


def _as_new(rows: list[Row], entry: str, **changes: str) -> list[Row]:
    """The same rows as another entry."""
    return [r | {"entry": entry} | changes for r in rows]


def _correction(rows: list[Row], entry: str, *, at: datetime, reason: str, **changes: str) -> list[Row]:
    """The rows of an entry once more, put right by the supervisor."""
    changes |= {
        "supersedes": rows[0]["entry"],
        "reason": reason,
        "entered_at": stamp(at),
        "entered_by": "SUP",
        "how": "form",
    }
    return _as_new(rows, entry, **changes)


def _meal_on_the_wrong_enclosure(tables: Tables) -> None:
    day = date(2023, 7, 12)
    meal = [r for r in tables["feedings"] if _of("P1", day)(r)]
    wrong = _as_new(meal, entry_id("P1's meal on P2", day), enclosure="P2")
    right = _correction(
        wrong, entry_id("P1's meal moved back", day), at=clock(date(2023, 7, 13), "09:10"), enclosure="P1",
        reason="Logged on P2; it was P1's meal.",
    )  # fmt: skip
    tables["feedings"] = [r for r in tables["feedings"] if r not in meal] + wrong + right


def _units_converted_at_entry(tables: Tables) -> None:
    """The fourth of them, a sounding of P1, is in filters_log."""
    for r in tables["measurements"]:
        if r["animal"] == "BL-103" and r["occurred_at"].startswith("2023-08-05"):
            r |= {"mass_g": "158.8", "flags": "UNIT", "note": "Typed 5.6 from the ounce scale: 158.8 g."}
    for r in tables["water_tests"]:
        if _of("B1", date(2023, 11, 18))(r) and r["analyte"] == "temperature":
            r |= {"value": "25", "flags": "UNIT", "note": "Typed 77 in the °C field: 77 °F is 25.0 °C."}
    for r in tables["water_changes"]:
        if _of("B2", date(2024, 12, 2))(r):
            r |= {"volume_l": "151.4", "flags": "UNIT", "note": "Typed 40: gallons, 151 L."}


def _three_tests_under_the_wrong_kit(tables: Tables) -> None:
    day, put_right = date(2024, 1, 27), clock(date(2024, 2, 3), "10:05")
    for n, enclosure in enumerate(("T1", "B1", "G1")):
        at = clock(day, "16:40") + timedelta(minutes=6 * n)
        # the same step of the ladder, saved as ammonia where the bottle says nitrogen
        said = [reading("tan", "A-ammonia", 0.164), reading("nitrite", "drops-nitrite", 0.02)]
        wrong = water_test(enclosure, at, by="K2", readings=said, key="new kit")
        right = _correction(
            wrong, entry_id("new kit put right", enclosure, day), at=put_right, flags="KIT",
            reason="Read with kit B, which gives ammonia as N; saved under kit A.",
        )  # fmt: skip
        for r in right:
            if r["analyte"] == "tan":
                r |= {"kit": "B-ammonia", "expressed_as": "N"}
        tables["water_tests"] += wrong + right


def _animal_entered_twice(tables: Tables) -> None:
    first, merged = date(2024, 3, 2), clock(date(2024, 3, 5), "09:20")
    tables["animals"].append(
        row(
            animal="BL-126", taxon=KB, sex="female", sex_basis="by its looks", origin="unknown", owner=STATION,
            held_by=STATION, merged_into="BL-103",
            note="Entered by mistake: the notch of BL-103 was misread. Merged by ADM.",
        )
    )  # fmt: skip
    tables["marks"].append(
        row(animal="BL-126", kind="shell notch", scheme=NOTCH_SCHEME, value="NN-9", applied_on=first,
            removed_on=merged.date(), note="A misreading, not a mark.")
    )  # fmt: skip
    tables["stays"].append(
        row(
            animal="BL-126", enclosure="B1", from_at=stamp(clock(first, "10:40")), to_at=stamp(merged),
            reason="routine", entered_at=stamp(clock(first, "10:45")), entered_by="K2", ended_entered_at=stamp(merged),
        )
    )  # fmt: skip
    tables["measurements"].append(
        event("weighing", "BL-126", first, at=clock(first, "10:40"), by="K2", how="form", animal="BL-126", mass_g=160.2,
              method="0.1 g scale")
    )  # fmt: skip


def _tablet_an_hour_slow(tables: Tables) -> None:
    """The clocks went forward; the tablet did not. Times were put right when it was noticed, its own clock is kept."""
    morning = sorted(
        {
            (r["occurred_at"], r["entry"])
            for name in _LOGS
            for r in tables[name]
            if r["occurred_at"].startswith(SLOW_CLOCK.isoformat()) and r["entered_by"] == "K1"
        }
    )
    slow = {entry for _, entry in morning[:N_SLOW]}
    for name in _LOGS:
        for r in tables[name]:
            if r["entry"] in slow:
                device = datetime.fromisoformat(r["entered_at"]) - timedelta(hours=1)
                r |= {"device_at": stamp(device), "clock_offset_s": "-3600"}


def _day_without_wifi(tables: Tables) -> None:
    """One tablet kept the whole Friday to itself and sent it on Monday noon: thirty-one entries, two of them repeats."""
    for name, rows in _extra_rows_without_wifi().items():
        tables[name] += rows
    offline = _entries_without_wifi(tables)
    for name in _LOGS:
        for r in tables[name]:
            if r["entry"] in offline:
                r |= {"device_at": r["entered_at"], "clock_offset_s": "0", "entered_at": stamp(BACK_ONLINE)}
    for enclosure in ("T1", "G1"):
        meal = [r for r in tables["feedings"] if _of(enclosure, NO_WIFI)(r)]
        again = minutes_after(datetime.fromisoformat(meal[0]["occurred_at"]), 2)
        twice = _as_new(
            meal, entry_id("sent twice", enclosure, NO_WIFI), occurred_at=stamp(again),
            device_at=stamp(minutes_after(again, 1)), flags="DUP LATE",
        )  # fmt: skip
        tables["feedings"] += twice
        if enclosure == "T1":
            settled = clock(date(2024, 4, 16), "08:55")
            tables["feedings"] += _correction(
                twice, entry_id("repeat withdrawn", NO_WIFI), at=settled, withdrawn="true",
                reason="The same meal, tapped twice.",
            )  # fmt: skip


def _entries_without_wifi(tables: Tables) -> set[str]:
    """All that K1 logged that day after twenty past seven."""
    start = f"{NO_WIFI.isoformat()}T07:20"
    return {
        r["entry"]
        for name in _LOGS
        for r in tables[name]
        if r["occurred_at"].startswith(NO_WIFI.isoformat()) and r["occurred_at"] > start and r["entered_by"] == "K1"
    }


def _extra_rows_without_wifi() -> Tables:
    """What was looked at that day besides the usual: enough to fill the tablet."""
    indoor = ("T1", "B1", "B2", "G1")
    temps = [
        temperature_row(code, NO_WIFI, at=clock(NO_WIFI, "08:01") + timedelta(minutes=2 * n), by="K1")
        for n, code in enumerate(indoor)
    ]
    flows = {"T1": 165, "B1": 595, "B2": 1120, "P1": 1980}
    checks = [
        event(
            "flow", "without wifi", code, at=clock(NO_WIFI, "13:10") + timedelta(minutes=4 * n), by="K1", how="form",
            filter=f"{code}-F", flow_l_per_h=flow, return_water="clear",
        )
        for n, (code, flow) in enumerate(flows.items())
    ]  # fmt: skip
    screens = [
        job(code, clock(NO_WIFI, "14:05") + timedelta(minutes=5 * n), "screen", by="K1", fullness=1, minutes=4)
        for n, code in enumerate(("P1", "P2", "P3"))
    ]
    return {"water_tests": temps, "flow_checks": checks, "upkeep": screens}


def _round_from_memory(tables: Tables) -> None:
    """A Sunday round that nobody entered; done on Monday from memory."""
    missed, entered = date(2025, 1, 5), clock(date(2025, 1, 6), "08:55")
    for r in tables["feedings"]:
        if r["occurred_at"].startswith(missed.isoformat()):
            r |= {"how": "late", "entered_at": stamp(entered), "flags": "MEM LATE", "entered_by": "K1",
                  "note": "From memory; K3 fed and did not enter it."}  # fmt: skip


def _moved_at_midday(tables: Tables) -> None:
    """BL-115 ate in P3 in the morning and in B2 in the evening."""
    day = date(2025, 8, 2)
    morning = Habit(mix=MAP_MIX, percent=1.0, weekdays=(SAT,), slot="am", at="08:14")
    evening = Habit(mix=MAP_MIX, percent=1.0, weekdays=(SAT,), slot="pm", at="16:40")
    tables["feedings"] += feeding("P3", day, habit=morning) + feeding("B2", day, habit=evening)


def _evening_meal_twice(tables: Tables) -> None:
    """K2 fed P4 and logged it; SUP logged the same evening's meal twenty minutes later. Nobody has decided yet."""
    meal = [r for r in tables["feedings"] if _of("P4", date(2025, 9, 20))(r)]
    again = minutes_after(datetime.fromisoformat(meal[0]["occurred_at"]), 21)
    tables["feedings"] += _as_new(
        meal, entry_id("P4's evening meal again"), occurred_at=stamp(again), entered_at=stamp(minutes_after(again, 3)),
        entered_by="SUP", flags="DUP",
    )  # fmt: skip
