"""Pictures drawn for tests, with what a camera writes into them.

Tag numbers are those of Exif 2.3 (CIPA DC-008-2012): Orientation 0x0112, Make 0x010F, GPSInfo 0x8825; in the GPS block
GPSLatitudeRef 1, GPSLatitude 2, GPSLongitudeRef 3, GPSLongitude 4.
"""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image

ORIENTATION, MAKE, GPS = 0x0112, 0x010F, 0x8825
RED, BLUE = (200, 20, 20), (20, 20, 200)


def half_and_half(width: int = 640, height: int = 480) -> Any:
    """Red on the left, blue on the right."""
    image = Image.new("RGB", (width, height), RED)
    image.paste(BLUE, (width // 2, 0, width, height))
    return image


def jpeg(image: Any = None, *, orientation: int = 1, with_place: bool = False) -> bytes:
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKE] = "Camera"
    if with_place:
        exif[GPS] = {1: "N", 2: (48.0, 51.0, 24.0), 3: "E", 4: (2.0, 21.0, 7.0)}
    out = io.BytesIO()
    (image or half_and_half()).save(out, "JPEG", quality=92, exif=exif, comment=b"taken at home")
    return out.getvalue()


def saved(image: Any, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def bomb(width: int = 30_000, height: int = 30_000) -> bytes:
    """A PNG of a few kilobytes that says it has 900 million pixels; the chunks by hand, as PNG (ISO/IEC 15948) has them."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\x00" * 1_000_000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def opened(data: bytes) -> Any:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image
