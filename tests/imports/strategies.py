"""Whole facilities drawn at random, as rows of text for every record table.

Most columns are drawn from what the table's own definition allows, so a column added later is drawn too; what binds columns
together (an end after its beginning, a sounding within its void) is set here.
"""

from __future__ import annotations

import math
import string
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from typing import Any

from hypothesis import strategies as st

from enclosures.exports import cells
from enclosures.exports.photos import FILE, SHA256
from enclosures.exports.record_tables import BY_NAME, TABLES
from enclosures.exports.table import Column, Table

FIRST, LAST = date(2001, 1, 1), date(2025, 10, 3)
BUILT = date(2000, 1, 1)
VOID_MM = 100.0

LETTERS = st.characters(exclude_categories=("Cs",), exclude_characters="\x00")
TEXT = st.text(LETTERS, max_size=12) | st.sampled_from(
    ['a "quoted", line', "two\nlines", "cr\rlf\r\n", " edges ", "=1+1", ";"]
)
DAYS = st.dates(FIRST, LAST)
_FROM, _TO = datetime.combine(FIRST, time()), datetime.combine(LAST, time())
INSTANTS = st.builds(
    lambda at, is_whole: at.replace(microsecond=0) if is_whole else at,
    st.datetimes(_FROM, _TO, timezones=st.just(UTC)),
    st.booleans(),
)
ORDERED = (
    ("target_low_c", "target_high_c"), ("not_below_c", "less_below_c"), ("commissioned_on", "retired_on"), ("grade_min_mm", "grade_max_mm"),
    ("hatched_from", "hatched_to"), ("applied_on", "removed_on"), ("from_on", "to_on"), ("laid_on", "found_on"),
)  # fmt: skip


def code_points(prefix: str, n: int) -> list[str]:
    return [f"{prefix}{k}" for k in range(1, n + 1)]


@st.composite
def moments(draw: Callable[..., Any]) -> str:
    """A date, or an instant as the package writes it: seconds only where there are any."""
    if draw(st.booleans()):
        return draw(DAYS).isoformat()
    at = draw(INSTANTS)
    offset = draw(st.sampled_from([0, 60, 120, -300, 345, 765, -570]))
    return cells.MOMENT.write(at, at.date(), offset, "minute")


def number(low: float | None, high: float | None, *, is_above: bool = False) -> st.SearchStrategy[str]:
    low, high = -1e6 if low is None else low, 1e6 if high is None else high
    drawn: st.SearchStrategy[float] = st.floats(low, high, exclude_min=is_above, allow_subnormal=False)
    first_whole = math.floor(low) + 1 if is_above else math.ceil(low)
    if first_whole <= high:
        drawn |= st.integers(first_whole, math.floor(high)).map(float)
    return drawn.map(cells.number_text)


def cell(table: Table, column: Column) -> st.SearchStrategy[str]:
    """Any text the column may hold, as the package writes it, never empty."""
    found, kind, limits = table.field_of(column), column.kind, table.range_of(column)
    longest = min(getattr(found, "max_length", None) or 12, 12)
    low, high = (limits.low, limits.high) if limits else (None, None)
    if words := table.words_of(column):
        return st.sampled_from(words)
    if kind is cells.CODE:
        return st.text(string.ascii_letters + string.digits + "-é,\"'", min_size=1, max_size=longest)
    if kind is cells.TEXT:
        return TEXT.map(lambda text: text[:longest])
    if kind is cells.NUMBER:
        return number(low, high, is_above=bool(limits and limits.is_above))
    if kind is cells.WHOLE:
        return st.integers(int(low or 0), int(high or 30_000)).map(str)
    return {
        cells.BOOLEAN: st.sampled_from(["true", "false"]),
        cells.DAY: DAYS.map(date.isoformat),
        cells.INSTANT: INSTANTS.map(cells.instant_text),
        cells.MOMENT: moments(),
        cells.ENTRY: st.uuids().map(str),
        cells.CODES: st.lists(st.sampled_from(["LATE", "MEM", "DUP"]), unique=True).map(" ".join),
        cells.NUMBERS: st.lists(number(-5, 40), max_size=12).map(" ".join),
        FILE: st.just(""),
        SHA256: st.text("0123456789abcdef", min_size=64, max_size=64),
        cells.UNITS: st.dictionaries(
            st.text(string.ascii_letters + "%;= ", min_size=1, max_size=8), st.floats(0.001, 1000), max_size=3
        ).map(cells.UNITS.write),
    }[kind]  # fmt: skip


def row(table: Table, /, **fixed: st.SearchStrategy[str] | str) -> st.SearchStrategy[dict[str, str]]:
    """A row of the table: what is fixed as given, required cells filled, the others perhaps."""
    drawn = {}
    for column in table.columns:
        if column.name in fixed:
            given = fixed[column.name]
            drawn[column.name] = st.just(given) if isinstance(given, str) else given
        elif column.is_required or column.name in table.key:
            drawn[column.name] = cell(table, column)
        else:
            drawn[column.name] = st.just("") | cell(table, column)
    return st.fixed_dictionaries(drawn).map(_in_order)


def _in_order(row: dict[str, str]) -> dict[str, str]:
    for low, high in ORDERED:
        if row.get(low) and row.get(high):
            as_number = low.endswith(("_c", "_mm"))
            row[low], row[high] = sorted((row[low], row[high]), key=float if as_number else str)
    return row


@st.composite
def facilities(draw: Callable[..., Any]) -> dict[str, list[dict[str, str]]]:
    """Tables of a facility, every cell written as the package writes it."""
    t = BY_NAME

    def one(name: str, /, **fixed: Any) -> dict[str, str]:
        return draw(row(t[name], **fixed))

    def some(least: int = 0, most: int = 2) -> range:
        return range(draw(st.integers(least, most)))

    enclosures, filters, animals = code_points("E", 2), code_points("F", 2), code_points("A", draw(st.integers(1, 3)))
    taxa, clutches, foods, kits = (
        ["Emys sp."],
        code_points("C", draw(st.integers(0, 2))),
        code_points("food", 2),
        ["K1"],
    )
    place, sieve, beast = st.sampled_from(enclosures), st.sampled_from(filters), st.sampled_from(animals)
    maybe_clutch = st.sampled_from(["", *clutches])
    zone = st.sampled_from(["UTC", "Europe/Paris", "America/New_York", "Pacific/Auckland"])
    builds = [(f, BUILT) for f in filters] + [
        (filters[0], day) for day in draw(st.lists(DAYS, unique=True, max_size=1))
    ]
    tables: dict[str, list[dict[str, str]]] = {
        "facility": [one("facility", time_zone=zone, code="X", name=st.text(string.ascii_letters, min_size=1, max_size=8))],
        "enclosures": [one("enclosures", enclosure=code) for code in enclosures],
        "seasons": [one("seasons", enclosure=code) for code in enclosures[: draw(st.integers(0, 2))]],
        "filters": [one("filters", filter=code, enclosure=place) for code in filters],
        "filter_builds": [
            one("filter_builds", filter=f, valid_from=day.isoformat(), void_height_mm=number(VOID_MM, 2000)) for f, day in builds
        ],
        "media_layers": [
            one("media_layers", filter=f, valid_from=day.isoformat(), position=str(n))
            for (f, day), n in zip(builds, range(1, 4), strict=False)
        ],
        "pumps": [one("pumps", pump="PU1")],
        "pump_fittings": [one("pump_fittings", pump="PU1", filter=f) for f in filters[: draw(st.integers(0, 2))]],
        "taxa": [one("taxa", taxon=name) for name in taxa],
        "clutches": [one("clutches", clutch=code, taxon=st.sampled_from(["", *taxa])) for code in clutches],
        "animals": [
            one(
                "animals", animal=code, taxon=taxa[0], clutch=maybe_clutch,
                merged_into=st.sampled_from(["", *[other for other in animals if other > code]]),
            )
            for code in animals
        ],
        "eggs": [
            one("eggs", clutch=code, number=str(n), animal=st.sampled_from(["", animal]))
            for code in clutches[:1] for n, animal in enumerate(animals, 1)
        ],
        "marks": [one("marks", animal=code) for code in animals],
        "stays": [stay for code in animals for stay in draw(_stays(code, enclosures))],
        "food_items": [recipe for code in foods for recipe in draw(_recipes(code))],
        "feeding_plans": [
            one(
                "feeding_plans", plan=f"plan{n}", line="1", enclosure=code, animal="", food_item=st.sampled_from(foods),
                weekdays=st.sampled_from(["", "mon", "tue thu sun"]),
                every_days="",
            )
            for n, code in enumerate(enclosures, 1)
        ] + [one("feeding_plans", plan="plan9", line="1", enclosure="", animal=animals[0], weekdays="",
                 every_weeks="1", food_item=st.sampled_from(foods))],
        "treatments": [
            one("treatments", treatment=f"{animals[0]}-t1", animal=animals[0], every_hours="", first_time="", weekdays="",
                every_days=st.integers(1, 90).map(str), slots=st.sampled_from(["am", "pm", "am pm"]),
                stop_reason=st.text(string.ascii_letters, min_size=1, max_size=9), **_said("what", "dose", "route", "why")),
            one("treatments", treatment=f"{animals[-1]}-t2", animal=animals[-1], every_days="", weekdays="", slots="",
                every_hours=st.integers(1, 720).map(str), first_time="08:30", stopped_on="",
                **_said("what", "dose", "route", "why")),
        ],
        "test_kits": [one("test_kits", kit=code) for code in kits],
        "permits": [one("permits", number=f"N{n}") for n in some()],
    }  # fmt: skip
    depth = number(0, VOID_MM)
    logs: dict[str, dict[str, Any]] = {
        "measurements": {"animal": beast},
        "planned_moves": {
            "from_enclosure": enclosures[0], "to_enclosure": st.sampled_from(["", enclosures[1]]), "animal": beast,
            "taxon": st.sampled_from(["", *taxa]),
        },
        "planned_seasons": {"enclosure": place},
        "feedings": {"enclosure": place, "food_item": st.sampled_from(foods)},
        "water_tests": {
            "enclosure": place, "value": number(3, 11), "canonical": number(0, 40), "kit": st.sampled_from(["", *kits, "X"])
        },
        "water_changes": {"enclosure": place},
        "soundings": {"filter": sieve, "depth_mm": depth},
        "flow_checks": {"filter": sieve},
        "cleanouts": {"filter": sieve, "depth_before_mm": st.just("") | number(VOID_MM - 10, VOID_MM), "depth_after_mm": st.just("") | depth},
        "upkeep": {"filter": sieve},
        "health_notes": {"animal": beast, "enclosure": st.sampled_from(["", *enclosures]), "text": st.text(string.ascii_letters, min_size=1)},
        "instructions": {"enclosure": place, "text": st.text(string.ascii_letters, min_size=1)},
        "round_checks": {"enclosure": place},
        "round_skips": {"enclosure": place, "cause": st.text(string.ascii_letters, min_size=1)},
        "outages": {"ended_at": st.sampled_from(["", "2025-10-03T23:59:59Z"])},
        "doses": {
            "treatment": st.sampled_from([f"{animals[0]}-t1", f"{animals[-1]}-t2"]), "enclosure": place,
            "for_part": st.sampled_from(["", "am", "pm", "08:30"]),
            "why_not": st.text(string.ascii_letters, min_size=1, max_size=9),
        },
        "transfers": {"animal": beast},
        "deaths": {"animal": beast},
    }  # fmt: skip
    for name, fixed in logs.items():
        tables[name] = draw(_log(t[name], fixed))
    entries = [r["entry"] for name in logs for r in tables[name]]
    tables["record_flags"] = [
        one("record_flags", table="feeding", entry=entry, code="DUP") for entry in dict.fromkeys(entries[:2])
    ]
    looked = [(name, r["entry"]) for name in ("round_checks", "health_notes", "soundings") for r in tables[name]]
    tables["photos"] = []
    for name, entry in dict.fromkeys(looked):
        table = {"round_checks": "roundcheck", "health_notes": "healthnote", "soundings": "sounding"}[name]
        rows = draw(_log(t["photos"], {"table": table, "of_entry": entry}))
        known = {row["entry"] for row in tables["photos"]}
        tables["photos"] += [] if known & {row["entry"] for row in rows} else rows
    assert set(tables) == {table.name for table in TABLES}
    return tables


def _said(*names: str) -> dict[str, Any]:
    """Texts that must say something."""
    return {name: st.text(string.ascii_letters, min_size=1, max_size=12) for name in (*names, "prescribed_by")}


@st.composite
def _stays(draw: Callable[..., Any], animal: str, enclosures: list[str]) -> list[dict[str, str]]:
    """One after the other; the last may still last."""
    days = sorted(draw(st.lists(DAYS, unique=True, max_size=4)))
    marks = [day.isoformat() + draw(st.sampled_from(["", "T09:30+02:00", "T23:30-05:00"])) for day in days]
    rows = []
    for n, begin in enumerate(marks):
        end = marks[n + 1] if n + 1 < len(marks) else draw(st.sampled_from(["", LAST.isoformat()]))
        rows.append(
            draw(row(BY_NAME["stays"], animal=animal, enclosure=st.sampled_from(enclosures), from_at=begin, to_at=end))
        )
    return rows


@st.composite
def _recipes(draw: Callable[..., Any], code: str) -> list[dict[str, str]]:
    table = BY_NAME["food_items"]
    food = draw(row(table, food_item=code, recipe="0"))
    days = ["", *sorted(day.isoformat() for day in draw(st.lists(DAYS, unique=True, max_size=2)))]
    own = {c.name for c in table.columns if not table.is_of_part(c)}
    if draw(st.booleans()):
        days = days[1:]
    if not days:
        return [{**dict.fromkeys(table.header, ""), **{name: food[name] for name in own}, "recipe": "0"}]
    rows = []
    for n, day in enumerate(days, 1):
        recipe = draw(
            row(table, food_item=code, valid_from=day, recipe=str(n), moisture_percent=number(0, 60), protein_percent=number(0, 40))
        )  # fmt: skip
        rows.append({**recipe, **{name: food[name] for name in own}})
    return rows


@st.composite
def _log(draw: Callable[..., Any], table: Table, fixed: dict[str, Any]) -> list[dict[str, str]]:
    """Entries, some of them put right or withdrawn by later ones, each with its lines."""
    rows: list[dict[str, str]] = []
    standing: list[str] = []
    for _ in range(draw(st.integers(0, 3))):
        entry = str(uuid.UUID(int=draw(st.integers(0, 2**128 - 1))))
        if entry in standing or any(entry == other["entry"] for other in rows):
            continue
        replaces = draw(st.sampled_from(["", *standing]))
        if replaces:
            standing.remove(replaces)
        standing.append(entry)
        correction = {
            "entry": entry,
            "supersedes": replaces,
            "withdrawn": draw(st.sampled_from(["true", "false"])) if replaces else "false",
            "reason": "so" if replaces else "",
        }
        first = draw(row(table, **{**fixed, **correction, **({table.number: "1"} if table.number else {})}))
        rows += draw(_parts(table, first, fixed)) if table.part else [first]
    return rows


@st.composite
def _parts(
    draw: Callable[..., Any], table: Table, first: dict[str, str], fixed: dict[str, Any]
) -> list[dict[str, str]]:
    of_part = [c.name for c in table.columns if table.is_of_part(c)]
    n_parts = draw(st.integers(0, 3))
    if n_parts == 0:
        return [{**first, **dict.fromkeys(of_part, ""), table.number: "0"}]
    own = {name: text for name, text in first.items() if name not in of_part}
    return [draw(row(table, **{**fixed, **own, table.number: str(n)})) for n in range(1, n_parts + 1)]
