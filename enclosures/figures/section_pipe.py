"""The sounding view: the void around the cleanout pipe, cut out of the section at a larger scale, with the rod in it.

The sludge is one measured depth here, so it is drawn dark throughout. `data-` attributes let a script move it: depth in mm
times data-scale, upwards from data-floor.
"""

from __future__ import annotations

from random import Random

from enclosures.figures.drawn_filter import DrawnLayer, FilterSection
from enclosures.figures.section_bed import draw_grid, draw_layer
from enclosures.figures.section_labels import draw_ruler
from enclosures.figures.svg import Sheet, n

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 340, 400, 40, 66, 8, 14


def broken_edge(x: float, start: float, end: float, *, begin: str = "M") -> str:
    """A break line between two heights: the drawing goes on beyond it. Walked upwards it is the same line."""
    quarter = (end - start) / 4
    swings = (-3.5, 3.5, -3.5, 3.5) if quarter > 0 else (3.5, -3.5, 3.5, -3.5)
    return f"{begin}{n(x)} {n(start)}" + "".join(f"q{n(swing)} {n(quarter / 2)} 0 {n(quarter)}" for swing in swings)


def draw_pipe_view(f: FilterSection, key: str) -> tuple[Sheet, int, int, str]:
    """The sheet, its width and height, and the data attributes a script needs."""
    void, window = f.void_height_mm, 1.8 * f.void_height_mm
    seen = f.bed_from_mm + 1.3 * void  # cut off within the bed
    scale = min((WIDTH - LEFT - RIGHT) / window, (HEIGHT - TOP - BOTTOM) / seen)
    left = LEFT + (WIDTH - LEFT - RIGHT - window * scale) / 2
    height = round(seen * scale + TOP + BOTTOM)
    sheet = Sheet(scale=scale, left=left, floor=height - BOTTOM)
    x0, x1, top = sheet.x(0), sheet.x(window), sheet.y(seen)
    margin = 10 / scale
    sheet.add(f'<g clip-path="url(#{key}-c)">')
    sheet.rect("s-water", -margin, void, window + margin, seen)
    sheet.rect("s-void", -margin, 0, window + margin, void)
    if f.layers:
        lowest = f.layers[0]
        shown = DrawnLayer(depth_mm=seen - f.bed_from_mm, grade_mm=lowest.grade_mm, material=lowest.material)
        rng = Random(f"{f.code} pipe")
        draw_layer(sheet, shown, f"{key}-0", rng, base=f.bed_from_mm, left=-margin, right=window + margin)
    _draw_pipe_and_rod(sheet, f, window=window, seen=seen, margin=margin)
    sheet.add("</g>")
    due = sheet.y(void * f.due_fill)
    sheet.path("s-due-halo", f"M{n(x0 + 2)} {n(due)}H{n(x1 - 2)}")
    sheet.path("s-due", f"M{n(x0 - 4)} {n(due)}H{n(x1 + 5)}")
    sheet.text("s-strong", x1 + 10, due + 4, f"due {f.due_fill * void:.0f}")
    sheet.text("", x1 + 10, min(sheet.y(void) + 4, due - 12), f"grid {void:.0f}")
    sheet.path("s-break", broken_edge(x0, top, sheet.floor) + broken_edge(x1, top, sheet.floor))
    sheet.path("s-wall", f"M{n(x0 - 7)} {n(sheet.floor + 1.5)}H{n(x1 + 7)}")
    draw_ruler(sheet, f)
    window_edge = broken_edge(x0, top, sheet.floor) + broken_edge(x1, sheet.floor, top, begin="L")
    sheet.define(f'<clipPath id="{key}-c"><path d="{window_edge}z"/></clipPath>')
    data = f' data-scale="{scale:.4f}" data-floor="{n(sheet.floor)}" data-void="{void:.0f}" data-due="{f.due_fill:g}"'
    return sheet, WIDTH, height, data


def _draw_pipe_and_rod(sheet: Sheet, f: FilterSection, *, window: float, seen: float, margin: float) -> None:
    void, middle = f.void_height_mm, window / 2
    half = min((f.pipe_bore_mm or 50.0) / 2, 0.3 * window)
    near, far, foot = middle - half, middle + half, void * 0.24
    depth = min(f.sludge_mm[1], void) if f.sludge_mm else 0.0

    def both_sides(cls: str, high: float, low: float) -> None:
        if f.has_pipe:
            sheet.path(cls, "".join(f"M{n(sheet.x(x))} {n(sheet.y(high))}V{n(sheet.y(low))}" for x in (near, far)))

    both_sides("s-pipe", void, foot)
    sheet.rect("s-sludge", -margin, 0, window + margin, depth, ' data-sludge=""')
    both_sides("s-hidden", void, foot)
    draw_grid(sheet, f, to_mm=window + margin)
    if f.has_pipe:
        sheet.rect("s-bore-water", near, void - 1, far, seen)
    both_sides("s-pipe", seen, void)
    at, reach = n(sheet.x(middle)), half * 0.75
    x0, x1, floor = sheet.x(0), sheet.x(window), sheet.floor
    sheet.add(
        f'<g data-rod="" transform="translate(0 {n(-depth * sheet.scale)})">'
        f'<path class="s-surface" d="M{n(x0 - 9)} {n(floor)}H{n(x1 + 9)}"/>'
        f'<path class="s-rod" d="M{at} {n(sheet.y(seen) - void * sheet.scale)}V{n(floor - 4)}"/>'
        f'<path class="s-rod-foot" d="M{n(sheet.x(middle - reach))} {n(floor - 3)}H{n(sheet.x(middle + reach))}"/></g>'
    )
