"""Small ways to ask package rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from enclosures.scenarios.rows import ZONE, Row, Tables

LETTER = {"male": "m", "female": "f", "unknown": "u"}


def entries(tables: Tables, *names: str) -> Iterator[Row]:
    """One row for each entry of the logs named (all logs by default)."""
    for name, rows in tables.items():
        if (names and name not in names) or not rows or "entry" not in rows[0]:
            continue
        yield from {r["entry"]: r for r in rows}.values()


def live(rows: list[Row]) -> list[Row]:
    gone = {r["supersedes"] for r in rows if r.get("supersedes")}
    return [r for r in rows if r["entry"] not in gone and r.get("withdrawn") != "true"]


def end_of(day: date) -> datetime:
    return datetime.combine(day + timedelta(days=1), time(0), tzinfo=ZONE)


def instant(text: str) -> datetime:
    return (
        datetime.fromisoformat(text) if len(text) > 10 else datetime.combine(date.fromisoformat(text), time(12), ZONE)
    )


def stays_at(tables: Tables, moment: datetime) -> dict[str, Row]:
    """Animal -> its stay at the moment."""
    return {
        r["animal"]: r
        for r in tables["stays"]
        if instant(r["from_at"]) < moment and (not r["to_at"] or instant(r["to_at"]) >= moment)
    }


def inventory(tables: Tables, day: date) -> tuple[dict[str, str], int, int]:
    """m.f.u by genus at the end of the day, the total, and how many are missing. Merged codes are not counted."""
    books = {r["animal"]: r for r in tables["animals"] if not r["merged_into"]}
    here = {code: stay for code, stay in stays_at(tables, end_of(day)).items() if code in books}
    counts: dict[str, Counter[str]] = {}
    n_missing = 0
    for code, stay in here.items():
        if stay["reason"] == "missing":
            n_missing += 1
            continue
        counts.setdefault(books[code]["taxon"].split()[0], Counter())[LETTER[books[code]["sex"]]] += 1
    total = sum(sum(count.values()) for count in counts.values())
    return {genus: f"{c['m']}.{c['f']}.{c['u']}" for genus, c in counts.items()}, total, n_missing
