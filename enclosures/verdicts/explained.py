"""A forecast explained to whoever decides: why it is what it is, and what would change it. Plain sentences, no statistics."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from enclosures.estimates.units import quantity
from enclosures.forecast.explained import Explained, FeedSeen, LastReading, Lever
from enclosures.forecast.inputs import DayQuantiles, FilterEvidence, Outlook
from enclosures.forecast.what_if import Shift
from enclosures.verdicts.words import (
    Reason,
    capital,
    count_words,
    day_words,
    due_words,
    listed,
    percent_words,
    rounded,
)

WHY_SHOWN = 3
LEAST_PART = 0.05  # of what came in: less is no cause
LARGE_PART = 0.3
SAME_WITHIN = 0.1  # two years' feed that differ by less are about the same
MOVED_FILL = 0.05  # of the void: a reading that moves the answer by less hardly moved it
NARROWED_SHARE = 0.2  # of the range
FAR_FILL = 0.1  # of the void, outside the likely range: no reading "as expected"
FRESH_DAYS = 21  # so long a void is about as full as the rod found it
HARDLY_DAYS = 10
NO_FOOD = {"litter", "gaps", "unlogged"}
SHARES = (
    (0.15, "a little"),
    (0.23, "about a fifth"),
    (0.29, "about a quarter"),
    (0.37, "about a third"),
    (0.45, "about two fifths"),
    (0.56, "about half"),
    (0.63, "about three fifths"),
    (0.71, "about two thirds"),
    (0.78, "about three quarters"),
    (0.9, "most"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class LeverWords:
    """One change in a sentence, and the query that has it filled in on the what-if page."""

    text: str
    query: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WhyWords:
    """`shown` the largest causes in order, `more` those left for whoever opens the numbers."""

    shown: tuple[str, ...]
    more: tuple[str, ...]


# Why -----------------------------------------------------------------------------------------------------------------


def why_words(explained: Explained, outlook: Outlook, evidence: FilterEvidence, today: date) -> WhyWords:
    """Said from `today`, the day it was computed. Feed that nobody logged is always among what is shown."""
    parts = {part.name: part.share for part in explained.parts}
    found = [
        *_feed_reason(explained.feed, parts, today),
        *_litter_reason(parts, evidence, outlook, has_reading=explained.reading is not None),
        _reading_reason(explained.reading, outlook, today),
        *(Reason(text, 0.6) for text in explained.unexplained),
        *_dispute_reason(explained.disputed_on, today),
    ]
    found.sort(key=lambda reason: -reason.weight)
    gap = _gap_sentence(explained.feed, today)
    shown = [reason.text for reason in found[:WHY_SHOWN]]
    return WhyWords(
        shown=tuple([*shown, gap] if gap else shown), more=tuple(reason.text for reason in found[WHY_SHOWN:])
    )


def _feed_reason(feed: FeedSeen, parts: dict[str, float], today: date) -> list[Reason]:
    share = sum(part for name, part in parts.items() if name not in NO_FOOD)
    if not feed.offered_kg:
        return []
    since = f"since {_opened_words(feed, today)}"
    said = f"Feed: {_kg(feed.offered_kg)} dry {since}, {share_words(share)} of what came in."
    return [Reason(f"{said} {_compared(feed)}".strip(), share)]


def _opened_words(feed: FeedSeen, today: date) -> str:
    return (
        f"it was emptied on {day_words(feed.since_on, today)}" if feed.is_emptied else day_words(feed.since_on, today)
    )


def _compared(feed: FeedSeen) -> str:
    if not feed.year_before_kg:
        return ""
    change = feed.year_kg / feed.year_before_kg - 1
    if abs(change) < SAME_WITHIN:
        return "As much in the last twelve months as in the twelve before."
    if change > 1:
        return f"In the last twelve months {change + 1:.1f} times as much as in the twelve before."
    return f"In the last twelve months {percent_words(abs(change))} {'more' if change > 0 else 'less'} than in the twelve before."


def _litter_reason(
    parts: dict[str, float], evidence: FilterEvidence, outlook: Outlook, *, has_reading: bool
) -> list[Reason]:
    share = parts.get("litter", 0.0)
    if share < LEAST_PART:
        return []
    what = "Plants, dust and what the bed sheds" if evidence.is_indoor else "Leaves and what blows in"
    said = f"{what}: {share_words(share)} of what came in"
    if not outlook.n_soundings:
        return [Reason(f"{said}, a guess from the surroundings while no rod was read.", share)]
    told = "the rod tells" if has_reading else "earlier readings tell"
    return [Reason(f"{said}. Nobody logs it; {told}." if share >= LARGE_PART else f"{said}.", share)]


def _dispute_reason(days: tuple[date, ...], today: date) -> list[Reason]:
    if not days:
        return []
    said = listed(day_words(day, today) for day in days)
    which = f"The sounding of {said} was" if len(days) == 1 else f"The soundings of {said} were"
    taught = "it taught" if len(days) == 1 else "they taught"
    return [Reason(f"{which} taken while signals disagreed, so {taught} nothing.", 0.55)]


def _reading_reason(reading: LastReading | None, outlook: Outlook, today: date) -> Reason:
    if reading is None:
        emptied_on, read_on = outlook.last_emptied_on, outlook.last_sounding_on
        is_rebuilt = read_on is not None and (
            emptied_on is None or read_on > emptied_on
        )  # read, and yet of another void
        since = "since it was rebuilt" if is_rebuilt else "since it was emptied" if emptied_on and read_on else "yet"
        return Reason(f"No rod reading {since}: the answer rests on what went in.", 0.5)
    said = f"The rod’s {percent_words(reading.fill_read)} on {day_words(reading.on, today)}"
    if reading.without is None:
        return Reason(f"{said} decides nearly alone: from what went in something else was to be expected.", 0.9)
    moved = reading.fill.p50 - reading.without.p50
    is_fresh = (today - reading.on).days <= FRESH_DAYS
    if is_fresh and not reading.fill.p10 - FAR_FILL <= reading.fill_read <= reading.fill.p90 + FAR_FILL:
        return Reason(
            f"{said} was far from what was expected, and one such reading counts little against the rest. Sound once more.",
            0.9,
        )
    before, now = (q.p90 - q.p10 for q in (reading.without, reading.fill))
    if abs(moved) >= MOVED_FILL:
        verb = "raised" if moved > 0 else "lowered"
        sentence = f"{said} {verb} the answer from about {percent_words(reading.without.p50)} today to {percent_words(reading.fill.p50)}."
        return Reason(sentence, min(0.3 + 2 * abs(moved), 0.9))
    narrowed = 1 - now / before if before > 0 else 0.0
    if narrowed >= NARROWED_SHARE:
        spans = (f"{rounded(q.p10 * 100)}–{percent_words(q.p90)}" for q in (reading.without, reading.fill))
        return Reason(f"{said} was as expected; it narrowed the range from {' to '.join(spans)}.", 0.3 + narrowed / 2)
    return Reason(f"{said} was as expected and hardly moved the answer.", 0.2)


def _gap_sentence(feed: FeedSeen, today: date) -> str:
    if not feed.gap_days or feed.gap_from is None or feed.gap_to is None:
        return ""
    days = "1 day" if feed.gap_days == 1 else f"{feed.gap_days} days"
    which = "" if feed.n_gaps == 1 else "the longest "
    span = f"{which}{day_words(feed.gap_from, today)} to {day_words(feed.gap_to, today)}"
    return f"Feed was not logged on {days} ({span}); the usual amount, {_kg(feed.gap_kg)} dry, is assumed."


def share_words(share: float) -> str:
    """'about a third', 'most', 'nearly all'."""
    return next((words for end, words in SHARES if share < end), "nearly all")


def _kg(kg: float) -> str:
    return quantity(kg, "kg") if kg >= 1 else quantity(kg * 1000, "g")


# What would change it ------------------------------------------------------------------------------------------------


def shift_words(shift: Shift) -> str:
    """'about 3 months later', 'at least 5 months sooner', 'hardly any change'."""
    if shift.days is None:
        return "both lie more than three years ahead"
    days, way = abs(shift.days), "later" if shift.days > 0 else "sooner"
    about = "at least" if shift.is_at_least else "about"
    if days < HARDLY_DAYS:
        return f"{'' if not shift.is_at_least else 'perhaps '}hardly any change"
    return f"{about} {_length(days)} {way}"


def _length(days: int) -> str:
    if days < 60:
        return f"{rounded(days / 7)} weeks" if days >= 11 else f"{days} days"
    months = rounded(days / 30.44)
    if months < 24:
        return f"{months} months"
    years, rest = divmod(months, 12)
    return f"{years} years" + ("" if not rest else f" and {rest} month{'s' if rest > 1 else ''}")


def lever_words(lever: Lever, outlook: Outlook, today: date) -> LeverWords:
    """One of the usual changes as a sentence."""
    if lever.kind == "ration":
        return LeverWords(text=f"Half the ration: {_due_shift(lever.shift)}.", query="ration_percent=50")
    if lever.kind == "animals":
        away = f"{capital(count_words(lever.n))} of the {count_words(lever.of)} animals away"
        return LeverWords(text=f"{away}: {_due_shift(lever.shift)}.", query=f"leave_n={lever.n}")
    on = lever.on or today
    day = "today" if on <= today else f"on {day_words(on, today)}, once it may be disturbed"
    query = f"empty_on={on.isoformat()}"
    return LeverWords(
        text=f"Emptied {day}: next due {next_due_words(lever.due_on, lever.not_before, outlook, today)}", query=query
    )


def _due_shift(shift: Shift) -> str:
    said = shift_words(shift)
    return said if shift.days is None or "hardly" in said else f"due {said}"


def next_due_words(due_on: DayQuantiles, not_before: date | None, outlook: Outlook, today: date) -> str:
    """'between Aug 2027 and Apr 2028, most likely Dec 2027.' of another future, never said to be past since some day."""
    then = replace(outlook, due_on=due_on, not_before=not_before, last_sounding_fill=None, trace=None)
    said = due_words(then, today).sentence
    return said[:1].lower() + said[1:]
