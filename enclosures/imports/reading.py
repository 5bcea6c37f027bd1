"""Opens what a person hands in: a folder or a zip of CSV files, with or without datapackage.json. Every fault is a sentence."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO

from enclosures.actions.photo_images import MAX_BYTES
from enclosures.exports.record_tables import BY_NAME
from enclosures.imports.report import Report
from enclosures.imports.rows import Sheet

MAX_FILES = 200
MAX_PHOTOS = 200_000
MAX_FILE_BYTES = 400_000_000
MAX_ALL_BYTES = 1_000_000_000
MAX_CELL = 1_000_000
MAX_ROWS = 1_000_000  # of one table: what it holds in memory is some 2.5 kB a row
MAX_DESCRIPTION_BYTES = 5_000_000
PASSED_OVER = {"datapackage.json", "readme.txt", "readme.md", "checksums.txt"}


@dataclass(frozen=True)
class _File:
    """One file of the source: its name inside it, its size as announced, and how to open it."""

    name: str
    size: int
    open: Any

    def read(self, at_most: int) -> bytes:
        with self.open() as stream:
            return stream.read(at_most + 1)


PhotoFiles = Mapping[str, Callable[[], bytes | None]]


def open_sheets(source: str | Path | BinaryIO, *, report: Report) -> tuple[list[Sheet], PhotoFiles]:
    """The record tables found in a folder, a zip or a single CSV, and by name what reads the pictures beside them (None: damaged).

    Faults of the source go to the report.
    """
    try:
        files = _files(source)
    except _Unreadable as wrong:
        report.refuse(str(wrong))
        return [], {}
    except OSError as wrong:
        report.refuse(f"{source} cannot be read: {wrong.strerror or wrong}.")
        return [], {}
    pictures = {file.name: partial(_picture, file) for file in files if _is_picture(file)}
    return _sheets([file for file in files if not _is_picture(file)], report=report), pictures


def _is_picture(file: _File) -> bool:
    return PurePosixPath(file.name).suffix.lower() in {".jpg", ".jpeg"}


def _picture(file: _File) -> bytes | None:
    try:
        return _whole(file, at_most=MAX_BYTES)
    except _Unreadable:
        return None


def mapping_sheets(tables: Mapping[str, Iterable[Mapping[str, str]]], *, report: Report) -> list[Sheet]:
    """Tables handed over in memory, as rows of text by column."""
    sheets = []
    for name, rows in tables.items():
        if name in BY_NAME:
            sheets.append(Sheet(BY_NAME[name], name, None, enumerate(rows, 1)))
        else:
            report.unknown_tables.append(name)
    return sheets


class _Unreadable(Exception):
    """The source as a whole cannot be read; the message is a sentence."""


def _files(source: str | Path | BinaryIO) -> list[_File]:
    if not isinstance(source, str | Path):
        return _zip_files(source, "the file")
    path = Path(source)
    if not path.exists():
        raise _Unreadable(f"{path} is not there.")
    if path.is_dir():
        return _folder_files(path)
    if path.stat().st_size == 0:
        raise _Unreadable(f"{path.name} is empty.")
    if path.suffix.lower() == ".csv":
        return [_File(path.name, path.stat().st_size, lambda: path.open("rb"))]
    return _zip_files(path, path.name)


def _folder_files(path: Path) -> list[_File]:
    inside = [child for child in sorted(path.iterdir()) if not child.name.startswith((".", "__"))]
    if len(inside) == 1 and inside[0].is_dir():
        return _folder_files(inside[0])
    files = [
        _File(child.relative_to(path).as_posix(), child.stat().st_size, _opener(child))
        for child in sorted([*path.glob("*"), *path.glob("*/*")])  # no deeper: somebody may point at a whole disk
        if child.is_file() and not any(part.startswith((".", "__")) for part in child.relative_to(path).parts)
    ]
    return _within_limits(files, path.name or str(path))


def _opener(path: Path) -> Any:
    return lambda: path.open("rb")


def _zip_files(source: Path | BinaryIO, name: str) -> list[_File]:
    try:
        archive = zipfile.ZipFile(source)
    except (zipfile.BadZipFile, EOFError, OSError) as wrong:
        raise _Unreadable(f"{name} is neither a folder nor a whole zip file; take or download it again.") from wrong
    infos = [
        info
        for info in archive.infolist()
        if not info.is_dir() and not any(part.startswith((".", "__")) for part in PurePosixPath(info.filename).parts)
    ]
    if any(info.flag_bits & 1 for info in infos):
        raise _Unreadable(f"{name} is locked with a password; unlock it first.")
    top = {PurePosixPath(info.filename).parts[0] for info in infos if len(PurePosixPath(info.filename).parts) > 1}
    is_nested = len(top) == 1 and all(len(PurePosixPath(info.filename).parts) > 1 for info in infos)
    prefix = f"{next(iter(top))}/" if is_nested else ""
    files = [
        _File(info.filename.removeprefix(prefix), info.file_size, lambda info=info: archive.open(info))
        for info in infos
    ]
    return _within_limits(files, name)


def _within_limits(files: list[_File], name: str) -> list[_File]:
    n_pictures = sum(map(_is_picture, files))
    if len(files) - n_pictures > MAX_FILES:
        raise _Unreadable(f"{name} holds {len(files) - n_pictures} files; a package has at most {MAX_FILES}.")
    if n_pictures > MAX_PHOTOS:
        raise _Unreadable(f"{name} holds {n_pictures} photos; a package has at most {MAX_PHOTOS}.")
    if sum(file.size for file in files if file.name.lower().endswith((".csv", ".json"))) > MAX_ALL_BYTES:
        raise _Unreadable(f"{name} holds more than {MAX_ALL_BYTES // 1_000_000} MB; import it in smaller parts.")
    return files


def _sheets(files: list[_File], *, report: Report) -> list[Sheet]:
    names = _described_names(files, report=report)
    sheets: dict[str, Sheet] = {}
    for file in files:
        path = PurePosixPath(file.name)
        if path.suffix.lower() != ".csv":
            if path.name.lower() not in PASSED_OVER:
                report.unknown_tables.append(file.name)
            continue
        table = BY_NAME.get(names.get(file.name, "")) or BY_NAME.get(path.stem.lower())
        if table is None:
            report.unknown_tables.append(file.name)
            continue
        if table.name in sheets:
            report.refuse(f"{sheets[table.name].file} and {file.name} are both the table {table.name}.", file=file.name)
            continue
        sheets[table.name] = _sheet(file, table=table, report=report)
    if not sheets and report.is_good:
        report.refuse(f"No record table was found; files are named like {', '.join(list(BY_NAME)[:3])} with .csv.")
    return list(sheets.values())


def _described_names(files: list[_File], *, report: Report) -> dict[str, str]:
    """Path -> table name, as a datapackage.json says; without one the file's own name is the table's."""
    for file in files:
        if file.name.lower() != "datapackage.json":
            continue
        try:
            described = json.loads(_whole(file, at_most=MAX_DESCRIPTION_BYTES).decode("utf-8-sig"))
            return {
                str(PurePosixPath(resource["path"])): str(resource["name"])
                for resource in described["resources"]
                if isinstance(resource.get("path"), str)
            }
        except (_Unreadable, UnicodeDecodeError, ValueError, KeyError, TypeError, AttributeError):
            report.remarks.append("datapackage.json could not be read; tables were known by their file names.")
    return {}


def _sheet(file: _File, *, table: Any, report: Report) -> Sheet:
    try:
        text = _text(_whole(file, at_most=MAX_FILE_BYTES), file.name)
        header, rows = _header(text, file.name)
    except _Unreadable as wrong:
        report.refuse(str(wrong), file=file.name)
        return Sheet(table, file.name, None, (), is_broken=True)
    return Sheet(table, file.name, header, _rows(rows, header, file=file.name, report=report))


def _whole(file: _File, *, at_most: int) -> bytes:
    try:
        data = file.read(at_most)
    except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, RuntimeError) as wrong:
        raise _Unreadable("It is damaged and cannot be unpacked; take or download it again.") from wrong
    except Exception as wrong:  # zlib.error and its like, by whatever a damaged archive brings
        raise _Unreadable("It is damaged and cannot be unpacked; take or download it again.") from wrong
    if len(data) > at_most:
        raise _Unreadable(f"It is larger than {at_most // 1_000_000} MB; import it in smaller parts.")
    return data


def _text(data: bytes, name: str) -> str:
    if not data.strip():
        raise _Unreadable("The file is empty; a table has at least its header.")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _Unreadable("The file is in UTF-16; save it as CSV in UTF-8.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        raise _Unreadable(f"The file is not in UTF-8 (line {line}); save it as CSV in UTF-8.") from wrong


def _header(text: str, name: str) -> tuple[list[str], Any]:
    if csv.field_size_limit() < MAX_CELL:
        csv.field_size_limit(MAX_CELL)
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = [cell.strip() for cell in next(rows)]
    except (csv.Error, StopIteration) as wrong:
        raise _Unreadable(f"The header cannot be read ({wrong or 'there is none'}).") from wrong
    if len(header) == 1 and any(sign in header[0] for sign in ";\t|"):
        raise _Unreadable("Columns are parted by commas here, and this file parts them otherwise; save it with commas.")
    if not any(header):
        raise _Unreadable("The first line is empty; it must name the columns.")
    while header and not header[-1]:
        header.pop()
    if "" in header:
        raise _Unreadable(f"Column {header.index('') + 1} has no name.")
    doubled = sorted({cell for cell in header if header.count(cell) > 1})
    if doubled:
        raise _Unreadable(f"The column “{doubled[0]}” is there twice.")
    return header, rows


def _csv_words(wrong: csv.Error) -> str:
    """What the reader stumbled over, for whoever wrote the file by hand."""
    said = str(wrong)
    if "end of data" in said:
        return "a quotation mark is opened in this row and never closed"
    if "expected after" in said:
        return "a quotation mark stands in the middle of a cell; inside quotation marks write it twice"
    return said


def _rows(rows: Any, header: list[str], *, file: str, report: Report) -> Iterator[tuple[int, dict[str, str]]]:
    n, n_read = len(header), 0
    while True:
        line = rows.line_num + 1
        try:
            cells = next(rows)
        except StopIteration:
            return
        except csv.Error as wrong:
            report.refuse(f"The file cannot be read on from here: {_csv_words(wrong)}.", file=file, line=line)
            return
        if not any(cells):
            continue
        if len(cells) < n or any(cells[n:]):
            report.refuse(f"The row has {len(cells)} cells, the header {n}.", file=file, line=line)
            continue
        n_read += 1
        if n_read > MAX_ROWS:
            report.refuse(f"The table has more than {MAX_ROWS} rows; import it in smaller parts.", file=file, line=line)
            return
        yield line, dict(zip(header, cells, strict=False))
