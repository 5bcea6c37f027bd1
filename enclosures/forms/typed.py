"""Numbers as people type them, with the unit they have in their head: "24,5", "77 °F", "8.4 oz", "> 8", "1½".

A unit that is written is believed and converted; a unit that can mean two things is asked for. Pure text in, SI out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from enclosures.estimates import units


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a question: what its button says, and the text it puts into the field ("" keeps what was typed)."""

    label: str
    text: str = ""


class CannotRead(ValueError):
    """The text is not a number in a known unit. The message is the sentence beside the field; `choices` offers ways out."""

    def __init__(self, message: str, *, choices: tuple[Choice, ...] = ()) -> None:
        self.choices = choices
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Quantity:
    """`value` in the field's own unit; `qualifier` as the field knows it. `unit` is the unit written behind it ("" for none),
    and `typed` the whole text when that was another than the field's own."""

    value: float
    qualifier: str = ""
    unit: str = ""
    typed: str = ""


Convert = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class UnitSet:
    """Units a field of one kind understands. `own` is the unit of the value; a spelling in `unclear` is asked about."""

    own: str
    others: dict[str, Convert] = field(default_factory=dict)
    unclear: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def convert(self, value: float, spelled: str, *, typed: str) -> Quantity:
        name = spelled.lower().rstrip(".").replace(" ", "")
        if name in ("", self.own.lower()) or name in _SPELLINGS.get(self.own, ()):
            return Quantity(value, unit=name)
        if name in self.others:
            return Quantity(four_figures(self.others[name](value)), unit=name, typed=typed)
        if name in self.unclear:
            ways = self.unclear[name]
            raise CannotRead(
                f"“{spelled}” can mean two things. Which is it?",
                choices=tuple(self._way(value, way) for way in ways),
            )
        raise CannotRead(f"“{spelled}” is not a unit we know here; write {self._known()}.")

    def _way(self, value: float, way: str) -> Choice:
        converted = units.quantity(self.others[way.replace(" ", "")](value), self.own, figures=3)
        return Choice(f"{units.as_recorded(value)} {way} = {converted}", f"{value:g} {way}")

    def _known(self) -> str:
        return f"the number in {units.with_unit('', self.own).strip() or self.own}"


def _times(factor: float) -> Convert:
    return lambda value: value * factor


def four_figures(value: float) -> float:
    """A conversion is no more exact than what was read; the text as typed is kept beside it."""
    return float(f"{value:.4g}")


_SPELLINGS: dict[str, tuple[str, ...]] = {
    "degC": ("c", "°c", "degc", "℃"),
    "L": ("l", "litre", "litres", "liter", "liters"),
    "g": ("gram", "grams", "gr"),
    "mm": ("millimetre", "millimetres"),
    "L/h": ("lph", "l/hr", "l/hour"),
    "min": ("minute", "minutes", "mins"),
    "s": ("sec", "second", "seconds"),
    "mg/L": ("ppm",),
}
TEMPERATURE = UnitSet("degC", {"f": units.c_from_f, "°f": units.c_from_f, "degf": units.c_from_f, "℉": units.c_from_f})
TEMPERATURE_STEP = UnitSet("degC", {name: _times(1 / 1.8) for name in ("f", "°f", "degf", "℉")})
MASS = UnitSet(
    "g",
    {
        "kg": _times(1000),
        "mg": _times(0.001),
        "oz": units.g_from_oz,
        "ounce": units.g_from_oz,
        "ounces": units.g_from_oz,
        "lb": _times(16 * units.G_PER_OZ),
        "lbs": _times(16 * units.G_PER_OZ),
    },
)
LENGTH = UnitSet(
    "mm",
    {"cm": _times(10), "m": _times(1000), **dict.fromkeys(("in", "inch", "inches", '"', "″"), units.mm_from_in)},
)
VOLUME = UnitSet(
    "L",
    {
        "ml": _times(0.001),
        "m3": _times(1000),
        "m³": _times(1000),
        "usgal": units.l_from_us_gal,
        "impgal": units.l_from_imp_gal,
    },
    dict.fromkeys(("gal", "gallon", "gallons"), ("us gal", "imp gal")),
)
FLOW = UnitSet(
    "L/h",
    {
        "l/min": _times(60),
        "lpm": _times(60),
        "l/s": _times(3600),
        "m3/h": _times(1000),
        "m³/h": _times(1000),
        "usgal/h": units.l_from_us_gal,
        "impgal/h": units.l_from_imp_gal,
    },
    dict.fromkeys(("gph", "gal/h", "gal/hr"), ("us gal/h", "imp gal/h")),
)
CONCENTRATION = UnitSet(
    "mg/L", {"µg/l": _times(0.001), "μg/l": _times(0.001), "ug/l": _times(0.001), "g/l": _times(1000)}
)
DURATION = UnitSet("min", {**{name: _times(60) for name in ("h", "hr", "hour", "hours")}, "s": _times(1 / 60)})
SECONDS = UnitSet("s", {"min": _times(60)})
PLAIN = UnitSet("")

_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_NUMBER = re.compile(r"[-+]?(?:\d+\s+\d+/\d+|\d+/\d+|\d[\d.,'’]*|[.,]\d+)")
# Signs that can stand before a reading, longest first, in the spelling the tables use.
_SIGNS = ((">=", ">="), ("≥", ">="), ("<=", "<="), ("≤", "<="), (">", ">"), ("<", "<"))


def read_quantity(text: str, unit_set: UnitSet, *, signs: dict[str, str] | None = None) -> Quantity:
    """The quantity in a text. `signs` maps the signs that may stand before it (>, >=, <, <=) to the field's qualifiers.

    Raises CannotRead with a sentence.
    """
    typed = " ".join(text.split())
    sign, rest = _sign_of(typed)
    if sign and sign not in (signs or {}):
        raise CannotRead(f"Write the number alone; “{sign}” has no meaning here.")
    value, spelled = _number_of(rest, typed=typed)
    quantity = unit_set.convert(value, spelled, typed=typed)
    return replace(quantity, qualifier=(signs or {}).get(sign, ""))


def _sign_of(text: str) -> tuple[str, str]:
    for written, sign in _SIGNS:
        if text.startswith(written):
            return sign, text[len(written) :].strip()
    return "", text


def _number_of(text: str, *, typed: str) -> tuple[float, str]:
    text = text.replace("−", "-").replace("–", "-")
    for sign, plain in _FRACTIONS.items():
        text = text.replace(sign, f" {plain}")
    text = re.sub(r"(?<=\d)[ \u00a0\u202f](?=\d{3}(?!\d|/))", "", text.strip())
    found = _NUMBER.match(text)
    if found is None:
        raise CannotRead(f"“{typed}” is not a number.")
    spelled = text[found.end() :].strip()
    value = _value_of(found.group().strip(), typed=typed, spelled=spelled)
    if not math.isfinite(value):
        raise CannotRead(f"“{typed}” is not a number.")
    return value, spelled


def _value_of(number: str, *, typed: str, spelled: str) -> float:
    try:
        if "/" in number:
            whole, _, share = number.rpartition(" ")
            above, below = share.split("/")
            return float(whole or 0) + float(above) / float(below)
        return float(_with_point(number, typed=typed, spelled=spelled))
    except (ValueError, ZeroDivisionError) as wrong:
        if isinstance(wrong, CannotRead):
            raise
        raise CannotRead(f"“{typed}” is not a number.") from wrong


def _with_point(number: str, *, typed: str, spelled: str) -> str:
    number = number.replace("'", "").replace("’", "")
    comma, point = number.rfind(","), number.rfind(".")
    if comma >= 0 and point >= 0:  # the last of the two is the decimal one
        group = "," if point > comma else "."
        return number.replace(group, "").replace(",", ".")
    if re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", number):
        ways = (number.replace(",", ""), f"{float(number.replace(',', '.')):g}")
        texts = [f"{way} {spelled}".strip() for way in ways]
        raise CannotRead(f"“{typed}” can be read two ways.", choices=tuple(Choice(f"It is {t}", t) for t in texts))
    return number.replace(",", ".")
