"""Two invented pictures for the demo, drawn and not photographed, and saying so on themselves."""

from __future__ import annotations

import io
import uuid
from dataclasses import dataclass
from math import sqrt

from PIL import Image, ImageDraw, ImageFont

from enclosures.actions.entries import Stamp
from enclosures.actions.photos import attach_photo
from enclosures.models import HealthNote, RoundCheck
from enclosures.scenarios.rows import entry_id, stream

SIZE = (1200, 900)
WATER, LEAF, SHELL, SEAM, SORE, PAPER, INK = (
    "#3f5f5c", "#6f8f4e", "#6b5a37", "#3d3320", "#b5544a", "#faf6ee", "#1d1a15",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class _Drawn:
    caption: str
    data: bytes


def photograph() -> int:
    """Hang the pictures on a look of the round and on a health note that speak of what they show. Returns how many were hung."""
    look = RoundCheck.objects.filter(odd__contains="under the lily").newest_first().first()
    note = HealthNote.objects.filter(system="shell", restricted=False).newest_first().last()
    n = 0
    for record, drawn in ((look, _lily()), (note, _shell())):
        if record is None:
            continue
        stamp = Stamp(entered_at=record.entered_at, entered_by=record.entered_by, how="demo")
        entry = uuid.UUID(entry_id("photo", record.entry))
        attach_photo(record, data=drawn.data, moment=record.moment, stamp=stamp, entry=entry, caption=drawn.caption)
        n += 1
    return n


def _lily() -> _Drawn:
    draw, image = _sheet(WATER)
    dice = stream("picture", "lily")
    draw.ellipse((505, 395, 690, 520), fill=SHELL, outline=SEAM, width=8)  # what shows of somebody
    draw.ellipse((668, 420, 740, 468), fill=SHELL, outline=SEAM, width=8)
    for x, y, r in (
        (250, 220, 120),
        (470, 330, 110),
        (880, 250, 150),
        (330, 560, 140),
        (560, 640, 105),
        (850, 620, 125),
    ):
        turn = dice.randint(0, 360)  # each leaf with its notch
        draw.pieslice((x - r, y - r * 0.8, x + r, y + r * 0.8), turn + 18, turn + 342, fill=LEAF, outline=SEAM, width=5)
    return _Drawn(caption="Under the lily (drawn for the demo)", data=_finished(draw, image))


def _shell() -> _Drawn:
    draw, image = _sheet("#8c8267")
    draw.ellipse((260, 90, 940, 790), fill=SHELL, outline=SEAM, width=10)
    draw.line((600, 90, 600, 790), fill=SEAM, width=8)
    for y in (220, 340, 460, 580, 690):
        half = 335 * sqrt(1 - ((y - 440) / 350) ** 2)
        draw.line((600 - half, y, 600 + half, y), fill=SEAM, width=8)
    dice = stream("picture", "shell")
    for _ in range(7):
        x, y, r = dice.randint(420, 780), dice.randint(200, 660), dice.randint(14, 34)
        draw.ellipse((x - r, y - r * 0.7, x + r, y + r * 0.7), fill=SORE, outline=SEAM, width=4)
    return _Drawn(caption="Plastron with lesions (drawn for the demo)", data=_finished(draw, image))


def _sheet(colour: str) -> tuple[ImageDraw.ImageDraw, Image.Image]:
    image = Image.new("RGB", SIZE, colour)
    return ImageDraw.Draw(image), image


def _finished(draw: ImageDraw.ImageDraw, image: Image.Image) -> bytes:
    draw.rectangle((0, 820, 1200, 900), fill=PAPER)
    draw.text((30, 836), "invented picture", fill=INK, font=ImageFont.load_default(44))
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()
