"""Water tests: the raw reading is kept as read; what it means in mg/L is computed beside it, or not at all."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from enclosures.actions.entries import Logged, Refused, Stamp, record_entry
from enclosures.actions.stale import mark_stale
from enclosures.estimates.checks import OutOfRange, UnknownBasis
from enclosures.estimates.limits import LIMITS
from enclosures.estimates.units import (
    alkalinity_mg_l_caco3,
    as_recorded,
    basis_name,
    c_from_f,
    ion_mg_l,
    nitrogen_mg_l,
    with_unit,
)
from enclosures.models import Analyte, Enclosure, Moment, TestKit, WaterChange, WaterTest

MASS_PER_LITRE = {"mg/L": 1.0, "ppm": 1.0, "µg/L": 1e-3, "ug/L": 1e-3}


@dataclass(frozen=True, kw_only=True)
class ReadingGiven:
    """One reading as read. `expressed_as` N, NH3, NH4, NO2, NO3, CaCO3, dKH; empty: what the kit (its code) reports as."""

    analyte: str
    value: float
    unit: str
    qualifier: str = ""
    expressed_as: str = ""
    kit: str = ""


def log_water_test(
    *,
    enclosure: Enclosure,
    moment: Moment,
    readings: Sequence[ReadingGiven],
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    place: str = "tank",
) -> Logged:
    """Record one test: its readings, raw, with the canonical value beside each (models.Reading); flag BASE when a basis is not known.

    Raises Refused (nothing read, a value that cannot be true) and EntryConflict.
    """
    if not readings:
        raise Refused({"readings": "Enter at least one reading."})
    rows, flags = reading_rows(readings)
    with transaction.atomic():
        logged = record_entry(
            WaterTest,
            entry=entry,
            moment=moment,
            values={"enclosure": enclosure, "place": place},
            parts={"readings": rows},
            stamp=replace(stamp, flags=(*stamp.flags, *flags)),
        )
        if logged.is_new:
            mark_stale(enclosures=[enclosure])
    return logged


def log_water_change(
    *,
    enclosure: Enclosure,
    moment: Moment,
    volume_l: float,
    stamp: Stamp,
    entry: uuid.UUID | str | None = None,
    source: str = "",
    conditioner: str = "",
    temp_difference_c: float | None = None,
    cause: str = "",
) -> Logged:
    """Record litres changed. Raises Refused over three times the enclosure's water, and EntryConflict."""
    if volume_l > 3 * enclosure.water_volume_l:
        said, holds = (with_unit(as_recorded(v), "L") for v in (volume_l, enclosure.water_volume_l))
        raise Refused({"volume_l": f"{said} is more than three times the water in {enclosure.code} ({holds})."})
    return record_entry(
        WaterChange,
        entry=entry,
        moment=moment,
        values={
            "enclosure": enclosure,
            "volume_l": volume_l,
            "source": source,
            "conditioner": conditioner,
            "temp_difference_c": temp_difference_c,
            "cause": cause,
        },
        stamp=stamp,
    )


def reading_rows(readings: Sequence[ReadingGiven]) -> tuple[list[dict[str, Any]], tuple[str, ...]]:
    """Rows for Reading, and the flag BASE when a reading has no known basis."""
    codes = {reading.kit for reading in readings if reading.kit and not reading.expressed_as}
    kits = {kit.code: kit for kit in TestKit.objects.filter(code__in=codes)} if codes else {}
    rows, flags = [], set()
    for reading in readings:
        kit = kits.get(reading.kit)
        says = kit.reports_as if kit is not None and kit.analyte == reading.analyte else ""
        canonical = canonical_value(reading, kit_says=says)
        if canonical is None:
            flags.add("BASE")
        rows.append(
            {
                "analyte": reading.analyte,
                "value": reading.value,
                "qualifier": reading.qualifier,
                "unit": reading.unit,
                "expressed_as": reading.expressed_as,
                "kit": reading.kit,
                "canonical": canonical,
            }
        )
    return rows, tuple(flags)


def readings_given(test: WaterTest) -> list[ReadingGiven]:
    """A test's readings as they were given, to be repeated in a correction."""
    names = ("analyte", "value", "unit", "qualifier", "expressed_as", "kit")
    return [ReadingGiven(**row) for row in test.readings.order_by("position").values(*names)]


def canonical_value(reading: ReadingGiven, *, kit_says: str = "") -> float | None:
    """The reading in its analyte's own unit and basis (models.Reading); None when basis or unit is not known.

    Raises Refused when the value cannot be true.
    """
    if reading.analyte not in Analyte.values:
        raise Refused({"analyte": f"“{reading.analyte}” is not one of {', '.join(Analyte.values)}."})
    try:
        value = _converted(reading, basis=reading.expressed_as or kit_says)
    except UnknownBasis:
        return None
    except OutOfRange as wrong:
        raise Refused({reading.analyte: str(wrong)}) from wrong
    if value is None:
        return None
    limits = LIMITS[reading.analyte]
    low, high = limits.hard
    if not low <= value <= high:
        name = Analyte(reading.analyte).label
        allowed = with_unit(f"{as_recorded(low)}–{as_recorded(high)}", limits.unit)
        raise Refused(
            {reading.analyte: f"{name[:1].upper() + name[1:]}: {as_recorded(value)} cannot be; {allowed} can."}
        )
    return value


def _converted(reading: ReadingGiven, *, basis: str) -> float | None:
    analyte, unit, value = reading.analyte, reading.unit.strip(), float(reading.value)
    if analyte == "ph":
        return value
    if analyte == "temperature":
        if unit in {"degF", "°F", "F"}:
            return c_from_f(value)
        if unit in {"degC", "°C", "C"}:
            return value
        raise Refused({"temperature": f"“{unit}” is not a unit of temperature here; write degC or degF."})
    if analyte == "salinity":
        return value if unit in {"g/L", "ppt", "psu"} else (value / 1000 if unit in MASS_PER_LITRE else None)
    if analyte == "kh":
        if unit in {"dKH", "°dKH"}:
            return alkalinity_mg_l_caco3(value, "dKH")
        if unit == "meq/L":
            return alkalinity_mg_l_caco3(value, "meq/L")
        if unit not in MASS_PER_LITRE or basis_name(basis) != "CaCO3":  # mg/L of what else?
            return None
        return value * MASS_PER_LITRE[unit]
    if unit not in MASS_PER_LITRE:
        return None
    mg_l = value * MASS_PER_LITRE[unit]
    if analyte in {"tan", "nitrite"}:
        return nitrogen_mg_l(mg_l, basis, analyte=analyte)
    if analyte == "nitrate":
        return ion_mg_l(nitrogen_mg_l(mg_l, basis, analyte=analyte), "NO3")
    return mg_l
