"""How past forecasts turned out: every one that can be judged, how often each stated share was right, and beside them the best rule of thumb."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from enclosures.boards.track_record import load_past_forecasts
from enclosures.figures.said_and_came import said_and_came_svg
from enclosures.forecast.past_forecasts import (
    LEAST_FORECASTS,
    BesideRules,
    PastForecast,
    SaidInTenths,
    TrackRecord,
    early_words,
    record_line,
    track_record,
)
from enclosures.models import Facility, Filter
from enclosures.verdicts.words import MONTHS, capital, count_words, kept_together

CANNOT_TELL = {
    "cleaned": "cleaned before it was due, so we cannot tell",
    "unread": "emptied or rebuilt with no reading of the rod at the time, so we cannot tell",
}
LEANS = {
    "fair": "No share stands further off than luck alone would put it.",
    "early": "Voids came due later than we said, more often than luck explains: our forecasts run early.",
    "late": "Voids came due sooner than we said, more often than luck explains: our forecasts run late, so go by the early end of the range.",
    "narrow": "Voids came due outside our ranges more often than luck explains: take the ranges as too narrow.",
    "wide": "Voids came due near the middle of our ranges more often than luck explains: the ranges are wider than they need be.",
}
RULE_WORDS = {
    "fixed interval": "the same interval as last time",
    "straight line": "a straight line through the soundings",
    "feed of 90 days": "sludge per kilogram fed, at the last 90 days’ feeding",
    "feed of last year": "sludge per kilogram fed, at last year’s feeding",
}

DOUBTED = 3  # one left out for every three judged casts a doubt


@dataclass(frozen=True, kw_only=True, slots=True)
class ShareRow:
    said: str
    came: str
    right: str
    bar: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PastRow:
    """`off` is empty where it cannot be told; `is_inside` None then."""

    made: str
    made_iso: str
    said: str
    came: str
    off: str
    is_inside: bool | None


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterRecord:
    code: str
    label: str
    enclosure: str
    line: str
    rows: tuple[PastRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PastForecasts:
    record: TrackRecord
    lead: str
    example: str
    leaning: str
    doubt: str
    beside: str
    shares: tuple[ShareRow, ...]
    filters: tuple[FilterRecord, ...]
    left_out: str

    @property
    def is_empty(self) -> bool:
        return not self.filters

    @property
    def has_chart(self) -> bool:
        return not self.record.is_too_few


def build_past_forecasts(*, facility: Facility, today: date) -> PastForecasts:
    """Two queries, however many filters there are."""
    filters = list(Filter.objects.filter(enclosure__facility=facility).upflow().with_place().order_by("code"))
    past = load_past_forecasts(filters)
    record = track_record((each for some in past.values() for each in some), today=today)
    n_of_place = Counter(each.enclosure_id for each in filters)
    return PastForecasts(
        record=record,
        lead=lead_words(record),
        example=example_words(record),
        leaning=LEANS[record.leaning],
        doubt=doubt_words(record),
        beside=beside_words(record.beside) if record.beside is not None and not record.is_too_few else "",
        shares=tuple(_share_row(share) for share in record.shares),
        filters=tuple(
            _filter_record(each, past[each.pk], is_alone=n_of_place[each.enclosure_id] == 1)
            for each in filters
            if past.get(each.pk)
        ),
        left_out=left_out_words(record),
    )


def lead_words(record: TrackRecord) -> str:
    """'Of 19 past forecasts whose whole range has passed, 17 came inside it; 8 in 10 should, which is 15.'"""
    if record.n == 0:
        return "No past forecast can be judged yet: the days they named are still ahead."
    if record.is_too_few:
        fillings = "" if record.n == record.n_fillings else f" of {_of(record.n_fillings, 'filling')}"
        return f"{capital(_of(record.n, 'past forecast'))}{fillings}: too few to judge."
    said = ""
    if record.n_ranges:
        said = (
            f"Of {record.n_ranges} past {'forecast' if record.n_ranges == 1 else 'forecasts'} whose whole range has passed, "
            f"{record.n_inside} came inside it; 8 in 10 should, which is {round(record.n_ranges * 0.8)}. "
        )
    few = "They are few: read them as a first impression." if record.is_few else ""
    return kept_together(f"{said}{few}".strip())


def example_words(record: TrackRecord) -> str:
    """'Of the 24 times we said 8 in 10, it was 17; 19 would be right.' In a young record, of a share that has been tested more often."""
    share = record.shares[7]
    if share.n < LEAST_FORECASTS:
        share = max(record.shares[4:8], key=lambda each: each.n)
    return f"Of the {share.n} times we said {share.tenths} in 10, it was {share.n_by}; {share.n_right} would be right."


def doubt_words(record: TrackRecord) -> str:
    """Cleaning early takes the slow voids out of the record, so that what is left seems to come sooner than was said."""
    if record.leaning != "late" or record.n_unknown * DOUBTED < record.n:
        return ""
    return (
        f"But {count_words(record.n_unknown)} more could not be judged, because the void was cleaned first; those are often the slow ones, and "
        "would make this look better."
    )


def beside_words(beside: BesideRules) -> str:
    rule = RULE_WORDS.get(beside.best_rule, beside.best_rule)
    ours, best = round(beside.ours), round(beside.best)
    said = f"Of the {beside.n} that have come due, half came within {ours} days of the day we called likeliest. "
    if abs(ours - best) <= 0.1 * max(best, 1):
        said += f"The best rule of thumb, {rule}, did as well: {best} days."
    elif ours < best:
        said += f"The best rule of thumb, {rule}, was further off: {best} days."
    else:
        said += (
            f"The best rule of thumb, {rule}, was nearer: {best} days. On these records it would have served better."
        )
    return kept_together(f"{said} It is picked in hindsight from four, which no one could have done at the time.")


def left_out_words(record: TrackRecord) -> str:
    parts = []
    if record.n_unknown:
        parts.append(
            f"{capital(_of(record.n_unknown, 'forecast'))} cannot be judged: the void was cleaned before the day we named, or not read "
            "when it was emptied."
        )
    if record.n_open:
        parts.append(
            f"{capital(_of(record.n_open, 'forecast'))} {'is' if record.n_open == 1 else 'are'} of voids still filling."
        )
    return " ".join(parts)


def _of(n: int, what: str) -> str:
    return f"{count_words(n)} {what}{'' if n == 1 else 's'}"


def _share_row(share: SaidInTenths) -> ShareRow:
    return ShareRow(
        said=f"{share.tenths} in 10",
        came=f"{share.n_by} of {share.n}" if share.n else "not yet",
        right=str(share.n_right) if share.n else "",
        bar=said_and_came_svg(share),
    )


def _filter_record(each: Filter, past: list[PastForecast], *, is_alone: bool) -> FilterRecord:
    return FilterRecord(
        code=each.code,
        label=each.enclosure.code if is_alone else each.code,
        enclosure=each.enclosure.code,
        line=kept_together(record_line(past)),
        rows=tuple(_row(one) for one in reversed(past) if one.is_ahead and _has_news(one)),
    )


def _has_news(past: PastForecast) -> bool:
    return past.outcome.kind != "open" or past.least_days_early is not None


def _row(past: PastForecast) -> PastRow:
    late, least, on = past.days_early, past.least_days_early, past.outcome.on
    came, off = "", CANNOT_TELL.get(past.outcome.kind, "")
    if late is not None and on is not None:
        came = f"about {long_day(on)}"
        off = ("over " if past.ahead[4] is None else "") + early_words(late)
    elif least is not None and past.outcome.below_on is not None:
        came = f"after {long_day(past.outcome.below_on)}" + (
            ", when it was emptied" if past.outcome.kind == "cleaned" else ""
        )
        off = f"at least {early_words(least)}"
    return PastRow(
        made=kept_together(long_day(past.made_on)),
        made_iso=past.made_on.isoformat(),
        said=kept_together(said_words(past)),
        came=kept_together(came),
        off=kept_together(off),
        is_inside=past.is_inside,
    )


def long_day(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def said_words(past: PastForecast) -> str:
    """'Feb to Oct 2025, most likely May', 'Feb 2025 or later, most likely after Jan 2028', 'not before Jan 2028'."""
    first, middle, last = (_month(past, tenths) for tenths in (1, 5, 9))
    horizon = f"{MONTHS[past.made_on.month - 1]} {past.made_on.year + 3}"
    if first is None:
        return f"not before {horizon}"
    likely = f"most likely {middle[0]} {middle[1]}" if middle else f"more likely after {horizon}"
    if last is None:
        return f"{first[0]} {first[1]} or later, {likely}"
    if first == last:
        return f"{first[0]} {first[1]}"
    opening = first[0] if first[1] == last[1] else f"{first[0]} {first[1]}"
    if middle and first[1] == last[1]:
        likely = f"most likely {middle[0]}"
    return f"{opening} to {last[0]} {last[1]}, {likely}"


def _month(past: PastForecast, tenths: int) -> tuple[str, int] | None:
    days = past.ahead[tenths - 1]
    if days is None:
        return None
    day = past.made_on + timedelta(days=days)
    return MONTHS[day.month - 1], day.year
