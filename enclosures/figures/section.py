"""Side section of one upflow filter, to scale, as accessible inline SVG.

    section_svg(section, size)      size: "thumb" | "card" | "print" | "pipe"

Every length is millimetres until `Sheet` turns it into drawing units, and both axes share one scale, so a tub looks like a
tub. Colours, line weights and type come from classes. `title` and `desc` hold the facts; the page says them beside it too.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from random import Random

from enclosures.figures import section_labels, section_parts
from enclosures.figures.drawn_filter import Baffle, DrawnLayer, FilterSection, SectionSize, described
from enclosures.figures.section_bed import draw_bed, draw_grid
from enclosures.figures.section_pipe import draw_pipe_view
from enclosures.figures.svg import Sheet, id_part, safe

__all__ = ["Baffle", "DrawnLayer", "FilterSection", "SectionSize", "described", "section_svg"]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Frame:
    width: int
    height: int
    left: int  # room for the ruler
    right: int  # room for the labels
    top: int
    bottom: int  # room for the ground and the width
    is_full: bool = False


_FRAMES = {
    "thumb": _Frame(width=64, height=80, left=3, right=3, top=2, bottom=3),
    "card": _Frame(width=320, height=360, left=34, right=78, top=10, bottom=36),
    "print": _Frame(width=680, height=480, left=46, right=176, top=12, bottom=38, is_full=True),
}


@lru_cache(maxsize=256)
def section_svg(section: FilterSection, size: SectionSize = "card", *, prefix: str = "") -> str:
    """One filter's side section as an `<svg>` element. `prefix` keeps ids apart when a page shows one filter twice.

    Kept for the next reader: the same filter at the same fill is the same picture, and laying its stones is most of a list's time.
    """
    key = f"{id_part(prefix)}{id_part(section.code)}-{size}"
    if size == "pipe":
        sheet, width, height, data = draw_pipe_view(section, key)
        return _wrapped(sheet, section, key, size, width=width, height=height, data=data)
    return _whole(section, size, key)


def _whole(f: FilterSection, size: SectionSize, key: str) -> str:
    z, is_thumb = _FRAMES[size], size == "thumb"
    lip_mm = 0.0 if is_thumb else 0.075 * f.wide_mm  # the weir's lip, outside on the left
    across = z.width - z.left - z.right
    scale = min((z.height - z.top - z.bottom) / f.top_mm, across / (f.wide_mm + lip_mm))
    rows = [] if is_thumb else section_labels.labels(f, is_full=z.is_full)
    needed = f.top_mm * scale + z.top + z.bottom
    height = round(max(needed, section_labels.height_for(rows)) if rows else min(z.height, needed))
    spare = across - (f.wide_mm + lip_mm) * scale
    sheet = Sheet(scale=scale, left=z.left + lip_mm * scale + spare / 2, floor=height - z.bottom)

    rng = Random(f"{f.code} {f.wide_mm} {f.void_height_mm}")
    section_parts.draw_water_and_ground(sheet, f, key, is_thumb=is_thumb)
    section_parts.draw_behind_the_sludge(sheet, f, is_thumb=is_thumb)
    section_parts.draw_sludge(sheet, f, key, rng, is_thumb=is_thumb)
    draw_bed(sheet, f, key, rng, is_thumb=is_thumb)
    if is_thumb:
        sheet.rect("s-grid", 0, f.void_height_mm, f.wide_mm, f.bed_from_mm)
    else:
        draw_grid(sheet, f, to_mm=f.wide_mm)
    section_parts.draw_baffles(sheet, f)
    section_parts.draw_pipes(sheet, f, is_thumb=is_thumb)
    section_parts.draw_walls(sheet, f, is_thumb=is_thumb)
    section_parts.draw_due_line(sheet, f, is_thumb=is_thumb)
    if not is_thumb:
        section_labels.draw_ruler(sheet, f)
        section_labels.draw_width(sheet, f)
        section_labels.draw_labels(sheet, f, rows, height=height, is_full=z.is_full)
    return _wrapped(sheet, f, key, size, width=z.width, height=height)


def _wrapped(
    sheet: Sheet, f: FilterSection, key: str, size: SectionSize, *, width: int, height: int, data: str = ""
) -> str:
    title, desc = safe(f"{f.code}, side section"), safe(described(f, is_brief=size == "thumb"))
    defs = f"<defs>{''.join(sheet.defs)}</defs>" if sheet.defs else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="section section-{size}" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}"{data} role="img" aria-labelledby="{key}-t {key}-d">'
        f'<title id="{key}-t">{title}</title><desc id="{key}-d">{desc}</desc>{defs}{"".join(sheet.parts)}</svg>'
    )
