"""Table of photos, and the files beside it: photos/<sha256>.jpg for each row whose file is in the package."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from enclosures.exports.cells import CellError, Kind
from enclosures.exports.columns import code, entry, log_columns, occurred_at, text, whole
from enclosures.exports.table import Column, Table
from enclosures.models import Photo, has_photo_file
from enclosures.models.photos import DIGEST

FOLDER = "photos"
IN_FILES = "roundcheck, in round_checks.csv; healthnote, in health_notes.csv; sounding, in soundings.csv"


def file_name(digest: str) -> str:
    """Where the file of this digest lies in a package."""
    return f"{FOLDER}/{digest}.jpg"


def _file_text(digest: str) -> str:
    return file_name(digest) if digest and has_photo_file(digest) else ""


def _file_from(text: str, zone: ZoneInfo) -> str:
    parts = text.replace("\\", "/").split("/")
    if ".." in parts or text.startswith("/") or ":" in text:
        raise CellError(f"“{text}” leads out of the package; name a file inside it.")
    return "/".join(part for part in parts if part not in ("", "."))


def _digest_from(text: str, zone: ZoneInfo) -> str:
    digest = text.lower()
    if not DIGEST.fullmatch(digest):
        raise CellError(f"“{text}” is not a SHA-256: 64 figures and letters a to f.")
    return digest


FILE = Kind("file", _file_text, _file_from, {"type": "string"})
SHA256 = Kind("sha256", str, _digest_from, {"type": "string"}, constraints={"pattern": "[0-9a-f]{64}"})

PHOTOS = Table(
    name="photos",
    title="Photos of what was odd, each of one entry",
    model=Photo,
    key=("entry",),
    columns=(
        entry(),
        code("table", f"The kind of entry it is of: {IN_FILES}.", is_required=True),
        Column(
            name="of_entry",
            kind=entry().kind,
            meaning="The entry it is of; a correction carries the photo over by a new row.",
            fields=("of_entry",),
            is_required=True,
        ),
        occurred_at("When it was taken: a date, or a date and time with offset."),
        Column(
            name="file",
            kind=FILE,
            meaning="The picture in this package (JPEG, without camera data); empty: file not included.",
            fields=("digest",),
            is_said=False,
            default="",
        ),
        Column(
            name="sha256",
            kind=SHA256,
            meaning="SHA-256 of the file, which is also its name.",
            fields=("digest",),
            is_required=True,
        ),
        whole("width_px", "px", "Width.", is_required=True),
        whole("height_px", "px", "Height.", is_required=True),
        text("caption", "What it shows."),
        *log_columns(),
    ),
)
