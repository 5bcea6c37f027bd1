"""The why of a filter's place on the list, in sentences, heaviest first. A page shows the first two; the rest stand one tap away."""

from __future__ import annotations

from datetime import date

from enclosures.forecast.inputs import Outlook
from enclosures.verdicts.coping import value_words
from enclosures.verdicts.signs import (
    FLOW_LOOK,
    HEAD_LOOK,
    LEVEL_LOOK_MM,
    ROTTEN_EGG,
    FilterSigns,
)
from enclosures.verdicts.windows import Window, blocked_sentence, closing_sentence
from enclosures.verdicts.words import (
    Band,
    Reason,
    age_words,
    capital,
    count_words,
    day_words,
    listed,
    percent_words,
    rounded,
    times_words,
)


def reasons_for(
    signs: FilterSigns,
    outlook: Outlook | None,
    window: Window,
    today: date,
    *,
    band: Band,
    is_window_closing: bool,
    is_unsounded: bool,
    is_recovering: bool,
) -> tuple[Reason, ...]:
    """All that can be said, sorted by weight."""
    found = _evidence(signs, today)
    found += _season(signs, window, today, band=band, is_window_closing=is_window_closing)
    found += _knowledge(signs, outlook, today, is_unsounded=is_unsounded)
    found += _history(signs, today, band=band, is_recovering=is_recovering)
    found += _who_lives_here(signs, today, band=band)
    found += [Reason(text, 1) for text in signs.remarks]
    return tuple(sorted(found, key=lambda reason: -reason.weight))


def _evidence(signs: FilterSigns, today: date) -> list[Reason]:
    found = []
    flow, heads = signs.last_flow(), signs.head_checks()
    share = flow.flow_share if flow else None
    ratio = heads[-1].head_ratio if heads else None
    readings = []
    if share is not None and share < FLOW_LOOK:
        readings.append(f"flow is {percent_words(share)} of baseline")
    if ratio is not None and ratio >= HEAD_LOOK:
        readings.append(f"head difference {'is ' if not readings else ''}{times_words(ratio)}")
    if readings:
        on = max(flow.on if flow else date.min, heads[-1].on if heads else date.min)
        old = f", read {day_words(on, today)}" if (today - on).days > 30 else ""
        found.append(Reason(f"{capital(listed(readings))}{old}.", 60 + 20 * len(readings)))
    level = signs.last_level_mm()
    if level is not None and level >= LEVEL_LOOK_MM:
        found.append(Reason(f"Water over the media stands {rounded(level)} mm over its mark.", 50))
    odour = signs.last_odour()
    if odour is not None and odour >= ROTTEN_EGG:
        found.append(Reason("The pipe smells of rotten egg.", 85))
    past = [s for s in (signs.last_value(a, today) for a in ("tan", "nitrite")) if s is not None]
    past = [s for s in past if signs.level_of(s) in ("look", "act")]
    if past and signs.is_bed_young(today):
        found.append(Reason("The bed is ripening, so some ammonia is expected: feed lightly, test often.", 55))
    elif past:
        weight = 90 if any(signs.level_of(s) == "act" for s in past) else 65
        found.append(Reason(f"{capital(listed(value_words(signs, s) for s in past))}.", weight))
    if signs.is_return_cloudy():
        found.append(Reason("The returning water is not clear.", 20))
    return found


def _season(signs: FilterSigns, window: Window, today: date, *, band: Band, is_window_closing: bool) -> list[Reason]:
    wants_work = band in (Band.ACT, Band.OVERDUE, Band.DUE, Band.SOON)
    if not window.is_open:
        sentence = blocked_sentence(signs, window, today)
        return [Reason(sentence, 58)] if wants_work and sentence else []
    if not (is_window_closing and wants_work):
        return []
    left = (window.closes_on - today).days if window.closes_on else 0
    is_pressing = left <= 14 or (window.closed_by is not None and window.closed_by.event is not None)
    return [Reason(closing_sentence(signs, window, today), 58 if is_pressing else 18)]


def _knowledge(signs: FilterSigns, outlook: Outlook | None, today: date, *, is_unsounded: bool) -> list[Reason]:
    found = []
    days = signs.days_since_sounding(today)
    if is_unsounded:
        said = "Never sounded." if days is None else f"No sounding for {days} days."
        found.append(Reason(said, 59))
    sounding = signs.last_sounding
    if sounding is not None and sounding.is_at_grid and not _is_emptied_since(signs, sounding.on):
        found.append(Reason(f"The rod stopped at the grid on {day_words(sounding.on, today)}: full or more.", 95))
    elif sounding is not None and not is_unsounded and not _is_emptied_since(signs, sounding.on):
        said = f"The rod showed {percent_words(sounding.fill)} on {day_words(sounding.on, today)}."
        found.append(Reason(said, 12))
    if outlook is None or outlook.fill is None:
        why = outlook.notes[0] if outlook is not None and outlook.notes else "There is no forecast for it yet."
        found.append(Reason(why, 70))
    elif outlook.unexplained:
        found.append(Reason(outlook.unexplained[0], 30))
    return found


def _is_emptied_since(signs: FilterSigns, day: date) -> bool:
    """Sludge was taken out since; the depth just after is read on that day and is no news of how it fills."""
    return any(day <= taken_out for taken_out in signs.cleanouts_on)


def _history(signs: FilterSigns, today: date, *, band: Band, is_recovering: bool) -> list[Reason]:
    if is_recovering:
        return [Reason(_recovering_sentence(signs, today), 56)]
    found = []
    age = signs.bed_age_days(today)
    if signs.is_bed_young(today) and age is not None:
        found.append(Reason(f"The bed is {age_words(age)} old." if age else "The bed was laid today.", 15))
    if signs.last_emptied_on is not None:
        emptied = f"Emptied {day_words(signs.last_emptied_on, today)}"
        found.append(Reason(f"{emptied}; filling as expected." if band is Band.FINE else f"{emptied}.", 8))
    elif signs.commissioned_on is not None and (today - signs.commissioned_on).days > 365:
        found.append(Reason("Never emptied.", 40 if band is not Band.FINE else 9))
    return found


def _recovering_sentence(signs: FilterSigns, today: date) -> str:
    age = signs.bed_age_days(today) or 0
    since = tests_normal_since(signs)
    tests = f", tests normal since {day_words(since, today)}" if since else ", tests not yet normal"
    return f"Recovering: the bed is {age_words(age)} old{tests}."


def tests_normal_since(signs: FilterSigns) -> date | None:
    """First day of the present run of tests with TAN and nitrite on target; None when the last one is not."""
    first = None
    of_filter = [s for s in signs.waters if s.analyte in ("tan", "nitrite")]
    for day in sorted({s.on for s in of_filter}, reverse=True):
        if any(signs.level_of(s) != "target" for s in of_filter if s.on == day):
            break
        first = day
    return first


def _who_lives_here(signs: FilterSigns, today: date, *, band: Band) -> list[Reason]:
    trees = ", and leaf fall is ahead" if band is not Band.FINE and _is_leaf_fall_ahead(signs, today) else ""
    if signs.n_program_animals:
        n = signs.n_program_animals
        is_young = signs.n_hatchlings >= n
        kind = "program hatchling" if is_young else "program animal"
        said = f"{capital(count_words(n))} {kind}{'s live' if n > 1 else ' lives'} on it{trees}."
        return [Reason(said, 36 if trees else 14)]
    if signs.n_hatchlings:
        n = signs.n_hatchlings
        said = f"{capital(count_words(n))} hatchling{'s live' if n > 1 else ' lives'} on it{trees}."
        return [Reason(said, 14)]
    if signs.is_quarantine:
        return [Reason(f"Quarantine animals live on it{trees}.", 14)]
    return [Reason("Leaf fall is ahead.", 10)] if trees else []


def _is_leaf_fall_ahead(signs: FilterSigns, today: date) -> bool:
    """From mid-August to the end of October near trees; half a year later in the south."""
    if signs.is_indoor or not signs.has_trees:
        return False
    month = (today.month + 5) % 12 + 1 if signs.is_southern else today.month
    return month in (9, 10) or (month == 8 and today.day >= 15)
