"""What the job itself forbids or computes, table by table: a sounding has a void to be of, a meal has dry grams, a reading a basis."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from itertools import pairwise
from operator import itemgetter
from typing import Any

from enclosures.actions.entries import Refused, Stamp, flags_at_entry
from enclosures.actions.water import ReadingGiven, canonical_value
from enclosures.imports.foods import recipe_on, recipes_by_food
from enclosures.imports.pictures import check_photos
from enclosures.imports.records import Part, Record
from enclosures.imports.work import Work
from enclosures.models import FilterBuild, Stay, TestKit

DEPTH_TOLERANCE_MM = 5.0  # a rod is read to a few millimetres
SPAN = ("from_at", "from_on", "from_precision", "to_at", "to_on", "to_precision")


def apply_rules(table_name: str, records: list[Record], work: Work) -> None:
    """The rules of one table; what breaks them is refused with its line."""
    rule = _RULES.get(table_name)
    if rule is not None:
        rule(records, work)


def stamp(record: Record) -> None:
    """When it counts as entered, and the flags every entry gets (late, clock) where the file has no flags."""
    entered_at = record.cells.get("entered_at")
    if entered_at is None:
        record.computed["entered_at"] = record.moment.at
    elif "flags" not in record.given:
        given = Stamp(
            entered_at=entered_at,
            entered_by="",
            clock_offset_s=record.cells.get("clock_offset_s"),
            how=record.cells.get("how", ""),
        )
        record.computed["flags"] = flags_at_entry(moment=record.moment, stamp=given)


def _feedings(records: list[Record], work: Work) -> None:
    """Dry and protein grams by the recipe of the day, where the file does not bring them."""
    recipes = recipes_by_food(work)
    for record in records:
        for part in record.parts:
            if "dry_g" in part.given or "protein_g" in part.given:
                continue
            recipe = recipe_on(recipes.get(part.cells["food_item"], []), record.moment.on)
            if recipe is None:
                _flag(record, "CMP")
                continue
            _, moisture, protein = recipe
            part.computed["dry_g"] = part.cells["offered_g"] * (1 - moisture / 100)
            part.computed["protein_g"] = part.cells["offered_g"] * protein / 100


def _water_tests(records: list[Record], work: Work) -> None:
    """The canonical value beside each reading, where the file does not bring it; no basis, no value, and a flag."""
    kits = dict(TestKit.objects.values_list("code", "reports_as"))
    analytes = dict(TestKit.objects.values_list("code", "analyte"))
    for kit in work.new("test_kits"):
        kits[kit.cells["kit"]] = kit.cells.get("reports_as", "")
        analytes[kit.cells["kit"]] = kit.cells["analyte"]
    for record in records:
        for part in record.parts:
            if "canonical" in part.given:
                continue
            kit = part.cells.get("kit", "")
            says = kits.get(kit, "") if analytes.get(kit) == part.cells["analyte"] else ""
            try:
                value = canonical_value(_reading(part), kit_says=says)
            except Refused as wrong:
                record.refuse(str(wrong), column="value", line=part.line)
                continue
            part.computed["canonical"] = value
            if value is None:
                _flag(record, "BASE")


def _reading(part: Part) -> ReadingGiven:
    said = part.cells
    return ReadingGiven(
        analyte=said["analyte"],
        value=said["value"],
        unit=said["unit"],
        qualifier=said.get("qualifier", ""),
        expressed_as=said.get("expressed_as", ""),
        kit=said.get("kit", ""),
    )


def _soundings(records: list[Record], work: Work) -> None:
    """A sounding needs a void of its day, and none is deeper than it."""
    builds = _builds_by_filter(work)
    for record in _standing(records):
        its = builds.get(record.cells["filter"], [])
        height = _height_on(its, record.moment.on)
        if height is None:
            _refuse_without_void(record, its)
            continue
        for part in record.parts:
            _refuse_too_deep(record, part.cells["depth_mm"], height, column="depth_mm", line=part.line)


def _cleanouts(records: list[Record], work: Work) -> None:
    """No depth beyond the void of the day; one older than the first build is kept, as on paper from before."""
    builds = _builds_by_filter(work)
    for record in _standing(records):
        height = _height_on(builds.get(record.cells["filter"], []), record.moment.on)
        for column in ("depth_before_mm", "depth_after_mm"):
            if height is not None and column in record.cells:
                _refuse_too_deep(record, record.cells[column], height, column=column)


def _stays(records: list[Record], work: Work) -> None:
    """An animal is in one place at a time; the moment of a move belongs to both stays."""
    animals = {record.cells["animal"] for record in records}
    spans: dict[str, list[tuple[dict[str, Any], Record | None]]] = {animal: [] for animal in animals}
    there = set()
    for animal, *values in Stay.objects.values_list("animal__code", *SPAN):
        if animal in spans:
            spans[animal].append((dict(zip(SPAN, values, strict=True)), None))
            there.add((animal, values[0]))
    for record in records:
        if record.identity not in there:
            spans[record.cells["animal"]].append((record.values(), record))
    for animal, its in spans.items():
        its.sort(key=lambda pair: pair[0]["from_at"])
        for (before, first), (after, second) in pairwise(its):
            fault = second or first
            if fault is not None and _overlap(before, after):
                until = before["to_on"] or "now"
                reason = f"{animal} is already somewhere from {before['from_on']} to {until}; end that stay first."
                fault.refuse(reason, column="from_at")


def _overlap(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    if before["to_at"] is None:
        return True
    if "day" in (before["to_precision"], after["from_precision"]):
        return after["from_on"] < before["to_on"]
    return after["from_at"] < before["to_at"]


def _standing(records: list[Record]) -> Iterable[Record]:
    """Without what was put right or withdrawn since: a wrong depth that was corrected is part of the record."""
    replaced = {record.cells.get("supersedes") for record in records}
    return (r for r in records if not r.cells.get("withdrawn") and r.identity[0] not in replaced)


def _builds_by_filter(work: Work) -> dict[str, list[tuple[date, float]]]:
    """(from, void height) by filter, oldest first: stored ones and those of this import."""
    dated = list(FilterBuild.objects.values_list("filter__code", "valid_from", "void_height_mm"))
    for record in work.new("filter_builds"):
        dated.append(tuple(record.cells[name] for name in ("filter", "valid_from", "void_height_mm")))
    builds: dict[str, list[tuple[date, float]]] = {}
    for filter_, start, height in sorted(dated, key=itemgetter(1)):
        builds.setdefault(filter_, []).append((start, height))
    return builds


def _height_on(builds: list[tuple[date, float]], day: date) -> float | None:
    in_force = [height for start, height in builds if start <= day]
    return in_force[-1] if in_force else None


def _refuse_without_void(record: Record, builds: list[tuple[date, float]]) -> None:
    name = record.cells["filter"]
    if builds:
        reason = f"{name} was first built on {builds[0][0]}; a sounding before that has no void to be of."
        record.refuse(reason, column="occurred_at")
    else:
        record.refuse(f"{name} has no row in filter_builds, so there is no void to sound.", column="filter")


def _refuse_too_deep(record: Record, depth: float, height: float, *, column: str, line: int | None = None) -> None:
    if depth <= height + DEPTH_TOLERANCE_MM:
        return
    reason = f"{depth:g} mm is deeper than the void of that day, which is {height:g} mm high."
    if depth / 10 <= height:
        reason += f" Did you mean {depth / 10:g} mm?"
    record.refuse(reason, column=column, line=line)


def _flag(record: Record, code: str) -> None:
    flags = record.computed.get("flags") or record.cells.get("flags") or []
    if code not in flags:
        record.computed["flags"] = [*flags, code]


_RULES: dict[str, Callable[[list[Record], Work], None]] = {
    "feedings": _feedings,
    "water_tests": _water_tests,
    "soundings": _soundings,
    "cleanouts": _cleanouts,
    "stays": _stays,
    "photos": check_photos,
}
