"""Is a typed number plausible? Hard ranges refuse with a sentence; soft ranges ask once and the answer is kept as a flag.

Past a hard limit with a plausible slip it asks too, but then only the converted value can be saved. The question is put in the
person's own figures: "77 °C? Did you mean 77 °F (25.0 °C)?"
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, log
from typing import Literal

from enclosures.estimates.units import MINUS, as_recorded, grouped
from enclosures.verdicts.quantities import QUANTITIES, Quantity, Slip
from enclosures.verdicts.words import rounded

FLAG_KEPT = "OUT"  # outside the usual, confirmed by a person
FLAG_CONVERTED = "UNIT"  # converted at entry; the typed figure stays in the note
ALIKE = 1.35  # a slip explains a value when it lands this near the last one


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """`ok`, `ask` or `refuse`. With `must_convert` only the suggestion can be saved. `flag` is set when the value is kept as typed."""

    kind: Literal["ok", "ask", "refuse"]
    sentence: str = ""
    suggestion_value: float | None = None
    suggestion_label: str = ""
    flag: str = ""
    must_convert: bool = False

    @property
    def is_ok(self) -> bool:
        return self.kind == "ok"


OK = Finding(kind="ok")


def checked(
    quantity: str,
    value: float,
    *,
    last: float | None = None,
    limit: float | None = None,
    allowed_change: float | None = None,
) -> Finding:
    """Judge one value. `last` is the value before (or the plan, the estimate), `limit` the case's own limit (void height, rated flow).

    `allowed_change` replaces the quantity's usual factor, as a share (0.15: fifteen per cent either way). Raises KeyError for
    an unknown quantity.
    """
    q = QUANTITIES[quantity]
    if not isfinite(value):
        return Finding(kind="refuse", sentence=f"{q.label}: that is not a number.")
    down, up = q.compare.factors if q.compare and q.compare.factors else (None, None)
    if allowed_change is not None:
        down, up = 1 / (1 + allowed_change), 1 + allowed_change
    is_jump = _is_jump(q, value, last, down, up)
    trouble = _trouble(q, value, limit=limit, is_jump=is_jump)
    if trouble == "none":
        return OK
    slip = _slip_for(q, value, last=last, limit=limit)
    typed = _said(value, q.unit)
    is_hard = trouble == "hard"
    if slip is not None:
        meant = _round(slip.convert(value), q.decimals)
        why = _why(q, value, last=last, limit=limit, is_jump=is_jump)
        sentence = " ".join(
            part for part in (f"{typed}?", why, f"Did you mean {_meant(q, slip, value, meant)}?") if part
        )
        label = f"Yes, {grouped(meant, decimals=q.decimals)} {q.unit}".strip()
        return Finding(
            kind="ask",
            sentence=sentence,
            suggestion_value=meant,
            suggestion_label=label,
            flag="" if is_hard else FLAG_KEPT,
            must_convert=is_hard,
        )
    if is_hard:
        return Finding(kind="refuse", sentence=_refusal(q, value, limit=limit))
    why = _why(q, value, last=last, limit=limit, is_jump=is_jump) or _usual(q)
    is_at_grid = q.key == "depth_mm" and limit is not None and value > limit
    ending = "Did the rod stop at the grid?" if is_at_grid else "Is it right?"
    return Finding(kind="ask", sentence=f"{typed}? {why} {ending}", flag=FLAG_KEPT)


def _trouble(q: Quantity, value: float, *, limit: float | None, is_jump: bool) -> Literal["none", "soft", "hard"]:
    if not q.is_hard_ok(value):
        return "hard"
    if q.limit and limit:
        over = value > limit * q.limit.high_share
        if over and q.limit.is_hard and value > limit * (1 + q.limit.slack):
            return "hard"
        if over or (q.limit.low_share is not None and value < limit * q.limit.low_share):
            return "soft"
    return "soft" if is_jump or not q.is_soft_ok(value) else "none"


def _is_jump(q: Quantity, value: float, last: float | None, down: float | None, up: float | None) -> bool:
    if last is None:
        return False
    if q.compare is not None and q.compare.difference is not None and abs(value - last) > q.compare.difference:
        return True
    if last <= 0:
        return False
    ratio = value / last
    return (down is not None and ratio < down) or (up is not None and ratio > up)


def _slip_for(q: Quantity, value: float, *, last: float | None, limit: float | None) -> Slip | None:
    """The slip that explains the value best: nearest to the last one, else the first that lands in the usual range."""
    is_at_grid = q.key == "depth_mm" and limit is not None and limit < value < 2 * limit and last is None
    fitting = [slip for slip in q.slips if not is_at_grid and _fits(q, slip.convert(value), last=last, limit=limit)]
    if not fitting:
        return None
    if last is not None and last > 0:
        return min(fitting, key=lambda slip: _distance(q, slip.convert(value), last))
    return fitting[0]


def _fits(q: Quantity, meant: float, *, last: float | None, limit: float | None) -> bool:
    if not (q.is_hard_ok(meant) and q.is_soft_ok(meant)):
        return False
    if q.limit and limit and meant > limit * q.limit.high_share:
        return False
    if last is None:
        return True
    if q.compare is None:
        return True
    if q.compare.difference is not None:
        return abs(meant - last) <= q.compare.difference
    return last <= 0 or _distance(q, meant, last) <= log(ALIKE if q.key != "depth_mm" else 2.0)


def _distance(q: Quantity, meant: float, last: float) -> float:
    if q.compare is not None and q.compare.difference is not None:
        return abs(meant - last)
    return abs(log(meant / last)) if meant > 0 and last > 0 else float("inf")


# the sentences ------------------------------------------------------------------------------------------------------


def _said(value: float, unit: str) -> str:
    return f"{as_recorded(value)} {unit}".strip()


def _round(value: float, decimals: int) -> float:
    return float(round(value, decimals))


def _meant(q: Quantity, slip: Slip, value: float, meant: float) -> str:
    converted = f"{grouped(meant, decimals=q.decimals)} {q.unit}".strip()
    if not slip.meant:
        return f"{as_recorded(meant)} {q.unit}".strip()
    return f"{as_recorded(value)} {slip.meant} ({converted})"


def _why(q: Quantity, value: float, *, last: float | None, limit: float | None, is_jump: bool) -> str:
    if not q.is_hard_ok(value):
        return ""  # it cannot be, whatever the last one was
    if q.limit and limit:
        is_over = value > limit * q.limit.high_share
        is_under = q.limit.low_share is not None and value < limit * q.limit.low_share
        if is_over or is_under:
            tall = " high" if q.key == "depth_mm" else ""
            return f"{q.limit.words} {_said(limit, q.unit)}{tall}."
    if is_jump and last is not None and q.compare is not None:
        return f"{q.compare.words} {_said(last, q.unit)}{_change_words(q, value, last)}."
    return ""


def _change_words(q: Quantity, value: float, last: float) -> str:
    """', −96 %' where a share says it; temperatures differ by degrees, and a plan is not a change."""
    if q.key not in ("mass_g", "scl_mm") or last <= 0:
        return ""
    change = rounded((value / last - 1) * 100)
    return f", that is {MINUS if change < 0 else '+'}{abs(change)} %"


def _usual(q: Quantity) -> str:
    return f"Usual is {_range(q.soft, q.unit)}."


def _range(bounds: tuple[float, float], unit: str) -> str:
    return f"{as_recorded(bounds[0])} to {as_recorded(bounds[1])} {unit}".strip()


def _refusal(q: Quantity, value: float, *, limit: float | None) -> str:
    if q.is_hard_ok(value) and q.limit and limit:
        grid = " If the rod stopped at the grid, say so instead." if q.key == "depth_mm" else ""
        tall = " high" if q.key == "depth_mm" else ""
        return (
            f"{q.label} cannot be {_said(value, q.unit)}: {_lower(q.limit.words)} {_said(limit, q.unit)}{tall}.{grid}"
        )
    return f"{q.label} must be from {_range(q.hard, q.unit)}; {_said(value, q.unit)} cannot be."


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


# rules between values -----------------------------------------------------------------------------------------------


def allowed_mass_change(days: float, *, is_hatchling: bool) -> float:
    """How much an animal may gain or lose before it is asked about: 15 % a week, 40 % for hatchlings (common practice, no source).

    A month between weighings excuses more, but never over 30 % for the grown and a doubling for hatchlings.
    """
    weekly, most = (0.40, 1.0) if is_hatchling else (0.15, 0.30)
    return min(most, weekly * max(1.0, days / 7))


def depth_after_finding(*, before_mm: float | None, after_mm: float) -> Finding:
    """After a cleanout the rod cannot show clearly more than before: refused past 10 mm."""
    if before_mm is not None and after_mm > before_mm + 10:
        said = f"The depth after ({_said(after_mm, 'mm')}) is more than before ({_said(before_mm, 'mm')}). Were they swapped?"
        return Finding(kind="refuse", sentence=said)
    return OK


def composition_finding(**percent: float | None) -> Finding:
    """Moisture, protein, fat and ash of a food, as fed, cannot add up to more than 100 %."""
    known = {name: share for name, share in percent.items() if share is not None}
    total = sum(known.values())
    if total <= 100:
        return OK
    names = " + ".join(name.removesuffix("_percent") for name in known)
    return Finding(
        kind="refuse", sentence=f"{names} come to {total:g} %, more than the food itself. Are some of dry matter?"
    )
