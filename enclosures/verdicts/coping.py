"""Is the filter coping? Judged from evidence alone: tests, flow, head difference. What was never read is left out; tests are required.

    coping       no sign
    straining    one sign
    not coping   any value past its act line, or flow under 60 % of baseline, or two signs at once
    not known    no test in 30 days (60 in winter rest)

A sign is: a test value past its look line in the last three tests; flow under 80 % of baseline; head difference 1.5 times and
5 mm over its baseline on two readings running.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enclosures.verdicts.signs import FLOW_ACT, FLOW_LOOK, FilterSigns, FlowSign, WaterSign
from enclosures.verdicts.words import Verdict, capital, day_words, listed, percent_words, times_words

NOT_KNOWN_DAYS, NOT_KNOWN_DAYS_BRUMATION = 30, 60


@dataclass(frozen=True, kw_only=True, slots=True)
class CopingVerdict:
    """The word, the sentence why, and the signs that made it: 'tests', 'flow', 'head'."""

    verdict: Verdict
    sentence: str
    signs: tuple[str, ...] = ()


def coping_of(signs: FilterSigns, today: date) -> CopingVerdict:
    """The verdict on a filter as of a day."""
    tests = signs.recent_tests(today)
    past_look = [s for test in tests for s in test if signs.level_of(s) in ("look", "act")]
    past_act = [s for s in past_look if signs.level_of(s) == "act"]
    flow, heads = signs.last_flow(), signs.head_checks()
    share = flow.flow_share if flow else None
    is_head_sign = len(heads) >= 2 and all(check.is_head_up for check in heads[-2:])
    found = tuple(
        name
        for name, is_there in (
            ("tests", bool(past_look)),
            ("flow", share is not None and share < FLOW_LOOK),
            ("head", is_head_sign),
        )
        if is_there
    )
    sentence = _sentence(signs, today, flow=flow, heads=heads, past_look=past_look, is_head_sign=is_head_sign)
    if not _is_tested(signs, today):
        return CopingVerdict(verdict=Verdict.NOT_KNOWN, sentence=sentence, signs=found)
    if past_act or (share is not None and share < FLOW_ACT) or len(found) >= 2:
        return CopingVerdict(verdict=Verdict.NOT_COPING, sentence=sentence, signs=found)
    verdict = Verdict.STRAINING if found else Verdict.COPING
    return CopingVerdict(verdict=verdict, sentence=sentence, signs=found)


def _is_tested(signs: FilterSigns, today: date) -> bool:
    last = signs.last_test_on()
    allowed = NOT_KNOWN_DAYS_BRUMATION if signs.is_brumating(today) else NOT_KNOWN_DAYS
    return last is not None and (today - last).days <= allowed


def _sentence(
    signs: FilterSigns,
    today: date,
    *,
    flow: FlowSign | None,
    heads: tuple[FlowSign, ...],
    past_look: list[WaterSign],
    is_head_sign: bool,
) -> str:
    parts = [_tests_sentence(signs, today, past_look), _flow_sentence(flow, today)]
    parts.append(_head_sentence(heads, is_head_sign=is_head_sign))
    return " ".join(part for part in parts if part)


def _tests_sentence(signs: FilterSigns, today: date, past_look: list[WaterSign]) -> str:
    last = signs.last_test_on()
    if last is None:
        return "The water was never tested for TAN or nitrite: test it."
    if not _is_tested(signs, today):
        return f"No water test for {(today - last).days} days: test it."
    if not past_look:
        return "Water tests are fine."
    return capital(f"{listed(value_words(signs, s) for s in _latest_of_each(past_look))}.")


def value_words(signs: FilterSigns, sign: WaterSign) -> str:
    """'TAN 0.7 mg/L as N, past the look line of 0.5'."""
    limit = signs.limits[sign.analyte]
    level = signs.level_of(sign)
    is_low = limit.look_low is not None and sign.value < limit.look_low and sign.qualifier != ">"
    line = {
        ("look", False): limit.look_high,
        ("look", True): limit.look_low,
        ("act", False): limit.act_high,
        ("act", True): limit.act_low,
    }[("act" if level == "act" else "look", is_low)]
    value = f"{sign.qualifier} {round(sign.value, 2):g}".strip()  # converted readings carry no more than two decimals
    side = "under" if is_low else "at or past"
    return f"{limit.label} {value} {limit.unit}".strip() + f", {side} the {level} line of {line:g}"


def _latest_of_each(found: list[WaterSign]) -> list[WaterSign]:
    latest = {sign.analyte: sign for sign in found}  # later ones replace earlier ones
    return list(latest.values())


def _flow_sentence(flow: FlowSign | None, today: date) -> str:
    if flow is None or flow.flow_share is None:
        return "Flow has not been set against a baseline."
    said = f"Flow is {percent_words(flow.flow_share)} of baseline"
    if (today - flow.on).days > 30:
        said = f"Flow was {percent_words(flow.flow_share)} of baseline on {day_words(flow.on, today)}"
    return f"{said}." if flow.flow_share >= FLOW_LOOK else f"{said}, under its look line of {percent_words(FLOW_LOOK)}."


def _head_sentence(heads: tuple[FlowSign, ...], *, is_head_sign: bool) -> str:
    if not heads or heads[-1].head_ratio is None:
        return ""
    ratio = times_words(heads[-1].head_ratio)
    if is_head_sign:
        return f"Head difference is {ratio} its baseline, twice running."
    if heads[-1].is_head_up:
        return f"Head difference is up on one reading ({ratio} its baseline): read it again."
    return "Head difference is near its baseline."
