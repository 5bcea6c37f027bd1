"""The facility comes first: its zone gives every day its meaning. One database holds one facility."""

from __future__ import annotations

from enclosures.exports.places import FACILITY
from enclosures.imports.records import Record, RecordMaker
from enclosures.imports.rows import Row, RowReader
from enclosures.imports.work import Work
from enclosures.models import Facility


def take_facility(work: Work) -> None:
    """Set `work.facility` and `work.zone`: the facility that is here, else that of the file, else one by default."""
    here = Facility.objects.first()
    given = _given(work)
    count = work.report.count("facility")
    if here is not None:
        work.facility, work.zone = here.pk, here.zone
        if given is not None:
            _compare(given, here)
            count.already += 1
        return
    if given is None:
        work.report.is_facility_made_up = True
        given = RecordMaker(FACILITY, file="", report=work.report).record(Row(0, {}, frozenset()))
    given.computed = {"name": given.cells.get("name") or "Facility", "code": given.cells.get("code") or "F"}
    given.maker.check(given)
    work.facility, work.zone = given, Facility(time_zone=given.values()["time_zone"]).zone
    work.records["facility"] = [given]
    count.new += 1


def _given(work: Work) -> Record | None:
    sheet = work.sheets.get("facility")
    if sheet is None:
        return None
    reader = RowReader(sheet, zone=work.zone, now=work.now, report=work.report)
    rows = list(reader.rows())
    if len(rows) > 1:
        work.report.refuse(
            "There is more than one row; a package is of one facility.", file=sheet.file, line=rows[1].line
        )
    return RecordMaker(FACILITY, file=sheet.file, report=work.report).record(rows[0]) if rows else None


def _compare(given: Record, here: Facility) -> None:
    code = given.cells.get("code", here.code)
    if code != here.code:
        given.refuse(
            f"This database holds the facility {here.code}, the file is of {code}; one database holds one facility.",
            column="code",
        )
        return
    for name, value in given.cells.items():
        column = FACILITY.by_name[name]
        stored = getattr(here, column.path)
        if value != stored:
            here_text, said = column.kind.write(stored), column.kind.write(value)
            given.refuse(
                f"The facility {here.code} is already here with “{here_text}”; the file says “{said}”.", column=name
            )
