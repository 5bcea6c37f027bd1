"""The media bed of the side section: each layer in the manner its material and scale allow."""

from __future__ import annotations

from random import Random

from enclosures.figures.drawn_filter import DrawnLayer, FilterSection
from enclosures.figures.stones import loose_row, stones
from enclosures.figures.svg import Sheet, n, outline

MOST_STONES = 300  # drawn one by one; beyond that a bed is a repeated tile


def draw_bed(sheet: Sheet, f: FilterSection, key: str, rng: Random, *, is_thumb: bool) -> None:
    """Top layer first, so that coarse stones stand up into finer ones."""
    if not f.layers:
        _draw_unrecorded(sheet, f, is_thumb=is_thumb)
        return
    floors, base = [], f.bed_from_mm
    for layer in f.layers:
        floors.append(base)
        base += layer.depth_mm
    for i, layer in reversed(list(enumerate(f.layers))):
        draw_layer(sheet, layer, f"{key}-{i}", rng, base=floors[i], left=0.0, right=f.wide_mm, is_thumb=is_thumb)


def draw_layer(
    sheet: Sheet,
    layer: DrawnLayer,
    key: str,
    rng: Random,
    *,
    base: float,
    left: float,
    right: float,
    is_thumb: bool = False,
) -> None:
    """One layer between two sides, in mm. The grain decides the manner: stone by stone, a tile, or a stipple."""
    box = (left, base, right, base + layer.depth_mm)
    wide, deep = (right - left) * sheet.scale, layer.depth_mm * sheet.scale
    if wide < 1 or deep < 0.5:
        return
    px = layer.grain_mm * sheet.scale
    if layer.look == "mat":
        _draw_mat(sheet, key, box)
    elif layer.look == "rings":
        _draw_rings(sheet, key, box, max(4.0, px))
    elif layer.look == "grit" or px < 1.6:
        _draw_grit(sheet, key, box, px if is_thumb else max(px, 3.6))
    elif layer.is_coarse:
        seen = max(px, 4.6)
        if (wide / seen) * (deep / (seen * 0.88)) <= (90 if is_thumb else MOST_STONES):
            _draw_each(sheet, layer, box, seen, rng)
        else:
            _draw_tiled(sheet, layer, key, box, seen, rng)
    elif is_thumb:
        _draw_grit(sheet, key, box, px)
    else:
        _draw_tiled(sheet, layer, key, box, px, rng)


Box = tuple[float, float, float, float]


def _stone_class(layer: DrawnLayer) -> str:
    return "s-coarse" if layer.is_coarse else "s-fine"


def _unit(px: float) -> tuple[float, str]:
    """How finely to round a stone's corners, and the transform that undoes it."""
    unit = 1 if px > 12 else 0.5 if px > 4.2 else 0.25
    return unit, "" if unit == 1 else f"scale({unit})"


def _draw_each(sheet: Sheet, layer: DrawnLayer, box: Box, px: float, rng: Random) -> None:
    """Big stones, drawn one by one."""
    x0, y0, x1, y1 = box
    unit, shrink = _unit(px)
    cells = stones((x1 - x0) * sheet.scale, (y1 - y0) * sheet.scale, grain=px, rng=rng, is_tile=False)
    move = f"translate({n(sheet.x(x0))} {n(sheet.y(y1))}){shrink}"
    sheet.path(_stone_class(layer), outline(cells, unit), f' transform="{move}"')


def _draw_tiled(sheet: Sheet, layer: DrawnLayer, key: str, box: Box, px: float, rng: Random) -> None:
    """Small stones: one seamless tile repeated, and a loose row on top."""
    x0, y0, x1, y1 = box
    unit, shrink = _unit(px)
    top, deep, wide = sheet.y(y1), (y1 - y0) * sheet.scale, (x1 - x0) * sheet.scale
    tile_w = wide / max(1, round(wide / (px * 5.6)))
    tile_h = deep / max(1, round(deep / (px * 3.6)))
    tile = outline(stones(tile_w, tile_h, grain=px, rng=rng, is_tile=True), unit)
    row_h = n(px * 1.2)
    row = outline(
        [[(x, y + px * 0.6) for x, y in stone] for stone in loose_row(tile_w, grain=px, rng=rng)],
        unit,
    )
    x, cls = n(sheet.x(x0)), _stone_class(layer)
    turned = f' transform="{shrink}"' if shrink else ""
    lower = min(6.0, 0.25 * px + 2)  # down behind the coarse stones
    sheet.add(f'<rect x="{x}" y="{n(top)}" width="{n(wide)}" height="{n(deep + lower)}" fill="url(#{key})"/>')
    sheet.add(f'<rect x="{x}" y="{n(top - px * 0.45)}" width="{n(wide)}" height="{row_h}" fill="url(#{key}r)"/>')
    shared = f'x="{x}" width="{tile_w:.2f}" patternUnits="userSpaceOnUse"'
    for suffix, y, height, d in (("", n(top), f"{tile_h:.2f}", tile), ("r", n(top - px * 0.45), row_h, row)):
        stone = f'<path class="{cls}"{turned} d="{d}"/>'
        sheet.define(f'<pattern id="{key}{suffix}" {shared} y="{y}" height="{height}">{stone}</pattern>')


def _draw_pattern(sheet: Sheet, key: str, box: Box, cell: tuple[float, float], inside: str) -> None:
    """A ground of fine stone, and one small pattern over it."""
    x0, y0, x1, y1 = box
    sheet.rect("s-fine-bed", x0, y0, x1, y1)
    sheet.rect("", x0, y0, x1, y1, f' fill="url(#{key})"')
    at = f'x="{n(sheet.x(x0))}" y="{n(sheet.y(y1))}"'
    size = f'width="{n(cell[0])}" height="{n(cell[1])}" patternUnits="userSpaceOnUse"'
    sheet.define(f'<pattern id="{key}" {at} {size}>{inside}</pattern>')


def _draw_grit(sheet: Sheet, key: str, box: Box, px: float) -> None:
    """Grains too small to draw: a stipple."""
    step = max(2.0, px * 0.9)
    dots = "".join(f"M{n(x * step + y * step / 2 + 0.4)} {n(y * step + 0.8)}h.01" for y in (0, 1) for x in (0, 1))
    _draw_pattern(sheet, key, box, (2 * step, 2 * step), f'<path class="s-grit" d="{dots}"/>')


def _draw_rings(sheet: Sheet, key: str, box: Box, px: float) -> None:
    """Plastic pieces: hollow rounds, staggered."""
    step, r = px * 1.04, px * 0.4
    centres = ((step / 2, step / 2), (0, step * 1.5), (step, step * 1.5))
    rings = "".join(
        f"M{n(x - r)} {n(y)}a{n(r)} {n(r)} 0 1 0 {n(2 * r)} 0a{n(r)} {n(r)} 0 1 0 {n(-2 * r)} 0" for x, y in centres
    )
    _draw_pattern(sheet, key, box, (step, 2 * step), f'<path class="s-grit" d="{rings}"/>')


def _draw_mat(sheet: Sheet, key: str, box: Box) -> None:
    """Fibre mat: wavy lines."""
    _draw_pattern(sheet, key, box, (9.0, 5.0), '<path class="s-grit" d="M0 2q2.2-2.4 4.5 0t4.5 0"/>')


def _draw_unrecorded(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    """No media on record: an empty bed within dashes. The label beside it says so."""
    inset = 0.5 if is_thumb else 2.0
    x0, x1 = sheet.x(0) + inset, sheet.x(f.wide_mm) - inset
    y0, y1 = sheet.y(f.media_top_mm), sheet.y(f.bed_from_mm)
    sheet.path(
        "s-unrecorded",
        f"M{n(x0)} {n(y0)}H{n(x1)}V{n(y1)}H{n(x0)}z",
        ' fill="none" stroke="currentColor" stroke-dasharray="2 4"',
    )


def draw_grid(sheet: Sheet, f: FilterSection, *, to_mm: float) -> None:
    """The support grid, cut: bars and gaps."""
    thick = f.grid_mm * sheet.scale
    bar = max(3.0, thick * 0.9)
    y = n(sheet.y(f.void_height_mm + f.grid_mm / 2))
    dashes = f' stroke-width="{n(thick)}" stroke-dasharray="{n(bar * 1.7)} {n(bar * 0.8)}"'
    sheet.path("s-grid-bars", f"M{n(sheet.x(0))} {y}H{n(sheet.x(to_mm))}", dashes)
