"""Taking records out: a package is written aside, moved into place when it is whole, and noted."""

from __future__ import annotations

import os
import tempfile
from datetime import date, datetime
from pathlib import Path

from django.db import transaction

from enclosures.actions.entries import Refused
from enclosures.exports.archive import PackageWritten, write_package
from enclosures.exports.scope import Scope
from enclosures.models import Animal, Facility, SavedPackage


def build_package(
    *,
    facility: Facility,
    out: Path,
    made_at: datetime,
    made_by: str,
    program: str = "",
    from_on: date | None = None,
    to_on: date | None = None,
    with_photo_files: bool = True,
) -> SavedPackage:
    """Write the record tables to `out` (a name ending in .zip: a zip; else a new folder) and note who took them.

    Without `program` and days it is the whole record, which reads back without loss. With them it is a part, and says so: the
    program's animals and the enclosures they stayed in, events of the period, only what is true now. Without `with_photo_files`
    photos are described and their files left out.
    Raises Refused (unknown program, days in the wrong order, a place that cannot be written). Nothing half-done stays.
    """
    scope = Scope(program, from_on, to_on, with_photo_files)
    _refuse_empty_scope(scope)
    target = Path(out)
    is_zip = target.suffix.lower() == ".zip"
    if not is_zip and target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise Refused({"out": f"{target} is there already and not empty; name a new folder, or a file ending in .zip."})
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".package-", dir=target.parent) as aside:
            half = Path(aside) / ("package.zip" if is_zip else "package")
            written = write_package(half, facility=facility, made_at=made_at, made_by=made_by, scope=scope)
            with transaction.atomic():  # no note without its package, no package without its note
                package = _note(written, facility=facility, made_at=made_at, made_by=made_by, scope=scope)
                _move(half, target)
    except OSError as wrong:
        raise Refused({"out": f"{target} cannot be written: {wrong.strerror or wrong}."}) from wrong
    return package


def _refuse_empty_scope(scope: Scope) -> None:
    if scope.from_on and scope.to_on and scope.from_on > scope.to_on:
        raise Refused({"to_on": f"The period ends ({scope.to_on}) before it begins ({scope.from_on})."})
    if scope.program and not scope.animals().exists():
        programs = sorted(set(Animal.objects.exclude(program="").values_list("program", flat=True)))
        known = f"known are {', '.join(programs)}" if programs else "no animal is in one"
        raise Refused({"program": f"No animal is in a program “{scope.program}”; {known}."})


def _move(half: Path, target: Path) -> None:
    if half.is_dir() and target.exists():
        target.rmdir()  # empty, as was checked
    elif target.is_dir():
        raise Refused({"out": f"{target} is a folder; name a file ending in .zip."})
    os.chmod(half, 0o755 if half.is_dir() else 0o644)
    os.replace(half, target)


def _note(
    written: PackageWritten, *, facility: Facility, made_at: datetime, made_by: str, scope: Scope
) -> SavedPackage:
    return SavedPackage.objects.create(
        facility=facility,
        made_at=made_at,
        made_by=made_by,
        program=scope.program,
        from_on=scope.from_on,
        to_on=scope.to_on,
        level="full",
        row_counts=written.row_counts,
        sha256=written.sha256,
    )
