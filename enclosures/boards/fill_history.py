"""The fill of one void over time: the chart, the readings behind it, and the same in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from enclosures.evidence.filters import KnownFilter
from enclosures.figures.void_fill import (
    CleanoutMark,
    ReadingMark,
    VoidFillRow,
    void_fill,
    void_fill_description,
    void_fill_rows,
)
from enclosures.forecast.inputs import CleanoutDone, SeasonSpan, Trace
from enclosures.models import FilterOutlook
from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import day_words, kept_together

USUAL_REST = timedelta(days=140)  # November to March: common practice, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class HistoryRow:
    iso: str
    when: str
    what: str
    depth: str
    fill: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FillHistory:
    """`figure` is plain JSON for the page's script; `rows` say the same for those who cannot see or run it."""

    key: str
    code: str
    since: str
    figure: dict[str, Any]
    description: str
    rows: tuple[HistoryRow, ...]
    has_trace: bool

    @property
    def is_empty(self) -> bool:
        return not self.rows and not self.has_trace

    @property
    def has_disputed(self) -> bool:
        """A reading taken while signals disagreed is drawn as a cross, which then needs its word."""
        return any("signals disagreed" in row.what for row in self.rows)


def build_fill_history(
    *, key: str, code: str, known: KnownFilter, stored: FilterOutlook | None, due_fill: float, today: date
) -> FillHistory:
    """From the evidence already loaded and the stored trace; no query."""
    evidence = known.evidence
    trace = since_records_began(trace_of(stored), known)
    readings = _readings(known)
    cleanouts = tuple(_cleanout_mark(done, known) for done in evidence.cleanouts)
    rests = winter_rests(evidence.seasons, today=today)
    figure = void_fill(trace, readings=readings, cleanouts=cleanouts, rests=rests, due_fill=due_fill, today=today)
    days = [*(mark.on for mark in readings), *(done.on for done in cleanouts), *(trace.days if trace else ())]
    return FillHistory(
        key=key,
        code=code,
        since=str(min(days).year) if days else "",
        figure=figure,
        description=kept_together(void_fill_description(trace, readings, due_fill=due_fill)),
        rows=tuple(_row(row, today) for row in void_fill_rows(readings, cleanouts)),
        has_trace=trace is not None,
    )


def trace_of(stored: FilterOutlook | None) -> Trace | None:
    """The stored trace as the forecast's own dataclass."""
    kept: dict[str, Any] = stored.trace if stored is not None else {}
    if not kept.get("days"):
        return None
    return Trace(
        days=tuple(date.fromisoformat(day) for day in kept["days"]),
        p10=tuple(kept["p10"]),
        p50=tuple(kept["p50"]),
        p90=tuple(kept["p90"]),
        is_ahead=tuple(bool(ahead) for ahead in kept["is_ahead"]),
    )


def winter_rests(seasons: tuple[SeasonSpan, ...], *, today: date) -> tuple[Span, ...]:
    """For the ground of the chart. A rest still open is drawn as long as the one before it, at least to today."""
    rests = []
    usual = USUAL_REST
    for span in seasons:
        if span.kind != "brumation":
            continue
        if span.to_on is not None:
            usual = span.to_on - span.from_on
        rests.append(Span(from_on=span.from_on, to_on=span.to_on or max(today, span.from_on + usual)))
    return tuple(rests)


def since_records_began(trace: Trace | None, known: KnownFilter) -> Trace | None:
    """Years before the first entry are guesswork drawn large: the picture begins where the records do."""
    evidence = known.evidence
    days = [
        *filter(None, [known.first_fed_on]),
        *(seen.on for seen in evidence.soundings[:1]),
        *(done.on for done in evidence.cleanouts[:1]),
    ]
    if trace is None or not days:
        return trace
    first = next((i for i, day in enumerate(trace.days) if day >= min(days)), 0)
    if trace.is_ahead[first]:
        return trace
    return Trace(
        days=trace.days[first:],
        p10=trace.p10[first:],
        p50=trace.p50[first:],
        p90=trace.p90[first:],
        is_ahead=trace.is_ahead[first:],
    )


def _readings(known: KnownFilter) -> tuple[ReadingMark, ...]:
    """Soundings, and the depths read before and after cleanouts, each against the build of its day."""
    marks = []
    for seen in known.evidence.soundings:
        build = known.evidence.build_on(seen.on)
        if build is None:
            continue
        depth = sum(seen.depths_mm) / len(seen.depths_mm)
        marks.append(
            ReadingMark(
                on=seen.on,
                fill=depth / build.void_height_mm,
                depth_mm=depth,
                qualifier=seen.qualifier,
                is_disputed=seen.is_disputed,
            )
        )
    for done in known.evidence.cleanouts:
        build = known.evidence.build_on(done.on)
        if build is None:
            continue
        for kind, depth_mm in (("before", done.depth_before_mm), ("after", done.depth_after_mm)):
            if depth_mm is not None:
                marks.append(
                    ReadingMark(
                        on=done.on,
                        fill=depth_mm / build.void_height_mm,
                        depth_mm=depth_mm,
                        kind=kind,  # type: ignore[arg-type]
                        qualifier=done.depth_before_qualifier if kind == "before" else "",
                    )
                )
    return tuple(sorted(marks, key=lambda mark: mark.on))


def _cleanout_mark(done: CleanoutDone, known: KnownFilter) -> CleanoutMark:
    build = known.evidence.build_on(done.on)
    return CleanoutMark(
        on=done.on,
        outcome=done.outcome,
        depth_before_mm=done.depth_before_mm,
        is_before_at_grid=done.depth_before_qualifier == ">=",
        depth_after_mm=done.depth_after_mm,
        void_height_mm=build.void_height_mm if build else None,
    )


def _row(row: VoidFillRow, today: date) -> HistoryRow:
    return HistoryRow(
        iso=row.on.isoformat(),
        when=kept_together(day_words(row.on, today)),
        what=row.what,
        depth=kept_together(row.depth),
        fill=kept_together(row.fill),
    )
