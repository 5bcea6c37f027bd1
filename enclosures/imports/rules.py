"""What the job itself forbids or computes, table by table: a sounding has a void to be of, a meal has dry grams, a reading a basis."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from operator import itemgetter
from typing import Any

from enclosures.actions.entries import Refused, Stamp, flags_at_entry
from enclosures.actions.water import ReadingGiven, canonical_value
from enclosures.imports.foods import Recipe, recipe_on
from enclosures.imports.records import Record
from enclosures.imports.report import Report
from enclosures.models import Stay

DEPTH_TOLERANCE_MM = 5.0  # a rod is read to a few millimetres


@dataclass
class Known:
    """What rules look up: recipes by food, builds by filter (from, void height), what kits report as by (code, analyte)."""

    recipes: Mapping[str, list[Recipe]] = field(default_factory=dict)
    voids: Mapping[str, list[tuple[date, float]]] = field(default_factory=dict)
    kits: Mapping[tuple[str, str], str] = field(default_factory=dict)


def set_flags(record: Record) -> None:
    """Flags as given; where the column was not given, those every entry gets (late, clock)."""
    if "flags" in record.cells or record.cells.get("entered_at") is None:
        return
    stamp = Stamp(
        entered_at=record.values["entered_at"],
        entered_by="",
        clock_offset_s=record.values["clock_offset_s"],
        how=record.values["how"],
    )
    record.values["flags"] = flags_at_entry(moment=record.moment, stamp=stamp)


def compute_feeding(record: Record, known: Known) -> None:
    """Dry and protein grams by the recipe of the day, where the file does not bring them."""
    lacks = False
    for part in record.parts:
        if "dry_g" in part.cells or "protein_g" in part.cells:
            continue
        recipe = recipe_on(known.recipes.get(part.cells["food_item"], []), record.moment.on)
        if recipe is None:
            lacks = True
            continue
        _, moisture, protein = recipe
        part.values["dry_g"] = part.values["offered_g"] * (1 - moisture / 100)
        part.values["protein_g"] = part.values["offered_g"] * protein / 100
    if lacks:
        _flag(record, "CMP")


def compute_water_test(record: Record, known: Known, report: Report) -> None:
    """The canonical value beside each reading, where the file does not bring it; no basis, no value, and a flag."""
    for part in record.parts:
        if "canonical" in part.cells:
            continue
        values = part.values
        given = ReadingGiven(
            analyte=values["analyte"],
            value=values["value"],
            unit=values["unit"],
            qualifier=values["qualifier"],
            expressed_as=values["expressed_as"],
            kit=values["kit"],
        )
        try:
            values["canonical"] = canonical_value(given, kit_says=known.kits.get((given.kit, given.analyte), ""))
        except Refused as wrong:
            record.is_good = False
            report.refuse(str(wrong), file=record.file, line=part.line, column="value")
            continue
        if values["canonical"] is None:
            _flag(record, "KIT")


def refuse_impossible_depths(records: Iterable[Record], known: Known, report: Report, *, is_sounding: bool) -> None:
    """A sounding needs a void of its day, and none is deeper than it. What was put right or withdrawn since is let be."""
    records = list(records)
    replaced = {record.cells.get("supersedes") for record in records}
    for record in records:
        if record.cells.get("withdrawn") or record.identity[0] in replaced:
            continue
        builds = known.voids.get(record.cells["filter"], [])
        in_force = [height for start, height in builds if start <= record.moment.on]
        if not in_force:
            if is_sounding:
                _refuse_without_void(record, builds, report)
            continue
        for column, depth, line in _depths(record, is_sounding=is_sounding):
            if depth > in_force[-1] + DEPTH_TOLERANCE_MM:
                report.refuse(_too_deep(depth, in_force[-1]), file=record.file, line=line, column=column)


def refuse_overlaps(stays: list[Record], report: Report) -> None:
    """An animal is in one place at a time; the moment of a move belongs to both stays."""
    spans: dict[str, list[tuple[Any, ...]]] = {}
    for stay in stays:
        spans.setdefault(stay.cells["animal"], []).append((_span(stay.values), stay))
    names = ("from_at", "from_on", "from_precision", "to_at", "to_on", "to_precision")
    stored = Stay.objects.values_list("animal__code", *names)
    for animal, *values in stored:
        if animal in spans:
            spans[animal].append((_span(dict(zip(names, values, strict=True))), None))
    for animal, its in spans.items():
        its.sort(key=lambda pair: (pair[0]["from_at"], pair[1] is not None))
        for (before, first), (after, second) in pairwise(its):
            fault = second or first
            if fault is not None and before["from_at"] != after["from_at"] and _overlap(before, after):
                report.refuse(
                    f"{animal} is already somewhere else from {before['from_on']} "
                    f"to {before['to_on'] or 'now'}; end that stay first.",
                    file=fault.file,
                    line=fault.line,
                    column="from_at",
                )


def _span(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: values[name] for name in ("from_at", "from_on", "from_precision", "to_at", "to_on", "to_precision")}


def _overlap(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    if before["to_at"] is None:
        return True
    if "day" in (before["to_precision"], after["from_precision"]):
        return after["from_on"] < before["to_on"]
    return after["from_at"] < before["to_at"]


def _depths(record: Record, *, is_sounding: bool) -> list[tuple[str, float, int]]:
    if is_sounding:
        return [("depth_mm", part.values["depth_mm"], part.line) for part in record.parts]
    names = ("depth_before_mm", "depth_after_mm")
    return [(name, record.values[name], record.line) for name in names if record.values[name] is not None]


def _refuse_without_void(record: Record, builds: list[tuple[date, float]], report: Report) -> None:
    filter_ = record.cells["filter"]
    if builds:
        said = f"{filter_} was first built on {min(builds)[0]}; a sounding before that has no void to be of."
    else:
        said = f"{filter_} has no row in filter_builds, so there is no void to sound."
    report.refuse(said, file=record.file, line=record.line, column="occurred_at" if builds else "filter")


def _too_deep(depth: float, height: float) -> str:
    said = f"{depth:g} mm is deeper than the void of that day, which is {height:g} mm high."
    return f"{said} Did you mean {depth / 10:g} mm?" if depth / 10 <= height else said


def _flag(record: Record, code: str) -> None:
    flags = record.values["flags"]
    if code not in flags:
        record.values["flags"] = [*flags, code]


def in_order_of_day(builds: Iterable[tuple[str, date, float]]) -> dict[str, list[tuple[date, float]]]:
    """(filter, from, height) -> by filter, oldest first."""
    voids: dict[str, list[tuple[date, float]]] = {}
    for filter_, start, height in sorted(builds, key=itemgetter(1)):
        voids.setdefault(filter_, []).append((start, height))
    return voids
