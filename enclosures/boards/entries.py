"""The latest entries of one enclosure, all kinds merged, newest first; what was put right stands struck through beside what holds now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from enclosures.boards.entry_words import Said, grams, said, when_said
from enclosures.models import (
    Cleanout,
    Enclosure,
    Feeding,
    FlowCheck,
    HealthNote,
    LoggedRecord,
    Measurement,
    Moment,
    Outage,
    RoundCheck,
    RoundSkip,
    Sounding,
    Stay,
    Upkeep,
    WaterChange,
    WaterTest,
)
from enclosures.verdicts.words import count_words, day_words, kept_together, listed

FIRST_SHOWN = 12
MOST_SHOWN = 400
WEIGHED_BY_NAME = 4
SAME_VISIT = timedelta(minutes=15)

Change = Literal["", "undo", "correct"]  # what this person may do to an entry now


def nothing(record: LoggedRecord) -> Change:
    return ""


@dataclass(frozen=True, kw_only=True, slots=True)
class EntryLine:
    """`was` the struck version, empty when nothing was put right; `why` who put it right, when and why.
    `table` and `entry` name the row, empty for lines that are none (moves, several weighings in one)."""

    at: datetime
    when: str
    iso: str
    what: str
    came: str
    who: str
    was: str = ""
    why: str = ""
    late: str = ""
    note: str = ""
    table: str = ""
    entry: str = ""
    change: Change = ""
    also: tuple[EntryLine, ...] = ()  # a temperature read on the same visit


@dataclass(frozen=True, kw_only=True, slots=True)
class Entries:
    lines: tuple[EntryLine, ...]
    more: int  # how many to ask for to see earlier ones; 0 when these are all


def build_entries(
    *,
    enclosure: Enclosure,
    today: date,
    shown: int = FIRST_SHOWN,
    may: Callable[[LoggedRecord], Change] = nothing,
    shows_restricted: bool = False,
) -> Entries:
    """A constant number of queries, whatever is shown. Restricted health notes only with `shows_restricted`."""
    wanted = shown + 1
    teller = _Teller(today=today, zone=enclosure.facility.zone, may=may)
    lines: list[EntryLine] = []
    for rows in _heads(enclosure, shows_restricted=shows_restricted):
        lines += [teller.line(record) for record in rows[:wanted]]
    lines += _outages(enclosure, teller, wanted=wanted)
    lines += _weighings(enclosure, today=today, wanted=wanted)
    lines += _moves(enclosure, today=today, wanted=wanted)
    lines = _by_visit(sorted(lines, key=lambda line: line.at, reverse=True))
    more = min(shown * 3, MOST_SHOWN) if len(lines) > shown and shown < MOST_SHOWN else 0
    return Entries(lines=tuple(lines[:shown]), more=more)


def _by_visit(lines: list[EntryLine]) -> list[EntryLine]:
    """A bare temperature read within minutes of something else by the same person stands under that, not on a line of its own."""
    kept: list[EntryLine] = []
    loose = [line for line in lines if _is_bare_temperature(line)]
    for line in (line for line in lines if not _is_bare_temperature(line)):
        own = [t for t in loose if t.who == line.who and abs(t.at - line.at) <= SAME_VISIT and line.table == "feeding"]
        loose = [t for t in loose if t not in own]
        kept.append(replace(line, also=tuple(own)) if own else line)
    return sorted([*kept, *loose], key=lambda line: line.at, reverse=True)


def _is_bare_temperature(line: EntryLine) -> bool:
    return line.table == "watertest" and line.what.startswith("Water ") and not (line.was or line.why or line.note)


def _heads(enclosure: Enclosure, *, shows_restricted: bool) -> list[QuerySet[Any]]:
    """The newest version of every entry: what holds now, withdrawals, which show what they took back, and what was moved away."""

    def newest(model: type[LoggedRecord], *parts: str, **of: Any) -> QuerySet[Any]:
        is_newest = Q(superseded_by__isnull=True)
        related = ["supersedes", "superseded_by"]
        if "enclosure" in of:
            is_newest |= ~Q(superseded_by__enclosure=enclosure)
            related += ["supersedes__enclosure", "superseded_by__enclosure"]
        heads = model.all_rows.filter(is_newest, **of).select_related(*related)
        both = [path for part in parts for path in (part, f"supersedes__{part}")]
        return heads.prefetch_related(*both).newest_first()

    here: dict[str, Any] = {"enclosure": enclosure}
    on: dict[str, Any] = {"filter__enclosure": enclosure}
    notes = newest(HealthNote, **here)
    return [
        newest(Feeding, "lines__food_item", **here),
        newest(WaterTest, "readings", **here),
        newest(WaterChange, "enclosure", **here),
        newest(RoundCheck, **here),
        newest(RoundSkip, **here),
        notes if shows_restricted else notes.filter(restricted=False),
        newest(Sounding, "readings", "filter__builds", **on),
        newest(FlowCheck, "filter__builds", **on),
        newest(Cleanout, **on),
        newest(Upkeep, **on),
    ]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Teller:
    """Makes lines of log rows, as of a day at the facility."""

    today: date
    zone: ZoneInfo
    may: Callable[[LoggedRecord], Change]

    def line(self, record: LoggedRecord) -> EntryLine:
        now, old = said(record), record.supersedes
        was = why = ""
        newer = getattr(record, "superseded_by", None)
        if newer is not None:  # only an entry that was logged at the wrong place gets here
            now, was, old = Said("", ""), now.what, None
            why = self._why(newer, did=f"moved to {newer.enclosure.code}")
        elif old is not None:
            why = self._why(record)
            was = said(old).what
            if record.withdrawn:
                now = Said("", "")
            elif was == now.what:
                was = self._what_else_was(old, record)
        return EntryLine(
            at=record.occurred_at,
            when=when_said(record.moment, self.today),
            iso=record.moment.text(),
            what=now.what,
            came=now.came,
            who=(old.entered_by if old is not None else "") or record.entered_by,
            was=was,
            why=why,
            late=self._late(old or record),
            note=record.note,
            table=str(record._meta.model_name),
            entry=str(record.entry),
            change=self.may(record) if not record.withdrawn and newer is None else "",
        )

    def _day(self, at: datetime) -> str:
        return day_words(at.astimezone(self.zone).date(), self.today)

    def _why(self, record: LoggedRecord, *, did: str = "") -> str:
        did = did or ("taken back" if record.withdrawn else "put right")
        said_why = f"{did} by {record.entered_by or 'somebody'} on {self._day(record.entered_at)}"
        return kept_together(f"{said_why}: {record.reason}" if record.reason else said_why)

    def _what_else_was(self, old: LoggedRecord, new: LoggedRecord) -> str:
        """The line itself reads the same: another place, another time, or only a detail was put right."""
        if getattr(old, "enclosure_id", None) != getattr(new, "enclosure_id", None):
            return f"logged at {old.enclosure.code}"  # type: ignore[attr-defined]
        return when_said(old.moment, self.today) if old.moment != new.moment else ""

    def _late(self, record: LoggedRecord) -> str:
        """Said when an entry reached the record a day or more after it happened."""
        if record.how == "late":
            return kept_together(f"from memory, entered {self._day(record.entered_at)}")
        if (record.entered_at - record.occurred_at).days >= 1 and record.how in ("form", "round", "paper"):
            return kept_together(f"entered {self._day(record.entered_at)}")
        return ""


def _outages(enclosure: Enclosure, teller: _Teller, *, wanted: int) -> list[EntryLine]:
    """Outages name their enclosures in a text; empty means everywhere."""
    rows = Outage.all_rows.filter(superseded_by__isnull=True).select_related("supersedes", "superseded_by")
    rows = rows.filter(Q(enclosures="") | Q(enclosures__contains=enclosure.code)).newest_first()[: 2 * wanted]
    here = [row for row in rows if not row.enclosures or enclosure.code in row.enclosures.split()]
    return [teller.line(row) for row in here[:wanted]]


def _weighings(enclosure: Enclosure, *, today: date, wanted: int) -> list[EntryLine]:
    """Weighings of animals while they lived here, one line for a day's."""
    stay = Stay.objects.filter(
        Q(to_at__isnull=True) | Q(to_at__gte=OuterRef("occurred_at")),
        animal=OuterRef("animal"),
        enclosure=enclosure,
        from_at__lte=OuterRef("occurred_at"),
    )
    rows = Measurement.objects.filter(Exists(stay)).select_related("animal").newest_first()[: wanted * 4]
    by_day: dict[tuple[date, str], list[Measurement]] = defaultdict(list)
    for row in rows:
        by_day[row.occurred_on, row.entered_by].append(row)
    lines = []
    for (_, who), weighed in by_day.items():
        weighed.sort(key=lambda row: row.animal.code)
        each = [f"{row.animal.code} {grams(row.mass_g)}" for row in weighed if row.mass_g is not None]
        what = (
            f"Weighed {listed(each[:WEIGHED_BY_NAME])}"
            if each
            else f"Measured {listed(row.animal.code for row in weighed)}"
        )
        if len(each) > WEIGHED_BY_NAME:
            what = f"Weighed {count_words(len(each))}: {', '.join(each[:WEIGHED_BY_NAME])} …"
        newest = max(weighed, key=lambda row: row.occurred_at)
        lines.append(
            EntryLine(
                at=newest.occurred_at,
                when=when_said(newest.moment, today),
                iso=newest.moment.text(),
                what=kept_together(what),
                came="",
                who=who,
            )
        )
    return lines[:wanted]


def _moves(enclosure: Enclosure, *, today: date, wanted: int) -> list[EntryLine]:
    """Who came and who went, one line for those who moved together."""
    stays = enclosure.stays.select_related("animal")
    came, went = defaultdict(list), defaultdict(list)
    for stay in stays.order_by("-from_at")[: wanted * 4]:
        came[stay.from_at].append(stay)
    for stay in stays.filter(to_at__isnull=False).order_by("-to_at")[: wanted * 4]:
        went[stay.to_at].append(stay)
    lines = [_move_line(at, group, "came in", today=today) for at, group in came.items()]
    lines += [_move_line(at, group, "left", today=today) for at, group in went.items()]
    return sorted(lines, key=lambda line: line.at, reverse=True)[:wanted]


def _move_line(at: datetime, group: list[Stay], verb: str, *, today: date) -> EntryLine:
    is_in = verb == "came in"
    first = group[0]
    moment = Moment.stored(
        at=at,
        on=first.from_on if is_in else first.to_on or first.from_on,
        offset_min=(first.from_offset_min if is_in else first.to_offset_min) or 0,
        precision=(first.from_precision if is_in else first.to_precision) or "minute",
    )
    names = [stay.animal.code for stay in sorted(group, key=lambda stay: stay.animal.code)]
    who = listed(names) if len(names) <= WEIGHED_BY_NAME else f"{count_words(len(names)).capitalize()} animals"
    return EntryLine(
        at=at,
        when=when_said(moment, today),
        iso=moment.text(),
        what=f"{who} {verb}",
        came=first.reason if is_in else "",
        who=first.entered_by,
    )
