"""Cutting the record at a moment, and moving all of it in time by whole weeks so that weekdays and seasons stay."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from enclosures.scenarios.rows import AS_OF, ZONE, Row, Tables, stamp

WEEKS_OF_A_YEAR = 364
_PLANNED = ("planned_moves", "planned_seasons")  # their own days may lie ahead
_DAY_COLUMNS = ("valid_from", "hatched_from", "hatched_to")


def shift_days(today: date) -> int:
    """The largest multiple of 364 days that keeps AS_OF in the past (or today)."""
    return (today - AS_OF).days // WEEKS_OF_A_YEAR * WEEKS_OF_A_YEAR


def shifted(tables: Tables, *, by_days: int) -> Tables:
    """Every date and time of every row moved; a wall-clock time stays that time, with the new day's offset."""
    if by_days == 0:
        return tables
    return {name: [_shifted_row(r, by_days) for r in rows] for name, rows in tables.items()}


def _shifted_row(r: Row, by_days: int) -> Row:
    return {name: _shifted_cell(text, by_days) if text and is_time(name) else text for name, text in r.items()}


def is_time(column: str) -> bool:
    return column.endswith(("_on", "_at")) or column in _DAY_COLUMNS


def _shifted_cell(text: str, by_days: int) -> str:
    by = timedelta(days=by_days)
    if len(text) == 10:
        return (date.fromisoformat(text) + by).isoformat()
    local = datetime.fromisoformat(text).astimezone(ZONE).replace(tzinfo=None) + by
    moved = local.replace(tzinfo=ZONE)
    return stamp(moved.astimezone(UTC).astimezone(ZONE))  # an hour the clocks skip becomes the next one


def known_by(tables: Tables, moment: datetime) -> Tables:
    """What had happened and been entered by the moment: later rows are gone, and what was still open then is open again."""
    cut = {name: [r for r in rows if not _is_later(name, r, moment)] for name, rows in tables.items()}
    cut["stays"] = [_reopened(r, "to_at", moment, also=("ended_entered_at",)) for r in cut["stays"]]
    cut["pump_fittings"] = [_reopened(r, "to_on", moment) for r in cut["pump_fittings"]]
    for name in ("seasons", "feeding_plans"):
        cut[name] = [_reopened(r, "to_on", moment) for r in cut.get(name, [])]
    found = {r["clutch"] for r in cut["clutches"]}
    cut["eggs"] = [_reopened_egg(r, moment) for r in cut["eggs"] if r["clutch"] in found]
    _drop_unborn(cut)
    _say_who_holds(cut)
    return cut


def _instant(text: str) -> datetime:
    if len(text) == 10:
        return datetime.combine(date.fromisoformat(text), datetime.min.time(), tzinfo=ZONE)
    return datetime.fromisoformat(text)


def _is_later(table: str, r: Row, moment: datetime) -> bool:
    begun = ("occurred_at", "entered_at", "from_at", "from_on", "valid_from", "found_on", "applied_on")
    if table in _PLANNED:
        begun = ("occurred_at", "entered_at")
    return any(r.get(name) and _instant(r[name]) > moment for name in begun)


def _reopened(r: Row, column: str, moment: datetime, *, also: tuple[str, ...] = ()) -> Row:
    if not r.get(column) or _instant(r[column]) <= moment:
        return r
    return r | dict.fromkeys((column, *also), "")


def _reopened_egg(r: Row, moment: datetime) -> Row:
    if not r["outcome_on"] or _instant(r["outcome_on"]) <= moment:
        return r
    return r | {"outcome": "incubating", "outcome_on": "", "animal": ""}


def _drop_unborn(tables: Tables) -> None:
    """Animals whose first stay lies later are not in the books yet."""
    here = {r["animal"] for r in tables["stays"]}
    for name in ("animals", "marks", "measurements"):
        tables[name] = [r for r in tables[name] if r["animal"] in here]


def _say_who_holds(tables: Tables) -> None:
    """The holder follows the last loan."""
    last: dict[str, Row] = {}
    for r in sorted(tables["transfers"], key=lambda r: r["occurred_at"]):
        last[r["animal"]] = r
    for r in tables["animals"]:
        went = last.get(r["animal"])
        if went and went["direction"] == "out":
            r["held_by"] = went["counterpart"]
            if went["kind"] != "loan_out":
                r["owner"] = went["counterpart"]
