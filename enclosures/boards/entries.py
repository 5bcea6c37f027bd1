"""The latest entries of one enclosure, all kinds merged, newest first; what was put right stands struck through beside what holds now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal, NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, prefetch_related_objects

from enclosures.boards.entry_words import Said, said, when_said
from enclosures.boards.photos import PhotoShown, photos_of
from enclosures.estimates.units import recorded_quantity
from enclosures.models import (
    PHOTO_TABLES,
    Cleanout,
    Dose,
    Enclosure,
    Feeding,
    FeedingLine,
    Filter,
    FilterBuild,
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
    photos: tuple[PhotoShown, ...] = ()
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
    """First the times of the newest of every kind, then the entries that are shown, and only those. Restricted health notes only
    with `shows_restricted`.

    The number of queries depends on how many kinds of entry are shown, not on how many entries there are.
    """
    wanted = shown + 1
    lines = [
        *_weighings(enclosure, today=today, wanted=wanted),
        *_moves(enclosure, today=today, wanted=wanted),
    ]
    heads = [(kind, kind.newest(wanted)) for kind in _kinds(enclosure, shows_restricted=shows_restricted)]
    since = _since(heads, [line.at for line in lines], wanted=wanted)
    teller = _Teller(today=today, zone=enclosure.facility.zone, may=may)
    found = [_Found(kind, [key for key in keys if since is None or key.at >= since]) for kind, keys in heads]
    _stand_on_filters(found)
    for each in found:
        lines += [teller.line(*versions) for versions in each.versions(enclosure)]
    lines = _by_visit(sorted(lines, key=lambda line: line.at, reverse=True))
    more = min(shown * 3, MOST_SHOWN) if len(lines) > shown and shown < MOST_SHOWN else 0
    return Entries(lines=_with_photos(lines[:shown], place=enclosure.code), more=more)


def _with_photos(lines: list[EntryLine], *, place: str) -> tuple[EntryLine, ...]:
    """What was taken back has none to show: its line is the withdrawal's."""
    photos = photos_of([line.entry for line in lines if line.table in PHOTO_TABLES], place=place)
    return tuple(replace(line, photos=photos[line.entry]) if line.entry in photos else line for line in lines)


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


class _Key(NamedTuple):
    """Where one entry stands: its newest version, the one that put right, and, where it was moved away, the one after."""

    at: datetime
    pk: int
    old: int | None
    newer: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class _Kind:
    """One log table: the newest version of every entry (what holds now, withdrawals, which show what they took back, and what was
    moved away), and the parts its lines read."""

    rows: QuerySet[Any]
    parts: tuple[str | Prefetch, ...] = ()
    is_here: Callable[[str], bool] | None = None  # outages name their enclosures in a text

    def newest(self, wanted: int) -> list[_Key]:
        """Times and ids only: a whole row with the versions before and after it takes ten times as long to ask for."""
        newest_first = self.rows.newest_first()
        if self.is_here is None:
            columns = ("occurred_at", "pk", "supersedes", "superseded_by")
            return [_Key(*row) for row in newest_first.values_list(*columns)[:wanted]]
        rows = newest_first.values_list("enclosures", "occurred_at", "pk", "supersedes", "superseded_by")
        return [_Key(*row[1:]) for row in rows[: 2 * wanted] if self.is_here(row[0])][:wanted]


def _kinds(enclosure: Enclosure, *, shows_restricted: bool) -> list[_Kind]:
    def here(model: type[LoggedRecord], *parts: str | Prefetch) -> _Kind:
        is_newest = Q(superseded_by__isnull=True) | ~Q(superseded_by__enclosure=enclosure)
        return _Kind(rows=model.all_rows.filter(is_newest, enclosure=enclosure), parts=parts)

    def on_filters(model: type[LoggedRecord], *parts: str) -> _Kind:
        rows = model.all_rows.filter(superseded_by__isnull=True, filter__enclosure=enclosure)
        return _Kind(rows=rows, parts=parts)

    notes = here(HealthNote)
    # Those of the whole facility happened to a place only once there was something in it.
    was_there = Q(
        Exists(Stay.objects.filter(enclosure=enclosure, from_at__lte=OuterRef("occurred_at")))
        | Exists(FilterBuild.objects.filter(filter__enclosure=enclosure, valid_from__lte=OuterRef("occurred_on")))
        | Exists(Feeding.objects.filter(enclosure=enclosure, occurred_on__lte=OuterRef("occurred_on")))
    )
    outages = Outage.all_rows.filter(superseded_by__isnull=True)
    return [
        here(Feeding, Prefetch("lines", FeedingLine.objects.select_related("food_item"))),
        here(WaterTest, "readings"),
        here(WaterChange),
        here(RoundCheck),
        here(RoundSkip),
        here(Dose, "treatment__animal"),
        notes if shows_restricted else replace(notes, rows=notes.rows.filter(restricted=False)),
        on_filters(Sounding, "readings"),
        on_filters(FlowCheck),
        on_filters(Cleanout),
        on_filters(Upkeep),
        _Kind(
            rows=outages.filter(Q(was_there, enclosures="") | Q(enclosures__contains=enclosure.code)),
            is_here=lambda codes: not codes or enclosure.code in codes.split(),
        ),
    ]


def _since(heads: list[tuple[_Kind, list[_Key]]], others_at: list[datetime], *, wanted: int) -> datetime | None:
    """The time back to which entries are needed; None: all of them. Water tests do not count: a temperature may come to stand
    under a feeding of the same visit."""
    counted = [key.at for kind, keys in heads if kind.rows.model is not WaterTest for key in keys]
    at = sorted([*counted, *others_at], reverse=True)
    return at[wanted - 1] - SAME_VISIT if len(at) >= wanted else None


class _Found:
    """The rows of one kind that are shown, with the versions before and after them and all their parts."""

    def __init__(self, kind: _Kind, keys: list[_Key]) -> None:
        self.keys = keys
        ids = {pk for key in keys for pk in (key.pk, key.old, key.newer) if pk is not None}
        rows = kind.rows.model.all_rows.prefetch_related(*kind.parts)
        self.rows: dict[int, Any] = rows.in_bulk(ids) if ids else {}

    def versions(self, enclosure: Enclosure) -> Iterator[tuple[Any, Any, Any]]:
        """Each entry with the version it put right and the one after it, or None; oldest ids and places as the keys have them."""
        elsewhere = [row for row in self.rows.values() if getattr(row, "enclosure_id", enclosure.pk) != enclosure.pk]
        prefetch_related_objects(elsewhere, "enclosure")
        for row in self.rows.values():
            if getattr(row, "enclosure_id", None) == enclosure.pk:
                row.enclosure = enclosure
        for key in self.keys:
            yield self.rows[key.pk], self.rows.get(key.old), self.rows.get(key.newer)


def _stand_on_filters(found: list[_Found]) -> None:
    """Gives soundings and flow checks their filters with builds, for all of them at once."""
    rows = [row for each in found for row in each.rows.values() if isinstance(row, Sounding | FlowCheck)]
    ids = {row.filter_id for row in rows}
    filters = Filter.objects.prefetch_related("builds").in_bulk(ids) if ids else {}
    for row in rows:
        row.filter = filters[row.filter_id]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Teller:
    """Makes lines of log rows, as of a day at the facility."""

    today: date
    zone: ZoneInfo
    may: Callable[[LoggedRecord], Change]

    def line(self, record: Any, old: Any, newer: Any) -> EntryLine:
        """`old` is what it put right, `newer` what came after it; None where there is none."""
        now, was, why = said(record), "", ""
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


class _Weighing(NamedTuple):
    at: datetime
    on: date
    offset_min: int
    precision: str
    who: str
    animal: str
    mass_g: float | None

    @property
    def moment(self) -> Moment:
        return Moment.stored(at=self.at, on=self.on, offset_min=self.offset_min, precision=self.precision)


WEIGHING_COLUMNS = (
    "occurred_at", "occurred_on", "utc_offset_min", "precision", "entered_by", "animal__code", "mass_g",
)  # fmt: skip


def _weighings(enclosure: Enclosure, *, today: date, wanted: int) -> list[EntryLine]:
    """Weighings of animals while they lived here, one line for a day's."""
    stay = Stay.objects.filter(
        Q(to_at__isnull=True) | Q(to_at__gte=OuterRef("occurred_at")),
        animal=OuterRef("animal"),
        enclosure=enclosure,
        from_at__lte=OuterRef("occurred_at"),
    )
    lived_here = Stay.objects.filter(enclosure=enclosure).values("animal")
    rows = Measurement.objects.filter(Exists(stay), animal__in=lived_here).newest_first()  # the latter for the index
    by_day: dict[tuple[date, str], list[_Weighing]] = defaultdict(list)
    for row in map(_Weighing._make, rows.values_list(*WEIGHING_COLUMNS)[: wanted * 4]):
        by_day[row.on, row.who].append(row)
    lines = []
    for (_, who), weighed in by_day.items():
        weighed.sort(key=lambda row: row.animal)
        each = [f"{row.animal} {recorded_quantity(row.mass_g, 'g')}" for row in weighed if row.mass_g is not None]
        what = (
            f"Weighed {listed(each[:WEIGHED_BY_NAME])}" if each else f"Measured {listed(row.animal for row in weighed)}"
        )
        if len(each) > WEIGHED_BY_NAME:
            what = f"Weighed {count_words(len(each))}: {', '.join(each[:WEIGHED_BY_NAME])} …"
        newest = max(weighed, key=lambda row: row.at)
        lines.append(
            EntryLine(
                at=newest.at,
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
