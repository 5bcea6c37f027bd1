"""The supervisor's list: which filters need you, why, and how sure; most urgent first. One stored answer per filter, never the records."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from enclosures.boards.drawings import drawing_of
from enclosures.boards.reading_first import ReadingFirst, reading_first
from enclosures.boards.stored_outlook import (
    OutlookWords,
    due_fill_of,
    fill_of,
    has_doubtful_meals,
    outlook_words,
    stored_outlook,
)
from enclosures.boards.track_record import load_record_lines
from enclosures.figures.fillbar import AXIS_END, fillbar_svg
from enclosures.figures.section import section_svg
from enclosures.models import Facility, Filter, FilterBuild, FilterKind, FilterOutlook
from enclosures.verdicts.words import Band, capital, count_words, kept_together, listed, percent_words

TO_EMPTY = (Band.ACT, Band.OVERDUE)
OF_THE_SEASON = (
    "Water is",
    "Winter is",
    "Nesting begins",
    "They are in winter",
    "Females are",
)  # not what befalls one tank alone


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterRow:
    """One filter. `label` is what the list calls it: the enclosure's code, or the filter's where one enclosure has several.
    `own_due` is said beside the bar when its due line is not the list's."""

    code: str
    label: str
    enclosure: str
    place: str
    words: OutlookWords
    bar: str
    thumb: str
    own_due: str
    score: str
    has_measures: bool = True  # an as-built of today is on record
    record: str = ""  # how its last forecasts turned out, once any has come due

    @property
    def advice(self) -> str:
        """What the row's one link offers: enter its measures, empty it, read the flow where signals disagree, take a sounding, or nothing."""
        if not self.has_measures:
            return "measures"
        if self.words.pinned:
            return "flow"
        if self.words.is_to_wait:
            return ""
        if self.words.wants_emptying and self.words.band in TO_EMPTY:
            return "cleanout"
        return "sounding" if self.words.band.needs_you else ""


@dataclass(frozen=True, kw_only=True, slots=True)
class FiltersThatNeedYou:
    """`stamp` changes when any answer does: the page asks with it and is told when there is nothing new."""

    need: tuple[FilterRow, ...]
    fine: tuple[FilterRow, ...]
    pinned: tuple[FilterRow, ...]
    without_void: tuple[str, ...]
    lead: str
    ready: str
    season: str
    due_line: str
    due_at: str
    full_at: str
    as_of: date | None
    stamp: str
    read_first: ReadingFirst | None
    has_doubtful_meals: bool

    @property
    def n_filters(self) -> int:
        return len(self.need) + len(self.fine)

    @property
    def is_empty(self) -> bool:
        return not self.n_filters and not self.without_void

    @property
    def without_void_words(self) -> str:
        n = len(self.without_void)
        return f"{listed(self.without_void)} {'runs on a sponge' if n == 1 else 'run on sponges'}: no void, so nothing to forecast."


def build_filters_that_need_you(*, facility: Facility, today: date) -> FiltersThatNeedYou:
    """A constant number of queries: filters with place and answer, their builds, the builds' layers, what was kept of past forecasts."""
    filters = list(
        Filter.objects.in_use_on(today)
        .filter(enclosure__facility=facility)
        .with_place()
        .select_related("outlook")
        .defer("outlook__trace")
        .prefetch_related(Prefetch("builds", FilterBuild.objects.prefetch_related("layers")))
    )
    with_void = [each for each in filters if each.kind == FilterKind.UPFLOW]
    n_of_place = Counter(each.enclosure_id for each in with_void)
    dues = {each.pk: _due_fill(each, facility=facility, today=today) for each in with_void}
    usual = Counter(dues.values()).most_common(1)[0][0] if dues else facility.default_due_fill
    labels = {each.pk: each.enclosure.code if n_of_place[each.enclosure_id] == 1 else each.code for each in with_void}
    records = load_record_lines(with_void, only_scored=True)
    rows = [
        _row(
            each,
            label=labels[each.pk],
            due_fill=dues[each.pk],
            usual=usual,
            record=records.get(each.pk, ""),
            today=today,
        )
        for each in sorted(with_void, key=_urgency)
    ]
    need = tuple(row for row in rows if row.words.band.needs_you)
    return FiltersThatNeedYou(
        need=need,
        fine=tuple(row for row in rows if not row.words.band.needs_you),
        pinned=tuple(row for row in rows if row.words.pinned),
        without_void=tuple(sorted({each.enclosure.code for each in filters if each not in with_void})),
        lead=lead_words(n_need=len(need), n_all=len(rows)),
        ready=ready_words(need),
        season=season_words(need),
        due_line=kept_together(f"due {percent_words(usual)}"),
        due_at=f"{usual / AXIS_END * 100:.2f}%",
        full_at=f"{1 / AXIS_END * 100:.2f}%",
        as_of=max((row.words.as_of for row in rows if row.words.as_of), default=None),
        stamp=_stamp(with_void, today=today),
        has_doubtful_meals=any(has_doubtful_meals(stored_outlook(each)) for each in with_void),
        read_first=reading_first(with_void, labels=labels, today=today),
    )


def lead_words(*, n_need: int, n_all: int) -> str:
    """'Three of eight.'"""
    if not n_all:
        return ""
    if not n_need:
        return "None today." if n_all > 1 else "Not today."
    if n_need == n_all:
        return "All of them." if n_all > 1 else "The only one."
    return f"{capital(count_words(n_need))} of {count_words(n_all)}."


def ready_words(need: tuple[FilterRow, ...]) -> str:
    """'B2 can be emptied now.' Where to send somebody, said when the season keeps others of those that need you shut."""
    ready = [row.label for row in need if row.words.wants_emptying]
    if not ready or not any(row.words.is_to_wait for row in need):
        return ""
    return kept_together(f"{listed(ready)} can be emptied now.")


def season_words(need: tuple[FilterRow, ...]) -> str:
    """'At P1 and P4 water is 15 °C and falling: about twelve days are left.' What the season says of most that need you."""
    said = [row.words.season for row in need if row.words.season.startswith(OF_THE_SEASON)]
    if not said:
        return ""
    season, _ = Counter(said).most_common(1)[0]
    places = [row.label for row in need if row.words.season == season]
    return kept_together(f"At {listed(places)} {season[0].lower()}{season[1:]}")


def _due_fill(each: Filter, *, facility: Facility, today: date) -> float:
    return due_fill_of(stored_outlook(each), each.build_on(today), usual=facility.default_due_fill)


def _urgency(each: Filter) -> tuple[int, float, str]:
    """Bands first, score second; what was never computed stands with the unknown."""
    row = stored_outlook(each)
    if row is None:
        return (Band.UNKNOWN.order, 0.0, each.code)
    return (Band.named(row.band).order, -row.score, each.code)


def _row(each: Filter, *, label: str, due_fill: float, usual: float, record: str, today: date) -> FilterRow:
    stored = stored_outlook(each)
    build = each.build_on(today)
    fill = fill_of(stored)
    thumb = ""
    if build is not None:
        section = drawing_of(build, code=label, enclosure=each.enclosure, due_fill=due_fill, sludge=fill)
        thumb = section_svg(section, "thumb")
    return FilterRow(
        code=each.code,
        label=label,
        enclosure=each.enclosure.code,
        place=each.enclosure.name or capital(each.enclosure.get_kind_display()),
        words=outlook_words(stored, today=today, due_fill=due_fill),
        bar=fillbar_svg(fill, due_fill),
        thumb=thumb,
        own_due=kept_together(f"due {percent_words(due_fill)}") if due_fill != usual else "",
        score=f"{stored.score:.0f}" if stored is not None else "",
        has_measures=build is not None,
        record=record,
    )


def _stamp(filters: list[Filter], *, today: date) -> str:
    rows: list[FilterOutlook] = [row for row in map(stored_outlook, filters) if row is not None]
    newest = max((row.computed_at.timestamp() for row in rows), default=0.0)
    return f"{today:%Y%m%d}-{len(filters)}-{newest:.0f}-{sum(row.is_stale for row in rows)}"
