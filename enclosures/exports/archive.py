"""Writes the package, as a zip or a folder: CSV rows stream from the database to the file, so memory stays level.

The same records give the same bytes: rows are sorted, times in the zip are fixed, and only README and description say when.
"""

from __future__ import annotations

import hashlib
import re
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import IO

from enclosures.exports.cells import instant_text
from enclosures.exports.datapackage import FileWritten, as_json, described
from enclosures.exports.photos import PHOTOS
from enclosures.exports.record_tables import TABLES
from enclosures.exports.scope import EVERYTHING, Scope
from enclosures.exports.table import Table
from enclosures.models import Facility, photo_path

BLOCK_ROWS = 500
LARGE_BYTES = 1 << 31
_TO_QUOTE = re.compile(r'[,"\r\n]')


@dataclass(frozen=True)
class PackageWritten:
    """Rows by table; `sha256` of the zip file, or of checksums.txt for a folder."""

    row_counts: dict[str, int]
    sha256: str


def write_package(
    target: Path, *, facility: Facility, made_at: datetime, made_by: str, scope: Scope = EVERYTHING
) -> PackageWritten:
    """Write the record tables to `target`: a zip when its name ends in .zip, else a folder, made if it is not there.

    Tables are read before those they refer to, so that whatever a row names is in the package, even when entries arrive
    while it is being written. Raises OSError when the place cannot be written.
    """
    with _sink(target) as sink:
        photos: set[str] = set()
        files = {table.name: _write_table(sink, table, scope, photos) for table in reversed(TABLES)}
        description = described(files, facility=facility, made_at=made_at, made_by=made_by, scope=scope)
        sums = {f"{name}.csv": file.sha256 for name, file in files.items()}
        for name in sorted(photos):
            sums[name] = _write_bytes(sink, name, photo_path(Path(name).stem).read_bytes())
        for name, data in (
            ("datapackage.json", as_json(description)),
            ("README.txt", _readme(files, facility=facility, made_at=made_at, made_by=made_by, scope=scope)),
        ):
            sums[name] = _write_bytes(sink, name, data)
        lines = "".join(f"{sums[name]}  {name}\n" for name in sorted(sums))
        checksum = _write_bytes(sink, "checksums.txt", lines.encode())
    if target.suffix.lower() == ".zip":
        checksum = _sha256_of(target)
    return PackageWritten({table.name: files[table.name].n_rows for table in TABLES}, checksum)


def csv_line(row: Iterable[str]) -> str:
    """One CSV line, quoted only where it must be; a lone carriage return is quoted too, or it would end the row."""
    return (
        ",".join(f'"{cell.replace(chr(34), chr(34) * 2)}"' if _TO_QUOTE.search(cell) else cell for cell in row) + "\n"
    )


def csv_blocks(
    table: Table, *, scope: Scope = EVERYTHING, photos: set[str] | None = None
) -> Iterator[tuple[int, bytes]]:
    """The table as CSV, in blocks of (rows, bytes): the header, then some hundred rows at a time.

    `photos` takes the names of the files that the rows of the photos table name.
    """
    yield 0, csv_line(table.header).encode()
    emptied = [place for place, name in enumerate(table.header) if name in scope.emptied(table)]
    rows = table.rows(where=scope.where(table), chunk_size=BLOCK_ROWS)
    file_at = table.header.index("file") if table is PHOTOS and photos is not None else None
    while some := list(islice(rows, BLOCK_ROWS)):
        for row in some:
            for place in emptied:
                row[place] = ""
            if file_at is not None and row[file_at]:
                photos.add(row[file_at])  # type: ignore[union-attr]
        yield len(some), "".join(map(csv_line, some)).encode()


class _Folder:
    def __init__(self, path: Path) -> None:
        self.path = path
        path.mkdir(parents=True, exist_ok=True)

    def open(self, name: str, *, is_large: bool = False) -> IO[bytes]:
        path = self.path / name
        path.parent.mkdir(exist_ok=True)
        return path.open("wb")


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive

    def open(self, name: str, *, is_large: bool = False) -> IO[bytes]:
        info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_STORED if name.endswith(".jpg") else zipfile.ZIP_DEFLATED
        info.create_system = 3
        info.external_attr = 0o644 << 16
        return self.archive.open(info, "w", force_zip64=is_large)


@contextmanager
def _sink(target: Path) -> Iterator[_Folder | _Zip]:
    if target.suffix.lower() != ".zip":
        yield _Folder(target)
        return
    with zipfile.ZipFile(target, "w") as archive:
        yield _Zip(archive)


def _write_table(sink: _Folder | _Zip, table: Table, scope: Scope, photos: set[str]) -> FileWritten:
    digest, n_rows, n_bytes = hashlib.sha256(), 0, 0
    # Some 400 bytes a row at most; beyond 2 GB a zip member needs the larger format announced beforehand.
    is_large = table.is_log and table.model._base_manager.count() * 400 > LARGE_BYTES
    with sink.open(f"{table.name}.csv", is_large=is_large) as stream:
        for rows, block in csv_blocks(table, scope=scope, photos=photos):
            stream.write(block)
            digest.update(block)
            n_rows += rows
            n_bytes += len(block)
    return FileWritten(n_rows, n_bytes, digest.hexdigest())


def _write_bytes(sink: _Folder | _Zip, name: str, data: bytes) -> str:
    with sink.open(name) as stream:
        stream.write(data)
    return hashlib.sha256(data).hexdigest()


def _sha256_of(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _readme(
    files: dict[str, FileWritten], *, facility: Facility, made_at: datetime, made_by: str, scope: Scope
) -> bytes:
    width = max(len(table.name) for table in TABLES) + 4
    listing = "\n".join(
        f"  {f'{table.name}.csv':<{width}}  {files[table.name].n_rows:>9}  {table.title}" for table in TABLES
    )
    what = "Husbandry records" if scope.is_whole else "PART of the husbandry records"
    return f"""{what} of {facility.name} ({facility.code})

Made {instant_text(made_at.replace(microsecond=0))} by {made_by}.
{scope.says()}

How it is written
  CSV in UTF-8, columns parted by commas, lines by LF, decimals with a dot. Units are SI and stand in datapackage.json,
  which describes every column (Tabular Data Package). An empty cell means: not recorded.
  Days are the facility's days ({facility.time_zone}). Times carry their offset; a date alone means that only the day is known.
  qualifier: >= at least (the rod stopped at the grid), <= at most (below the mark), < and > as the test kit said.
  entry is the id of an entry. supersedes names the entry a row puts right or, with withdrawn, takes back; both rows are here.
  Rows that share an entry are lines or readings of one. Tests keep the value as read and what it was expressed as.
  photos/ holds the pictures that photos.csv names, each by the SHA-256 of its content; where file is empty it is not included.
  checksums.txt holds the SHA-256 of each file.

  {"table":<{width}}  {"rows":>9}
{listing}
""".encode()
