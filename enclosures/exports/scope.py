"""Which rows a limited package holds: a program's animals and where they lived, events of a period, what is true now.

A limited package never claims to be the whole record: it leaves out what was put right or withdrawn (and so names no
superseded entry), and says so in its README and its description. The whole package has every row.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_

from django.db.models import Q, QuerySet

from enclosures.exports.record_tables import TABLES
from enclosures.exports.table import Table
from enclosures.models import PHOTO_TABLES, Animal, Clutch, Enclosure, PlannedMover, PumpFitting, Stay

BY_ENCLOSURE = {
    "feedings", "water_tests", "water_changes", "seasons", "instructions", "round_checks", "round_skips",
    "planned_seasons",
}  # fmt: skip
BY_FILTER = {"soundings", "flow_checks", "cleanouts", "upkeep", "filter_builds", "pump_fittings"}
BY_ANIMAL = {"marks", "stays", "measurements", "treatments", "transfers", "deaths"}


@dataclass(frozen=True)
class Scope:
    """Empty: everything. `program` limits to its animals and the enclosures they stayed in; days are included at both ends."""

    program: str = ""
    from_on: date | None = None
    to_on: date | None = None
    with_photo_files: bool = True  # without them the package is small, and the photos are only described

    @property
    def is_whole(self) -> bool:
        return not self.program and self.from_on is None and self.to_on is None

    def where(self, table: Table) -> Q | None:
        """The condition on the table's rows; None for all of them."""
        if self.is_whole:
            return None
        if table.name == "record_flags":
            return reduce(or_, (self._flags_of(other) for other in TABLES if other.is_log))
        condition = self._photos() if table.name == "photos" else Q()
        if table.is_log:
            condition &= Q(withdrawn=False, superseded_by__isnull=True)
        if table.is_log and table.name != "photos":  # a photo goes with its entry, whenever it was taken
            condition &= self._within("occurred_on", "occurred_on")
        elif table.name in {"stays", "seasons", "feeding_plans"}:
            condition &= self._within("from_on", "to_on")
        if self.program:
            condition &= self._of_program(table)
        return condition

    def emptied(self, table: Table) -> frozenset[str]:
        """Columns left empty: what names a row outside the package, and what stays at home."""
        no_file = frozenset({"file"}) if table.name == "photos" and not self.with_photo_files else frozenset()
        if self.is_whole:
            return no_file
        if table.is_log:
            return frozenset({"supersedes", "reason"}) | no_file
        return frozenset({"address"}) if table.name == "facility" and self.program else frozenset()

    def says(self) -> str:
        """The limits in words."""
        without = "" if self.with_photo_files else " The photos are described; their files are not included."
        if self.is_whole:
            return f"Everything on record, with every correction and withdrawal.{without}"
        parts = []
        if self.program:
            parts.append(f"Animals of the program {self.program}, and the enclosures they stayed in.")
        if self.from_on or self.to_on:
            span = f"from {self.from_on}" if self.from_on else ""
            span += f"{' ' if span else ''}to {self.to_on}" if self.to_on else ""
            parts.append(f"Events {span}, both days included.")
        parts.append("Only what is true now: entries put right or withdrawn are left out.")
        if self.program:
            parts.append("Without the address, permits and restricted health notes. Names of people are NOT taken out.")
        return " ".join(parts) + without

    def animals(self) -> QuerySet[Animal]:
        of_program = Q(program=self.program) | Q(merged_from__program=self.program)
        return Animal.objects.filter(of_program | Q(merged_into__program=self.program))

    def enclosures(self) -> QuerySet[Enclosure]:
        stays = Stay.objects.filter(self._within("from_on", "to_on"), animal__in=self.animals())
        return Enclosure.objects.filter(pk__in=stays.values("enclosure"))

    def _within(self, first: str, last: str) -> Q:
        """Spans that touch the period; an open end goes on."""
        condition = Q()
        if self.to_on is not None:
            condition &= Q(**{f"{first}__lte": self.to_on})
        if self.from_on is not None:
            condition &= Q(**{f"{last}__gte": self.from_on}) | Q(**{f"{last}__isnull": True})
        return condition

    def _of_program(self, table: Table) -> Q:
        animals, enclosures = self.animals().values("pk"), self.enclosures().values("pk")
        if table.name in BY_ENCLOSURE:
            return Q(enclosure__in=enclosures)
        if table.name in BY_FILTER:
            return Q(filter__enclosure__in=enclosures)
        if (
            table.name == "stays"
        ):  # whoever else was there stays out; the program's animals only where the package tells
            return Q(animal__in=animals)
        if table.name in BY_ANIMAL:
            return Q(animal__in=animals)
        clutches = Clutch.objects.filter(pk__in=self.animals().values("clutch"))
        special = {
            "animals": Q(pk__in=animals),
            "enclosures": Q(pk__in=enclosures),
            "filters": Q(enclosure__in=enclosures),
            "media_layers": Q(build__filter__enclosure__in=enclosures),
            "pumps": Q(pk__in=PumpFitting.objects.filter(filter__enclosure__in=enclosures).values("pump")),
            "taxa": Q(pk__in=self.animals().values("taxon")) | Q(pk__in=clutches.values("taxon")),
            "clutches": Q(pk__in=clutches.values("pk")),
            "eggs": Q(clutch__in=clutches.values("pk")) & (Q(animal__in=animals) | Q(animal__isnull=True)),
            "health_notes": Q(restricted=False)
            & (Q(animal__in=animals) | Q(animal__isnull=True, enclosure__in=enclosures)),
            "doses": Q(treatment__animal__in=animals),
            "feeding_plans": Q(animal__in=animals) | Q(enclosure__in=enclosures),
            # named animals, all of them the program's, and only between places the package tells of
            "planned_moves": Q(movers__animal__in=animals)
            & ~Q(pk__in=PlannedMover.objects.exclude(animal__in=animals).values("move"))
            & (Q(from_enclosure__isnull=True) | Q(from_enclosure__in=enclosures))
            & (Q(to_enclosure__isnull=True) | Q(to_enclosure__in=enclosures)),
            "permits": Q(pk__in=[]),
        }
        if table.name == "outages":
            return self._outages()
        return special.get(table.name, Q())

    def _outages(self) -> Q:
        condition = Q(enclosures="")
        for code in self.enclosures().values_list("code", flat=True):
            condition |= Q(enclosures__regex=rf"(^|\s){re.escape(code)}(\s|$)")
        return condition

    def _photos(self) -> Q:
        """Those of the entries that are in the package."""
        condition = Q(pk__in=[])
        for table in TABLES:
            if table.model._meta.model_name in PHOTO_TABLES:
                entries = table.model.all_rows.filter(self.where(table))  # type: ignore[attr-defined]
                condition |= Q(table=table.model._meta.model_name, of_entry__in=entries.values("entry"))
        return condition

    def _flags_of(self, table: Table) -> Q:
        entries = table.model.all_rows.filter(self.where(table))  # type: ignore[attr-defined]
        return Q(entry__in=entries.values("entry"))


EVERYTHING = Scope()
