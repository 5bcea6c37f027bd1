"""The same station on every machine, its figures inside what is published, and alive on whatever day it is opened."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from datetime import date, datetime

import pytest

from enclosures.scenarios.assembly import demo_tables, living_tables
from enclosures.scenarios.rows import AS_OF, ZONE, Tables
from enclosures.scenarios.shifting import is_time, shift_days

from .reading import instant, inventory

MAY_LIE_AHEAD = {
    ("transfers", "due_back_on"), ("permits", "to_on"), ("instructions", "to_on"), ("planned_moves", "planned_on"),
    ("planned_seasons", "from_on"), ("planned_seasons", "to_on"),
}  # fmt: skip


def digest(tables: Tables) -> str:
    return hashlib.sha256(json.dumps(tables, sort_keys=True).encode()).hexdigest()


def test_another_process_makes_the_same_bytes(tables: Tables) -> None:
    asked = (
        "import hashlib, json; from enclosures.scenarios.assembly import demo_tables; "
        "print(hashlib.sha256(json.dumps(demo_tables(), sort_keys=True).encode()).hexdigest())"
    )
    told = subprocess.run(
        [sys.executable, "-c", asked],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONHASHSEED": "7"},
        timeout=60,
    )
    assert told.stdout.strip() == digest(tables)


def test_rows_are_text_and_every_entry_has_its_id(tables: Tables) -> None:
    for name, rows in tables.items():
        for r in rows:
            assert all(isinstance(text, str) for text in r.values()), name
    logged = [r for rows in tables.values() for r in rows if "occurred_at" in r]
    assert all(len(r["entry"]) == 36 for r in logged)


def test_rows_of_one_entry_say_the_same_of_it(tables: Tables) -> None:
    """Lines and readings share their entry's time, author and place."""
    for name in ("feedings", "water_tests", "soundings"):
        said: dict[str, tuple[str, ...]] = {}
        for r in tables[name]:
            same = (r["occurred_at"], r["entered_at"], r["entered_by"], r.get("enclosure", r.get("filter", "")))
            assert said.setdefault(r["entry"], same) == same


def test_thirty_months_of_records(tables: Tables) -> None:
    days = [r["occurred_at"][:10] for r in tables["feedings"]]
    assert (min(days), max(days)) == ("2023-04-01", AS_OF.isoformat())
    assert len(tables["animals"]) == 39  # 38 and a merged one
    assert len([r for r in tables["filters"] if r["kind"] == "upflow"]) == 8


def test_an_earlier_day_knows_nothing_later() -> None:
    early = demo_tables(until=date(2024, 1, 15))
    assert max(r["occurred_at"][:10] for rows in early.values() for r in rows if "occurred_at" in r) <= "2024-01-15"
    assert inventory(early, date(2023, 12, 31))[1] == 24
    assert "BL-127" not in {r["animal"] for r in early["animals"]}
    assert {r["enclosure"] for r in early["seasons"] if r["kind"] == "brumation" and not r["to_on"]} == {"P1", "P2"}


def test_pond_turtles_weigh_what_pond_turtles_weigh(tables: Tables) -> None:
    """European pond turtle: females 791 ± 229 g, males 554 ± 114 g; 707 ± 132 and 407 ± 94 g in another population.

    Najbar & Szuszkiewicz 2006 (abstract) and a Turkish lake study of 2010 (abstract); two standard deviations are allowed.
    """
    sexes = {
        r["animal"]: r["sex"]
        for r in tables["animals"]
        if r["taxon"] == "Emys orbicularis" and r["sex"] in ("male", "female")
    }
    ranges = {"female": (707 - 2 * 132, 791 + 2 * 229), "male": (407 - 2 * 94, 554 + 2 * 114)}
    masses = [(sexes[r["animal"]], float(r["mass_g"])) for r in tables["measurements"] if r["animal"] in sexes]
    assert len(masses) > 30
    for sex, grams in masses:
        low, high = ranges[sex]
        assert low < grams < high


def test_map_turtles_are_the_length_map_turtles_are(tables: Tables) -> None:
    """Ouachita map turtle: males 10-14 cm, females 16-24 cm (turtles.linnaeus.naturalis.nl)."""
    sexes = {r["animal"]: r["sex"] for r in tables["animals"] if r["taxon"] == "Graptemys ouachitensis"}
    lengths = [
        (sexes[r["animal"]], float(r["scl_mm"])) for r in tables["measurements"] if r["animal"] in sexes and r["scl_mm"]
    ]
    assert lengths
    for sex, mm in lengths:
        assert (100 <= mm <= 140) if sex == "male" else (160 <= mm <= 240)


def test_mud_turtle_eggs_hatched_in_thirteen_to_nineteen_weeks(tables: Tables) -> None:
    """Striped mud turtle, lay to hatch (species pages)."""
    laid = {r["clutch"]: date.fromisoformat(r["laid_on"]) for r in tables["clutches"] if r["laid_on"]}
    waited = [
        (date.fromisoformat(r["outcome_on"]) - laid["C1"]).days
        for r in tables["eggs"]
        if r["clutch"] == "C1" and r["outcome"] == "hatched"
    ]
    assert len(waited) == 3
    assert all(13 * 7 <= days <= 19 * 7 for days in waited)


def test_nobody_gets_more_than_a_turtle_eats(tables: Tables) -> None:
    """Offered dry food stays under 6 % of the stock's mass a meal, the soft limit of the entry form, and the mean near its plan."""
    dry = {r["food_item"]: 1 - float(r["moisture_percent"]) / 100 for r in tables["food_items"]}
    meals: dict[str, float] = {}
    for r in tables["feedings"]:
        if r["enclosure"] == "B1" and r.get("offered_g"):
            meals[r["entry"]] = meals.get(r["entry"], 0) + float(r["offered_g"]) * dry[r["food_item"]]
    assert len(meals) > 400
    stock_g = 122 + 176 + 159 + 145
    assert max(meals.values()) < 0.06 * stock_g
    assert sum(meals.values()) / len(meals) == pytest.approx(0.012 * stock_g, rel=0.05)


@pytest.mark.parametrize(
    "now",
    [
        datetime(2025, 10, 4, 9, 0, tzinfo=ZONE),
        datetime(2026, 10, 2, 22, 0, tzinfo=ZONE),
        datetime(2028, 2, 29, 12, 0, tzinfo=ZONE),
        datetime(2029, 3, 25, 3, 30, tzinfo=ZONE),
    ],
    ids=["the last fixed day", "the day before a new round", "leap day", "clocks change"],
)
def test_shifted_station_ends_now_and_keeps_its_weekdays(tables: Tables, now: datetime) -> None:
    by_days = shift_days(now.date())
    assert by_days % 364 == 0
    assert 0 <= (now.date() - AS_OF).days - by_days < 364
    alive = living_tables(now=now)
    newest = max(instant(r["occurred_at"]) for rows in alive.values() for r in rows if "occurred_at" in r)
    assert (now - newest).total_seconds() < 2 * 86_400
    for name, rows in alive.items():
        for r in rows:
            for column, text in r.items():
                if text and is_time(column) and (name, column) not in MAY_LIE_AHEAD:
                    assert _begins(text) <= now, (name, column, text)
    moved = {r["entry"]: r["occurred_at"] for r in alive["feedings"]}
    for r in tables["feedings"]:
        old = r["occurred_at"]
        if new := moved.get(r["entry"]):  # the last day's evening is still to come
            assert date.fromisoformat(old[:10]).weekday() == date.fromisoformat(new[:10]).weekday()
            assert old[11:16] == new[11:16]
    assert len(moved) > 3000


def _begins(text: str) -> datetime:
    return instant(text) if len(text) > 10 else datetime.combine(date.fromisoformat(text), datetime.min.time(), ZONE)
