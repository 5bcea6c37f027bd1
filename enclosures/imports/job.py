"""One import: read and check everything in memory, then save in waves, each row after what it refers to."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db import models

from enclosures.exports.places import FACILITY
from enclosures.exports.record_tables import BY_NAME, TABLES
from enclosures.exports.references import Reference, references_of
from enclosures.exports.table import Column, Table
from enclosures.imports import rules
from enclosures.imports.foods import food_records, recipes_by_food, settle_known_foods
from enclosures.imports.records import Identity, Part, Record, RecordMaker, merged, number_parts
from enclosures.imports.report import Report
from enclosures.imports.rows import Row, RowReader, Sheet, cell_text, entry_from_content, value_or_default
from enclosures.imports.stored import Stored
from enclosures.models import Facility, FilterBuild, TestKit

BATCH = 1000


class ImportJob:
    """State of one import. `read` fills the report; `save` writes what `read` found good."""

    def __init__(self, sheets: list[Sheet], *, report: Report, now: datetime, told: Callable[[str], None]) -> None:
        self.sheets = {sheet.table.name: sheet for sheet in sheets}
        self.report, self.now, self.told = report, now, told
        self.stored = Stored()
        self.records: dict[str, list[Record]] = {}
        self.named: dict[str, dict[Identity, Record]] = {}
        self.known = rules.Known()
        self.facility: Record | int = 0

    # --- reading ---

    def read(self) -> None:
        zone = self._facility_zone()
        for table in TABLES:
            sheet = self.sheets.get(table.name)
            if sheet is None or table is FACILITY:
                continue
            reader = RowReader(sheet, zone=zone, now=self.now, report=self.report)
            rows = list(reader.rows())
            if rows:
                self.told(f"{table.name}: {len(rows)} rows read")
            if table.name == "food_items":
                self._read_foods(rows, sheet)
                continue
            self._read_table(table, rows, sheet)

    def _facility_zone(self) -> Any:
        """The facility first: its zone gives every day its meaning. One database holds one facility."""
        here = Facility.objects.first()
        sheet = self.sheets.get("facility")
        record = None
        if sheet is not None:
            reader = RowReader(sheet, zone=(here or Facility()).zone, now=self.now, report=self.report)
            maker = RecordMaker(FACILITY, file=sheet.file, report=self.report)
            rows = list(reader.rows())
            if len(rows) > 1:
                self.report.refuse(
                    "There is more than one row; a package is of one facility.", file=sheet.file, line=rows[1].line
                )
            if rows:
                record = maker.record(rows[0])
                maker.fill(record)
                maker.check(record)
        if here is not None:
            self.facility = here.pk
            if record is not None:
                self._compare_facility(record, here)
            return here.zone
        if record is None:
            record = Record(model=Facility, file="", line=0, identity=(), values={}, cells={})
        record.values["name"] = record.values.get("name") or "Facility"
        record.values["code"] = record.values.get("code") or "F"
        self.facility = record
        self.records["facility"] = [record]
        self.report.count("facility").new = 1
        return Facility(time_zone=record.values.get("time_zone") or "UTC").zone

    def _compare_facility(self, record: Record, here: Facility) -> None:
        code = record.cells.get("code")
        if code is not None and code != here.code:
            self.report.refuse(
                f"This database holds the facility {here.code}, the file is of {code}; one database holds one facility.",
                file=record.file,
                line=record.line,
                column="code",
            )
            return
        for column in FACILITY.columns:
            said, stored = record.cells.get(column.name), getattr(here, column.path)
            if said is not None and said != stored:
                self._differs(record, f"The facility {here.code}", column, stored=cell_text(column, stored), said=said)
        self.report.count("facility").already = 1

    def _read_foods(self, rows: list[Row], sheet: Sheet) -> None:
        foods = food_records(rows, file=sheet.file, report=self.report)
        self.named["food_items"] = {food.identity: food for food in foods}
        self.known.recipes = recipes_by_food(foods)
        already, new = settle_known_foods([food for food in foods if food.is_good], report=self.report)
        self.records["food_items"] = new
        count = self.report.count("food_items")
        count.already, count.new = already, len(rows) - already

    def _read_table(self, table: Table, rows: list[Row], sheet: Sheet) -> None:
        if table.is_log:
            seen: dict[str, int] = {}
            for row in rows:
                if row.values.get("entry") is None:
                    row.values["entry"] = entry_from_content(table, row, seen)
        maker = RecordMaker(table, file=sheet.file, report=self.report)
        records = list(merged(rows, maker)) if table.part else self._single(table, rows, maker)
        self.named[table.name] = {record.identity: record for record in records}
        good = [record for record in records if record.is_good]
        for record in good:
            maker.fill(record)
            number_parts(record)
            self._complete(table, record)
        self._refer(table, good)
        for record in good:
            if record.is_good:
                maker.check(record)
        self._job_rules(table, [record for record in good if record.is_good])
        self.records[table.name] = self._settle_known(table, [record for record in good if record.is_good])

    def _single(self, table: Table, rows: list[Row], maker: RecordMaker) -> list[Record]:
        """One row a record; the same row twice counts once, another row under the same key is refused."""
        by_identity: dict[Identity, Record] = {}
        for row in rows:
            record = maker.record(row)
            first = by_identity.setdefault(record.identity, record)
            if first is record:
                continue
            if first.cells == record.cells:
                self.report.count(table.name).already += 1
                continue
            key = ", ".join(cell_text(table.by_name[name], row.values.get(name)) for name in table.identity)
            self.report.refuse(
                f"{key} was already given in line {first.line}, with other values.", file=maker.file, line=row.line,
                column=table.identity[0],
            )  # fmt: skip
        return list(by_identity.values())

    def _complete(self, table: Table, record: Record) -> None:
        if any(field.name == "facility" for field in table.model._meta.fields):
            record.refs["facility"] = self.facility
        if table.is_log:
            record.values["entry"] = record.identity[0]
            if record.values["entered_at"] is None:
                record.values["entered_at"] = record.moment.at
            rules.set_flags(record)

    # --- references ---

    def _refer(self, table: Table, records: list[Record]) -> None:
        for reference in references_of(table.name):
            if reference.target is table:
                self._refer_to_own(table, reference, records)
                continue
            for record in records:
                holders: Iterable[Record | Part] = record.parts if reference.is_of_part else [record]
                for holder in holders:
                    self._refer_one(reference, record, holder)
        if table.is_log:
            self._refuse_two_successors(table, records)

    def _refer_one(self, reference: Reference, record: Record, holder: Record | Part) -> None:
        identity = tuple(holder.cells.get(column.name) for column in reference.columns)
        if None in identity:
            return
        found = self._find(reference.target, identity, asked_by=record)
        if found is None:
            record.is_good = False
            names = {"taxa": "taxon"}
            thing = names.get(reference.target.name, reference.target.identity[0])
            said = " from ".join(cell_text(c, v) for c, v in zip(reference.columns, identity, strict=True))
            self.report.refuse(
                f"No {thing} “{said}” is known; its row belongs in {reference.target.name}.",
                file=record.file,
                line=holder.line,
                column=reference.columns[0].name,
            )
        elif found:
            holder.refs[reference.field] = found

    def _find(self, target: Table, identity: Identity, *, asked_by: Record) -> Record | int | None:
        """The record or key referred to; 0 when it is in the file but at fault (said once, there)."""
        known = self.named.get(target.name, {}).get(identity)
        key = self.stored.keys(target).get(identity)
        if key is not None:
            return key
        if known is not None:
            return known if known.is_good else 0
        if target.name in self.sheets and self.sheets[target.name].is_broken:
            return 0
        return self._new_taxon(identity, asked_by) if target.name == "taxa" else None

    def _new_taxon(self, identity: Identity, asked_by: Record) -> Record:
        taxa = BY_NAME["taxa"]
        maker = RecordMaker(taxa, file=asked_by.file, report=self.report)
        taxon = maker.record(Row(asked_by.line, {"taxon": identity[0]}, is_good=True))
        maker.fill(taxon)
        self.named.setdefault("taxa", {})[identity] = taxon
        self.records.setdefault("taxa", []).append(taxon)
        self.report.count("taxa").new += 1
        self.report.new_taxa.append(identity[0])
        return taxon

    def _refer_to_own(self, table: Table, reference: Reference, records: list[Record]) -> None:
        """A correction names the entry it replaces, a merged animal the one that stays: in this file or already stored."""
        column = reference.columns[0]
        asked = {record.cells[column.name] for record in records if record.cells.get(column.name) is not None}
        named = self.named[table.name]
        stored = self.stored.entries(table, asked) if table.is_log else self.stored.keys(table)
        for record in records:
            said = record.cells.get(column.name)
            if said is None:
                continue
            found: Record | int | None = stored.get((said,)) or named.get((said,))
            if found is record:
                found = None
            if found is None or (isinstance(found, Record) and not found.is_good):
                record.is_good = False
                if found is None:
                    self.report.refuse(
                        f"“{said}” is neither in {table.name} of this package nor already stored.",
                        file=record.file,
                        line=record.line,
                        column=column.name,
                    )
                continue
            record.refs[reference.field] = found
        self._refuse_circles(records, reference)

    def _refuse_circles(self, records: list[Record], reference: Reference) -> None:
        for record in records:
            seen, here = {id(record)}, record.refs.get(reference.field)
            while isinstance(here, Record):
                if id(here) in seen:
                    record.is_good = False
                    self.report.refuse(
                        "The rows name each other in a circle.",
                        file=record.file,
                        line=record.line,
                        column=reference.columns[0].name,
                    )
                    break
                seen.add(id(here))
                here = here.refs.get(reference.field)

    def _refuse_two_successors(self, table: Table, records: list[Record]) -> None:
        """An entry is put right once; the next correction names the correction."""
        first: dict[tuple[str, int], Record] = {}
        known = self.stored.entries(table, (record.identity[0] for record in records))
        for record in records:
            target = record.refs.get("supersedes")
            if target is None or record.identity in known:
                continue
            key = ("stored", target) if isinstance(target, int) else ("file", id(target))
            other = first.setdefault(key, record)
            if other is not record:
                self._already_superseded(record, f"line {other.line}")
        stored = [key for where, key in first if where == "stored"]
        for key in self.stored.superseded(table, stored):
            self._already_superseded(first["stored", key], "an entry already stored")

    def _already_superseded(self, record: Record, by: str) -> None:
        record.is_good = False
        self.report.refuse(
            f"The entry it supersedes was already put right by {by}; name the newest version.",
            file=record.file,
            line=record.line,
            column="supersedes",
        )

    # --- rules of the job ---

    def _job_rules(self, table: Table, records: list[Record]) -> None:
        if table.name == "filter_builds":
            self._voids(records)
        elif table.name == "test_kits":
            self._kits(records)
        elif table.name == "stays":
            rules.refuse_overlaps([r for r in records if not self._is_stored(table, r)], self.report)
        elif table.name == "feedings":
            self._recipes()
            for record in records:
                rules.compute_feeding(record, self.known)
        elif table.name == "water_tests":
            self._kits(())
            for record in records:
                rules.compute_water_test(record, self.known, self.report)
        elif table.name in {"soundings", "cleanouts"}:
            self._voids(())
            is_sounding = table.name == "soundings"
            rules.refuse_impossible_depths(records, self.known, self.report, is_sounding=is_sounding)

    def _is_stored(self, table: Table, record: Record) -> bool:
        return record.identity in self.stored.keys(table)

    def _voids(self, records: Iterable[Record]) -> None:
        if not self.known.voids or records:
            stored = list(FilterBuild.objects.values_list("filter__code", "valid_from", "void_height_mm"))
            given = [(r.cells["filter"], r.values["valid_from"], r.values["void_height_mm"]) for r in records]
            self.known.voids = rules.in_order_of_day([*stored, *given])

    def _kits(self, records: Iterable[Record]) -> None:
        if not self.known.kits or records:
            stored = TestKit.objects.values_list("code", "analyte", "reports_as")
            kits = {(code, analyte): says for code, analyte, says in stored}
            for record in records:
                values = record.values
                kits.setdefault((values["code"], values["analyte"]), values["reports_as"])
            self.known.kits = kits

    def _recipes(self) -> None:
        if not self.known.recipes:
            self.known.recipes = recipes_by_food([])

    # --- what is already there ---

    def _settle_known(self, table: Table, records: list[Record]) -> list[Record]:
        """The new ones. One that is there already must say the same, and is counted."""
        if table.is_log:
            keys: Any = self.stored.entries(table, (record.identity[0] for record in records))
        else:
            keys = self.stored.keys(table)
        there = [record for record in records if record.identity in keys]
        count = self.report.count(table.name)
        count.new += len(records) - len(there)
        count.already += len(there)
        if not there:
            return records
        rows = self.stored.rows(table, [record.identity for record in there])
        for record in there:
            text = tuple(cell_text(table.by_name[name], record.cells[name]) for name in table.identity)
            self._compare(table, record, rows.get(text, []))
        known = {id(record) for record in there}
        return [record for record in records if id(record) not in known]

    def _compare(self, table: Table, record: Record, stored: list[dict[str, str]]) -> None:
        thing = f"This {'entry' if table.is_log else table.identity[0]}"
        for column in table.columns:
            if table.is_of_part(column) or not column.is_said or column.name not in record.cells:
                continue
            said = record.cells[column.name]
            if said is None and not table.is_log:
                continue
            text = cell_text(column, value_or_default(table, column, said))
            here = stored[0][column.name] if stored else text
            if text != here:
                self._differs(record, thing, column, stored=here, said=said)
                return
        if table.part:
            self._compare_parts(table, record, stored)

    def _compare_parts(self, table: Table, record: Record, stored: list[dict[str, str]]) -> None:
        here = [row for row in stored if row[table.number] != "0"]
        if len(here) != len(record.parts):
            self.report.refuse(
                f"This entry is already stored with {len(here)} of its rows, the file has {len(record.parts)}.",
                file=record.file,
                line=record.line,
                column="entry",
            )
            return
        for part, row in zip(record.parts, here, strict=True):
            for column in table.columns:
                if not table.is_of_part(column) or not column.is_said or column.name not in part.cells:
                    continue
                text = cell_text(column, value_or_default(table, column, part.cells[column.name]))
                if text != row[column.name]:
                    self._differs(record, "This entry", column, stored=row[column.name], said=part.cells[column.name])
                    return

    def _differs(self, record: Record, thing: str, column: Column, *, stored: str, said: Any) -> None:
        self.report.refuse(
            f"{thing} is already here with “{stored}”, the file says “{cell_text(column, said)}”.",
            file=record.file,
            line=record.line,
            column=column.name,
        )

    # --- saving ---

    def save(self) -> None:
        for table in TABLES:
            records = self.records.get(table.name, [])
            for wave in waves(records):
                if table.is_log:
                    wave.sort(key=lambda r: (r.values["entered_at"], r.values["occurred_at"], r.identity[0].hex))
                self._insert(wave)
            if records and table.part and table.name != "food_items":
                self._insert_parts(table, records)
            if records:
                self.told(f"{table.name}: saved")

    def _insert(self, records: list[Record]) -> None:
        by_model: dict[type[models.Model], list[Record]] = {}
        for record in records:
            by_model.setdefault(record.model, []).append(record)
        for model, some in by_model.items():
            for record in some:
                record.saved = _built(model, record.values, record.refs)
            model._base_manager.bulk_create([record.saved for record in some], batch_size=BATCH)  # type: ignore[misc]

    def _insert_parts(self, table: Table, records: list[Record]) -> None:
        model = table.part_model
        assert model is not None
        owner = table.model._meta.get_field(table.part).field.name  # type: ignore[union-attr]
        parts = [
            _built(model, {**part.values, "position": part.number}, {**part.refs, owner: record})
            for record in records
            for part in record.parts
        ]
        model._base_manager.bulk_create(parts, batch_size=BATCH)


def waves(records: list[Record]) -> Iterable[list[Record]]:
    """Records so that each comes after those of the same list it refers to."""
    own = {id(record) for record in records}
    depth: dict[int, int] = {}

    def depth_of(record: Record) -> int:
        chain = []
        here = record
        while id(here) not in depth:
            chain.append(here)
            before = [ref for ref in here.refs.values() if isinstance(ref, Record) and id(ref) in own]
            if not before:
                depth[id(here)] = 0
                break
            here = before[0]
        for link in reversed(chain):
            before = [ref for ref in link.refs.values() if isinstance(ref, Record) and id(ref) in own]
            if before:
                depth[id(link)] = depth[id(before[0])] + 1
        return depth[id(record)]

    by_depth: dict[int, list[Record]] = {}
    for record in records:
        by_depth.setdefault(depth_of(record), []).append(record)
    return [by_depth[n] for n in sorted(by_depth)]


def _built(model: type[models.Model], values: dict[str, Any], refs: dict[str, Record | int]) -> models.Model:
    fields = {name: value for name, value in values.items() if name not in refs}
    for name, target in refs.items():
        fields[f"{name}_id"] = target if isinstance(target, int) else target.saved.pk  # type: ignore[union-attr]
    return model(**fields)
