"""Which fault is it? Rod, flow, head difference and water read together; and when they contradict, that is said before anything else.

    rod     flow     head      TAN/NO2     most likely                                   say
    high    down     any       any         void full                                     vacuum the void
    high    normal   base      any         filling as expected                           book it
    low     down     up        any         bed blinded, distribution pipe displaced      signals disagree
    unread  down     up        any         void or bed                                   take a sounding
    low     down     base/low  any         pump, screen, hose                            check pump and intake
    low     normal   base      up          young bed, overfeeding, test error, death     retest, count, check feed
    any     down     base, level over the media up                                       clear the outlet
    falls with no cleanout                 hole under the pipe, reading error, gas       repeat the sounding

The head difference of an open cleanout pipe is a pressure gauge for the void: it rises with the resistance of the bed and falls with
the flow, so a raised head at lower flow is doubly bad. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from enclosures.verdicts.signs import FLOW_LOOK, LEVEL_LOOK_MM, FilterSigns, FlowSign, SoundingSign, WaterSign
from enclosures.verdicts.words import listed, percent_words, times_words

LOW_SHARE_OF_DUE = 0.7  # a rod under this share of the due line says "far from full"
SAME_STATE_DAYS = 60  # a sounding and a flow check further apart say nothing of each other
FALL_WITHOUT_CLEANOUT = 0.10
TIMES = {1: "", 2: " twice", 3: " three times"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Diagnosis:
    """`likely` names the fault, `say` is the short advice, `check` the reading that settles it, `sentence` what a page shows."""

    code: str
    likely: str
    say: str
    check: str
    sentence: str
    is_disagreement: bool = False


def diagnosed(signs: FilterSigns, today: date) -> Diagnosis | None:
    """The first row of the grid that fits; None when nothing stands out."""
    flow = signs.last_flow()
    is_down = flow is not None and flow.flow_share is not None and flow.flow_share < FLOW_LOOK
    heads = signs.head_checks()
    is_head_up = bool(heads) and heads[-1].is_head_up
    rod = _rod_for(signs, flow or (heads[-1] if heads else None), today)
    is_high = rod is not None and (rod.is_at_grid or rod.fill >= signs.due_fill)
    if rod is not None and flow is not None and is_down and is_head_up and not is_high and _is_low(rod, signs.due_fill):
        return _disagreement(signs, rod, flow, heads[-1], today)
    if is_high:
        return _full(is_down=is_down, is_head_up=is_head_up)
    if _has_fallen(signs):
        return FELL
    level = signs.last_level_mm()
    if is_down and not is_head_up and level is not None and level >= LEVEL_LOOK_MM:
        return OUTLET
    if is_down and not is_head_up:
        return PUMP
    if is_head_up:
        return SOUND if is_down else BED
    if _waters_past_look(signs, today):
        return WATER
    return None


def _rod_for(signs: FilterSigns, flow: FlowSign | None, today: date) -> SoundingSign | None:
    """The last sounding, if it is of the filter as it stands and near enough in time to the flow check."""
    rod = signs.last_sounding
    if rod is None or (signs.last_work_on is not None and rod.on < signs.last_work_on):
        return None
    if any(rod.on <= day for day in signs.cleanouts_on):
        return None  # taken before the sludge was, or the depth just after
    at = flow.on if flow is not None else today
    return rod if abs((at - rod.on).days) <= SAME_STATE_DAYS else None


def _is_low(rod: SoundingSign, due_fill: float) -> bool:
    return not rod.is_at_grid and rod.fill < LOW_SHARE_OF_DUE * due_fill


def _disagreement(signs: FilterSigns, rod: SoundingSign, flow: FlowSign, head: FlowSign, today: date) -> Diagnosis:
    readings = [
        f"flow is {percent_words(flow.flow_share or 0)} of baseline",
        f"head difference {times_words(head.head_ratio or 0)}",
    ]
    water = _over_the_limit_words(signs, today)
    if water:
        readings.append(water)
    return Diagnosis(
        code="disagree",
        likely="the bed is blinded or the distribution pipe displaced; sludge may lie where the rod does not reach",
        say="Look at pump and bed before vacuuming",
        check="A depth taken away from the pipe, at the far end, settles it: deep there means the rod stands in a hole.",
        sentence=f"Signals disagree: rod says {percent_words(rod.fill)}, but {listed(readings)}. Look at pump and bed.",
        is_disagreement=True,
    )


def _over_the_limit_words(signs: FilterSigns, today: date) -> str:
    """'ammonia over the limit twice', counted over the last three tests; nitrite is named when ammonia is not."""
    tests = signs.recent_tests(today)
    for analyte, name in (("tan", "ammonia"), ("nitrite", "nitrite")):
        n = sum(any(_is_past_look(signs, s, analyte) for s in test) for test in tests)
        if n:
            return f"{name} over the limit{TIMES.get(n, f' {n} times')}"
    return ""


def _is_past_look(signs: FilterSigns, sign: WaterSign, analyte: str) -> bool:
    return sign.analyte == analyte and signs.level_of(sign) in ("look", "act")


def _waters_past_look(signs: FilterSigns, today: date) -> bool:
    found = (signs.last_value(analyte, today) for analyte in ("tan", "nitrite"))
    return any(sign is not None and signs.level_of(sign) in ("look", "act") for sign in found)


def _has_fallen(signs: FilterSigns) -> bool:
    """The rod shows clearly less than last time though nothing was taken out between."""
    if len(signs.soundings) < 2:
        return False
    before, now = signs.soundings[-2:]
    taken_out = (*signs.cleanouts_on, *((signs.last_work_on,) if signs.last_work_on else ()))
    if any(before.on <= day <= now.on for day in taken_out):
        return False
    return not now.is_at_grid and before.fill - now.fill > FALL_WITHOUT_CLEANOUT


def _full(*, is_down: bool, is_head_up: bool) -> Diagnosis:
    if not is_down:
        return BOOK
    return FULL_AND_BED if is_head_up else FULL


def is_disputed(
    *,
    sounding: SoundingSign,
    due_fill: float,
    flows: Iterable[FlowSign],
    works_on: Iterable[date] = (),
) -> bool:
    """Was a depth taken while the signals disagreed? Such a reading is shown and never learnt from.

    `flows` are the flow checks of the same filter, `works_on` the days of work that ended a state (emptied, re-stacked, pump set
    right). The check nearest in time within the same state, at most 60 days off, decides; the day of the work itself still
    belongs to the state before it.
    """
    if not _is_low(sounding, due_fill):
        return False
    works = list(works_on)

    def is_same_state(day: date) -> bool:
        first, last = sorted((day, sounding.on))
        return not any(first < work < last or (work == first < last) for work in works)

    near = [
        flow
        for flow in flows
        if flow.flow_share is not None
        and flow.head_ratio is not None
        and abs((flow.on - sounding.on).days) <= SAME_STATE_DAYS
        and is_same_state(flow.on)
    ]
    if not near:
        return False
    nearest = min(near, key=lambda flow: (abs((flow.on - sounding.on).days), flow.on > sounding.on))
    return nearest.flow_share is not None and nearest.flow_share < FLOW_LOOK and nearest.is_head_up


def _plain(code: str, likely: str, say: str, check: str) -> Diagnosis:
    return Diagnosis(code=code, likely=likely, say=say, check=check, sentence=f"{say}: most likely {likely}.")


FULL = _plain("full", "the void is full", "Vacuum the void", "Flow after the cleanout should be back at its baseline.")
FULL_AND_BED = _plain(
    "full and bed",
    "the void is full, and the bed is beginning to blind",
    "Vacuum the void, then read the head again",
    "A head difference still up after the cleanout means the bed.",
)
BOOK = _plain(
    "filling", "it is filling as expected", "Book it", "One more sounding a month from now would show how fast."
)
PUMP = _plain(
    "pump",
    "pump, screen or hose",
    "Check pump and intake",
    "Clean the screen and read the flow again; measure the pump with the hose off.",
)
BED = _plain(
    "bed",
    "the bed is blinding while the pump still manages",
    "Read the head difference again, then look at the bed",
    "Two readings at the same flow settle it.",
)
SOUND = _plain(
    "sound",
    "the void is fuller than known, or the bed is blinding",
    "Take a sounding",
    "A high rod means the void, a low one the bed.",
)
WATER = _plain(
    "water",
    "a young bed, too much feed, a test error or a dead animal",
    "Retest, count animals, check feed",
    "A second test with another kit settles the first of these.",
)
OUTLET = _plain(
    "outlet",
    "the weir is blocked, or roots stand in it",
    "Clear the outlet",
    "The water over the media should fall back to its mark at once.",
)
FELL = _plain(
    "fell",
    "a hole under the pipe, a reading error, or gas lifting the sludge",
    "Repeat the sounding",
    "Three readings, pump off ten minutes, at another pipe if there is one.",
)
