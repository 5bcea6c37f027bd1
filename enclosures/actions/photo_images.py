"""From whatever a device sends to the one kind of picture that is kept: a JPEG with nothing in it but what it shows.

Pillow decodes; what is kept is drawn anew from the pixels, so that place, device and times in the camera's data do not come along.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import Any

from PIL import Image, ImageOps

from enclosures.actions.entries import Refused
from enclosures.models.photos import THUMBNAIL_PX

MAX_BYTES = 15_000_000
MAX_PIXELS = 50_000_000  # phones take 12 million as a rule, 48 million at most as a rule
LONGEST_PX = 2048
KNOWN = ("JPEG", "PNG", "WEBP")  # no other decoder is ever tried, so none of their faults counts
QUALITY = 85
HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}

_NOT_ONE = "This is not a photo in JPEG, PNG or WebP, or it is damaged."
_HEIC = (
    "This photo is in HEIC, which this server does not read. Set the camera to JPEG: on an iPad under Settings, Camera, "
    "Formats, “Most Compatible”; on other tablets turn “high efficiency” pictures off in the camera."
)


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture as it is kept: JPEG, upright, at most 2 048 px on its longest side. `digest` is the SHA-256 of `data`."""

    data: bytes
    digest: str
    width_px: int
    height_px: int


def picture_from(data: bytes) -> Picture:
    """The picture in these bytes, made ready to be kept. Raises Refused, field "photo", with a sentence."""
    if not data:
        raise Refused({"photo": "The photo is empty; take it again."})
    if len(data) > MAX_BYTES:
        raise Refused({"photo": f"The photo has more than {MAX_BYTES // 1_000_000} MB; take a smaller one."})
    if data[4:8] == b"ftyp" and data[8:12] in HEIC_BRANDS:
        raise Refused({"photo": _HEIC})
    image = _decoded(data)
    image.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.LANCZOS)
    kept = _jpeg(image)
    return Picture(data=kept, digest=hashlib.sha256(kept).hexdigest(), width_px=image.size[0], height_px=image.size[1])


def thumbnail_of(data: bytes) -> bytes:
    """The small version of a kept picture. Raises Refused when it cannot be read."""
    image = _decoded(data)
    image.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX), Image.Resampling.LANCZOS)
    return _jpeg(image)


def what_is_wrong_with(data: bytes, *, width_px: int, height_px: int) -> str:
    """Why a file cannot stand for a kept picture of this size as it is, in words; empty when it can.

    For files that come ready from a package: their bytes are kept as they are, so nothing may be in them that is left out here.
    """
    try:
        image = _opened(data)
    except Refused as refused:
        return str(refused)
    if image.format != "JPEG":
        return "It is not a JPEG."
    if image.size != (width_px, height_px):
        return f"It is {image.size[0]} × {image.size[1]} px, the row says {width_px} × {height_px}."
    if len(image.getexif()) or any(name in image.info for name in ("exif", "xmp", "comment", "photoshop")):
        return "It still has the camera’s own data in it (EXIF), which may name a place; packages hold photos without."
    return ""


def _opened(data: bytes) -> Any:
    """Only the header is read yet; the size is known before any pixel is."""
    try:
        image = Image.open(io.BytesIO(data), formats=KNOWN)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise Refused({"photo": _too_many()}) from bomb
    except Exception as wrong:  # whatever a decoder makes of foreign bytes
        raise Refused({"photo": _NOT_ONE}) from wrong
    if image.size[0] * image.size[1] > MAX_PIXELS:
        raise Refused({"photo": _too_many()})
    return image


def _decoded(data: bytes) -> Any:
    """Upright and in plain colours, on white where it was see-through, as a new image that carries nothing else."""
    image = _opened(data)
    try:
        # A large JPEG is decoded at a half or a quarter of its size, in as much less memory.
        image.draft("RGB", (LONGEST_PX, LONGEST_PX))
        image.load()
        image = ImageOps.exif_transpose(image)
        if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
            image = image.convert("RGBA")
            plain = Image.new("RGB", image.size, "white")
            plain.paste(image, mask=image.getchannel("A"))
            return plain
        plain = Image.new("RGB", image.size)
        plain.paste(image.convert("RGB"))
    except Exception as wrong:
        raise Refused({"photo": _NOT_ONE}) from wrong
    return plain


def _jpeg(image: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _too_many() -> str:
    return f"The photo has more than {MAX_PIXELS // 1_000_000} million pixels; take a smaller one."
