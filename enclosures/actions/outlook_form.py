"""The forecast as plain values: the object of `forecast_voids`, and the smaller and larger parts stored beside it."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Any

import numpy as np

from enclosures.actions.explained_form import heard_json
from enclosures.actions.judging import Judged
from enclosures.forecast.inputs import DayQuantiles, Outlook, Quantiles
from enclosures.forecast.pooling import Message
from enclosures.verdicts.urgency import FilterVerdict
from enclosures.verdicts.windows import blocked_sentence, closing_sentence
from enclosures.verdicts.words import ago_words, due_words

RODS_WAIT_FOR = {"brumation": "winter rest", "cold": "cold water"}


def outlook_json(outlook: Outlook, verdict: FilterVerdict) -> dict[str, Any]:
    """One filter's forecast: fill is depth over void height, may exceed 1; days are ISO; null: beyond the horizon or not known."""
    return {
        "filter": outlook.filter,
        "as_of": outlook.as_of.isoformat(),
        "fill": _quantiles(outlook.fill, digits=4),
        "depth_mm": _quantiles(outlook.depth_mm, digits=1),
        "due_fill": outlook.due_fill,
        "due_on": _days(outlook.due_on),
        "not_before": _day(outlook.not_before),
        "band": verdict.band.plain,
        "sureness": outlook.sureness,
        "basis": outlook.basis,
        "reasons": reason_texts(outlook, verdict),
        "next_reading": outlook.next_reading,
    }


def reason_texts(outlook: Outlook, verdict: FilterVerdict) -> list[str]:
    """Everything that is said of it, weightiest first: signals that disagree, the reasons, what the forecast itself doubts."""
    said = [
        verdict.pinned or "",
        *(reason.text for reason in verdict.reasons),
        *outlook.unexplained,
        *outlook.notes,
        *outlook.ahead,
    ]
    return [text for text in dict.fromkeys(said) if text]


def detail_json(answer: Judged) -> dict[str, Any]:
    """What a list or a card shows besides the answer itself; small."""
    outlook, verdict, today = answer.outlook, answer.verdict, answer.outlook.as_of
    due = due_words(outlook, today)
    diagnosis = verdict.diagnosis
    return {
        "due_sentence": due.sentence,
        "sentence": verdict.sentence,
        "reasons": [reason.text for reason in verdict.reasons],
        "coping_sentence": answer.coping.sentence,
        "coping_signs": list(answer.coping.signs),
        "basis": outlook.basis,
        "next_reading": outlook.next_reading,
        "last_sounding": _last_sounding(outlook, today),
        "last_sounding_on": _day(outlook.last_sounding_on),
        "last_sounding_fill": _rounded(outlook.last_sounding_fill, 4),
        "last_emptied_on": _day(outlook.last_emptied_on),
        "unexplained": list(outlook.unexplained),
        "notes": list(outlook.notes),
        "ahead": list(outlook.ahead),
        "rod_mm": _quantiles(outlook.rod_mm, digits=1),
        "full_on": _days(outlook.full_on),
        "void_height_mm": outlook.void_height_mm,
        "chance_due_within": [[days, round(chance, 3)] for days, chance in outlook.chance_due_within],
        "dry_feed_since_emptied_g": round(outlook.dry_feed_since_emptied_g, 1),
        "feed_g_per_day": round(outlook.feed_g_per_day, 2),
        "litter_share": round(outlook.litter_share, 3),
        "season": season_sentence(answer),
        "is_recovering": verdict.is_recovering,
        "diagnosis": None
        if diagnosis is None
        else {"code": diagnosis.code, "say": diagnosis.say, "check": diagnosis.check, "sentence": diagnosis.sentence},
        "pump_off_min": verdict.window.pump_off_min,
        "score_words": verdict.parts.words,
        "narrowing": narrowing_json(answer),
    }


def trace_json(answer: Judged) -> dict[str, Any]:
    """What lists leave unread: fill over time for the chart, as parallel lists, the lesson for the facility's other filters, why the answer
    is what it is, and what theirs taught (what-ifs start from it)."""
    trace, lesson = answer.outlook.trace, answer.lesson
    if trace is None or lesson is None:
        return {}
    return {
        "lesson": {
            "names": list(lesson.names),
            "precision": lesson.precision.tolist(),
            "shift": lesson.shift.tolist(),
        },
        "explained": answer.explained,
        "heard": heard_json(answer.heard),
        "days": [day.isoformat() for day in trace.days],
        "p10": list(trace.p10),
        "p50": list(trace.p50),
        "p90": list(trace.p90),
        "is_ahead": list(trace.is_ahead),
    }


def narrowing_json(answer: Judged) -> dict[str, Any] | None:
    """What one sounding today would be worth, with its sentence; `waits_for` says why the pipe is better left shut ("": it may be read).

    A new bed, arrivals or nesting speak against vacuuming, not against a rod; cold water and winter rest against both.
    """
    if answer.narrowing is None:
        return None
    block = answer.verdict.window.blocked_by
    figures = {name: round(value, 3) for name, value in asdict(answer.narrowing).items() if name != "filter"}
    return {
        "filter": answer.narrowing.filter,
        **figures,
        "sentence": answer.narrowing.sentence,
        "waits_for": RODS_WAIT_FOR.get(block.kind, "") if block is not None else "",
    }


def lesson_from(stored: dict[str, Any]) -> Message:
    """The stored lesson, as it was."""
    return Message(
        names=tuple(stored["names"]), precision=np.array(stored["precision"]), shift=np.array(stored["shift"])
    )


def season_sentence(answer: Judged) -> str:
    """What the season says of working on it: why the window is shut, or when it closes; "" when neither is near."""
    window, today = answer.verdict.window, answer.outlook.as_of
    if not window.is_open:
        return blocked_sentence(answer.signs, window, today)
    return closing_sentence(answer.signs, window, today) if answer.verdict.parts.is_window_closing else ""


def _last_sounding(outlook: Outlook, today: date) -> str:
    if outlook.last_sounding_on is None or outlook.last_sounding_fill is None:
        return ""
    return f"{outlook.last_sounding_fill * 100:.0f} % on {ago_words(outlook.last_sounding_on, today)}"


def _quantiles(values: Quantiles | None, *, digits: int) -> dict[str, float] | None:
    if values is None:
        return None
    return {name: round(float(getattr(values, name)), digits) for name in ("p10", "p50", "p90")}


def _days(days: DayQuantiles | None) -> dict[str, str | None] | None:
    if days is None:
        return None
    return {name: _day(getattr(days, name)) for name in ("p10", "p50", "p90")}


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(float(value), digits)
