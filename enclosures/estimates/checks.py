"""Hard limits of physical quantities: outside them a value cannot be true, and the sentence names the argument.

Soft limits ("are you sure?") live in `verdicts/sanity.py`; these refuse. Each check returns nothing and raises
`BadQuantity` or its kind. The limits are wide on purpose. Values that are not numbers, or not finite, are refused.
"""

from __future__ import annotations

import math


class BadQuantity(ValueError):
    """A value that cannot be used. The text is a sentence fit to show beside the field."""


class OutOfRange(BadQuantity):
    """A value outside what can be true. `argument`, `value`, `low`, `high` say which and why."""

    def __init__(self, what: str, argument: str, value: float, *, low: float, high: float, unit: str) -> None:
        self.argument = argument
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        super().__init__(
            f"{what} ({argument}) must be {_range_in_words(low=low, high=high, unit=unit)}; got {value:g}."
        )


class UnknownBasis(BadQuantity):
    """A reading without a usable "expressed as": it cannot be turned into mg/L as N or as CaCO3."""


def _range_in_words(*, low: float, high: float, unit: str) -> str:
    unit_text = f" {unit}" if unit else ""
    if math.isinf(high):
        return f"{low:g}{unit_text} or more"
    return f"from {low:g} to {high:g}{unit_text}"


def check_range(value: float, argument: str, *, what: str, low: float, high: float, unit: str = "") -> None:
    """Refuse a value outside low..high (both allowed), and anything that is not a number."""
    if not low <= value <= high or math.isinf(value):
        raise OutOfRange(what, argument, value, low=low, high=high, unit=unit)


def check_not_negative(value: float, argument: str) -> None:
    check_range(value, argument, what="This amount", low=0, high=math.inf)


def check_positive(value: float, argument: str) -> None:
    """Refuse zero as well: the value divides, or stands under a logarithm."""
    if not value > 0 or math.isinf(value):
        raise BadQuantity(f"This amount ({argument}) must be more than 0; got {value:g}.")


def check_fraction(value: float, argument: str) -> None:
    check_range(value, argument, what="This share", low=0, high=1)


def check_temp_c(value: float, argument: str = "temp_c") -> None:
    check_range(value, argument, what="Water temperature", low=-2, high=45, unit="°C")


def check_ph(value: float, argument: str = "ph") -> None:
    check_range(value, argument, what="pH", low=3, high=11)


def check_salinity(value: float, argument: str = "salinity_g_kg") -> None:
    check_range(value, argument, what="Salinity", low=0, high=45, unit="g/kg")


def check_mg_l(value: float, argument: str) -> None:
    check_range(value, argument, what="Concentration", low=0, high=100_000, unit="mg/L")


def check_pressure_atm(value: float, argument: str = "pressure_atm") -> None:
    """0.5 atm is air at about 5,500 m; 1.1 is more than any weather brings."""
    check_range(value, argument, what="Air pressure", low=0.5, high=1.1, unit="atm")


def check_altitude_m(value: float, argument: str = "altitude_m") -> None:
    check_range(value, argument, what="Altitude", low=-430, high=5000, unit="m")


def check_area_m2(value: float, argument: str = "area_m2") -> None:
    check_positive(value, argument)
    check_range(value, argument, what="Area", low=0, high=50_000, unit="m²")


def check_void_height_mm(value: float, argument: str = "void_height_mm") -> None:
    check_range(value, argument, what="Void height", low=10, high=2000, unit="mm")


def check_usable_fraction(value: float, argument: str = "usable_fraction") -> None:
    check_range(value, argument, what="Usable share of the void", low=0.2, high=1)


def check_porosity(value: float, argument: str = "porosity") -> None:
    check_range(value, argument, what="Free space in the bed", low=0.05, high=0.95)
