"""What the station has decided for days ahead, and when each of it was done: moves out and in, gifts, the loan that comes back, rests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.scenarios.rows import Row, Tables, clock, entry_id, event

MAPS = ("BL-113", "BL-114", "BL-115", "BL-116")


@dataclass(frozen=True, kw_only=True)
class _Move:
    decided: date
    on: date
    start: str
    end: str
    who: tuple[str, ...]
    note: str = ""
    done: tuple[date, str, str] | None = None  # the day, the time, by whom


# fmt: off
_MOVES = (
    _Move(decided=date(2025, 9, 7), on=date(2026, 6, 20), start="T2", end="P4", who=("BL-133",),
          note="When it is over 30 g; it was held back in June.", done=(date(2026, 6, 27), "10:25", "SUP")),
    _Move(decided=date(2025, 9, 28), on=date(2025, 10, 25), start="P3", end="B2", who=("BL-113", "BL-114", "BL-116"),
          note="Empty B2's void first.", done=(date(2025, 10, 25), "10:45", "SUP")),
    _Move(decided=date(2025, 9, 28), on=date(2026, 5, 23), start="T1", end="", who=("BL-135", "BL-136"),
          note="Promised to Partner E; permit asked for.", done=(date(2026, 5, 23), "11:20", "SUP")),
    _Move(decided=date(2026, 3, 1), on=date(2026, 4, 4), start="Q1", end="P1", who=("BL-139",),
          note="If the third faecal sample is clear.", done=(date(2026, 4, 4), "10:50", "SUP")),
    _Move(decided=date(2026, 3, 1), on=date(2026, 4, 12), start="", end="Q1", who=("BL-104",),
          note="Back from its loan.", done=(date(2026, 4, 11), "15:20", "SUP")),
    _Move(decided=date(2026, 3, 22), on=date(2026, 5, 1), start="B2", end="P3", who=MAPS,
          done=(date(2026, 5, 1), "10:05", "K1")),
    _Move(decided=date(2026, 4, 11), on=date(2026, 7, 11), start="Q1", end="P1", who=("BL-104",),
          done=(date(2026, 7, 11), "10:10", "SUP")),
    _Move(decided=date(2026, 8, 30), on=date(2026, 10, 24), start="P3", end="B2", who=MAPS,
          note="A day early: nobody is here on the Sunday."),
)
# decided, where, from, to, and when it was said to have begun
_RESTS = (
    (date(2025, 9, 28), "P1", date(2025, 11, 2), date(2026, 3, 22), date(2025, 11, 2)),
    (date(2025, 9, 28), "P2", date(2025, 11, 2), date(2026, 3, 22), date(2025, 11, 2)),
    (date(2025, 9, 28), "P4", date(2025, 11, 22), date(2026, 3, 8), date(2025, 11, 20)),
    (date(2026, 9, 20), "P1", date(2026, 11, 1), date(2027, 3, 21), None),
    (date(2026, 9, 20), "P2", date(2026, 11, 1), date(2027, 3, 21), None),
)
# fmt: on


def planned_tables() -> Tables:
    return {
        "planned_moves": [r for move in _MOVES for r in _move_rows(move)],
        "planned_seasons": [r for rest in _RESTS for r in _rest_rows(*rest)],
    }


def _move_rows(move: _Move) -> list[Row]:
    key = ("planned move", move.start or "outside", move.on)
    said = {"from_enclosure": move.start, "to_enclosure": move.end, "planned_on": move.on, "n_animals": None}
    rows = [
        event(
            *key, at=clock(move.decided, "17:35"), entered=clock(move.decided, "17:36"), by="SUP", how="form", animal=animal,
            mover=n, state="ahead", note=move.note, **said,
        )
        for n, animal in enumerate(move.who, 1)
    ]  # fmt: skip
    if move.done is not None:
        day, hhmm, by = move.done
        rows += [
            event(
                *key, "done", at=clock(move.decided, "17:35"), entered=clock(day, hhmm), by=by, how="form", animal=animal,
                mover=n, state="done", note=move.note, supersedes=entry_id(*key), reason=f"moved to {move.end}" if move.end else "done",
                **said,
            )
            for n, animal in enumerate(move.who, 1)
        ]  # fmt: skip
    return rows


def _rest_rows(decided: date, code: str, first: date, last: date, begun: date | None) -> list[Row]:
    key = ("planned rest", code, first)
    at = clock(decided, "17:40")
    said = {"enclosure": code, "kind": "brumation", "from_on": first, "to_on": last}
    rows = [event(*key, at=at, entered=clock(decided, "17:41"), by="SUP", how="form", state="ahead", **said)]
    if begun is not None:
        rows.append(
            event(
                *key, "begun", at=at, entered=clock(begun, "17:05"), by="SUP", how="form", state="done", supersedes=entry_id(*key),
                reason="begun", **said,
            )
        )  # fmt: skip
    return rows
