"""The parts of the side section, each drawn by one function, back to front: water, void, sludge, pipes, walls, due line."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from enclosures.figures.drawn_filter import FilterSection
from enclosures.figures.svg import Sheet, n


def draw_water_and_ground(sheet: Sheet, f: FilterSection, key: str, *, is_thumb: bool) -> None:
    w = f.wide_mm
    sheet.rect("s-water", 0, f.void_height_mm, w, f.water_mm)
    sheet.rect("s-void", 0, 0, w, f.void_height_mm)
    if is_thumb:
        return
    y = n(sheet.floor + 3.5)
    at = f'x="{n(sheet.x(0) - 5)}" y="{y}"'
    sheet.add(f'<rect {at} width="{n(w * sheet.scale + 10)}" height="5" fill="url(#{key}-g)"/>')
    sheet.define(
        f'<pattern id="{key}-g" y="{y}" width="7" height="5" patternUnits="userSpaceOnUse">'
        '<path class="s-ground" d="M6 0 1 5"/></pattern>'
    )


def draw_behind_the_sludge(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    """What stands in the void: grid legs and the distribution pipe with its holes."""
    w = f.wide_mm
    legs = 3 if w > 350 else 2
    leg = min(max(8.0, w * 0.018), w * 0.06)
    for i in range(legs):
        at = w * (i + 0.5) / legs + w * 0.06
        sheet.rect("s-leg", at - leg / 2, 0, at + leg / 2, f.void_height_mm)
    if is_thumb:
        return
    start, drop, under, top = f.distribution_edges()
    run = f"M{n(sheet.x(start))} {n(sheet.y((under + top) / 2))}H{n(sheet.x(drop))}V{n(sheet.y(f.bed_from_mm))}"
    _draw_tube(sheet, run, (top - under) * sheet.scale)
    gap = (sheet.x(drop) - sheet.x(start)) / 8
    holes = "".join(f"M{n(sheet.x(start) + gap * (i + 0.5))} {n(sheet.y(under) - 1.5)}h.01" for i in range(8))
    sheet.path("s-hole", holes)


def _draw_tube(sheet: Sheet, run: str, bore: float) -> None:
    sheet.path("s-feed-edge", run, f' stroke-width="{n(bore + 2.4)}"')
    sheet.path("s-feed", run, f' stroke-width="{n(bore)}"')


def settled_top(sheet: Sheet, *, to_mm: float, depth_mm: float, rng: Random, wave: float) -> str:
    """A slightly uneven line at a height, as settled sludge lies."""
    steps = 6
    heights = [rng.uniform(-wave, wave) for _ in range(steps + 1)]
    dx = (sheet.x(to_mm) - sheet.x(0)) / steps
    d = f"M{n(sheet.x(0))} {n(sheet.y(depth_mm) + heights[0])}"
    for a, b in pairwise(heights):
        d += f"c{n(dx / 2)} 0 {n(dx / 2)} {n(b - a)} {n(dx)} {n(b - a)}"
    return d


def draw_sludge(sheet: Sheet, f: FilterSection, key: str, rng: Random, *, is_thumb: bool) -> None:
    """Dark to P10, mid to the median, hatched to P90; a measured depth is all dark. Buried parts show as hidden lines."""
    depths = f.sludge_mm
    if depths is None:  # unknown is drawn as open water, and its label says so
        return
    low, median, high = depths
    w = f.wide_mm
    sheet.rect("s-sludge-high", 0, median, w, high)
    if not is_thumb and high > median:
        sheet.define(
            f'<pattern id="{key}-h" width="5" height="5" patternUnits="userSpaceOnUse">'
            '<path class="s-hatch" d="M-1 6 6-1M-1 1 1-1M4 6 6 4"/></pattern>'
        )
        sheet.rect("", 0, median, w, high, f' fill="url(#{key}-h)"')
        sheet.path("s-range-line", f"M{n(sheet.x(0))} {n(sheet.y(high))}H{n(sheet.x(w))}")
    wave = 0.0 if is_thumb else min(1.6, median * sheet.scale * 0.06)
    top = settled_top(sheet, to_mm=w, depth_mm=median, rng=rng, wave=wave)
    if is_thumb:
        top = f"M{n(sheet.x(0))} {n(sheet.y(median))}H{n(sheet.x(w))}"
    sheet.path("s-sludge-mid", f"{top}V{n(sheet.floor)}H{n(sheet.x(0))}z")
    if f.is_measured:
        sheet.path("s-sludge", f"{top}V{n(sheet.floor)}H{n(sheet.x(0))}z")
        sheet.path("s-surface", top)
    else:
        sheet.rect("s-sludge", 0, 0, w, low)
    if not is_thumb and median > 0:
        _draw_specks(sheet, f, median, rng)
        draw_hidden(sheet, f, min(median, f.void_height_mm))


def _draw_specks(sheet: Sheet, f: FilterSection, depth_mm: float, rng: Random) -> None:
    specks = "".join(
        f"M{sheet.x(rng.uniform(0.02, 0.97) * f.wide_mm):.0f} {sheet.y(rng.uniform(0.06, 0.88) * depth_mm):.0f}"
        f"h{rng.choice((1, 2, 3))}"
        for _ in range(14)
    )
    sheet.path("s-speck", specks)


def draw_hidden(sheet: Sheet, f: FilterSection, depth_mm: float) -> None:
    """Dashed outlines of the pipes where sludge covers them, as a drawing office draws hidden edges."""
    left, right, foot = f.pipe_edges()
    start, drop, under, top = f.distribution_edges()
    half = (top - under) / 2
    x, y, d = sheet.x, sheet.y, ""
    if f.has_pipe and depth_mm > foot:
        d += "".join(f"M{n(x(side))} {n(y(depth_mm))}V{n(y(foot))}" for side in (left, right))
    if depth_mm > under:
        d += f"M{n(x(start))} {n(y(min(depth_mm, top)))}V{n(y(under))}H{n(x(drop + half))}V{n(y(depth_mm))}"
    if depth_mm > top:
        d += f"M{n(x(start))} {n(y(top))}H{n(x(drop - half))}V{n(y(depth_mm))}"
    sheet.path("s-hidden", d)


def draw_pipes(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    """Cleanout pipe through bed and water, with its own level; drop pipe from the pump at the right wall."""
    if f.has_pipe:
        _draw_cleanout_pipe(sheet, f, is_thumb=is_thumb)
    if is_thumb:
        return
    _, drop, under, over = f.distribution_edges()
    high = sheet.y(f.rim_mm) - 4
    _draw_tube(sheet, f"M{n(sheet.x(drop))} {n(sheet.y(f.void_height_mm))}V{n(high)}", (over - under) * sheet.scale)
    sheet.path("s-arrow", f"M{n(sheet.x(drop))} {n(high - 20)}v16m-3.5-5 3.5 5 3.5-5")


def _draw_cleanout_pipe(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    left, right, foot = f.pipe_edges()
    if is_thumb:  # thick enough to be seen
        centre, half = (left + right) / 2, max((right - left) / 2, 2.0 / sheet.scale)
        left, right = centre - half, centre + half
    top, level = f.water_mm + f.pipe_over_mm, f.pipe_level_mm
    sheet.rect("s-bore", left, level, right, top)
    sheet.rect("s-bore-water", left, f.bed_from_mm if is_thumb else f.void_height_mm, right, level)
    covered = min(f.sludge_mm[1], f.void_height_mm) if f.sludge_mm else 0.0
    to = n(sheet.y(f.void_height_mm if is_thumb else max(foot, covered)))
    sheet.path("s-pipe", "".join(f"M{n(sheet.x(x))} {n(sheet.y(top))}V{to}" for x in (left, right)))
    sheet.path("s-level", f"M{n(sheet.x(left))} {n(sheet.y(level))}H{n(sheet.x(right))}")


def draw_baffles(sheet: Sheet, f: FilterSection) -> None:
    for baffle in f.baffles:
        at = n(sheet.x(f.wide_mm * max(0.02, min(0.98, baffle.at))))
        low, high = sorted((max(0.0, baffle.from_mm), max(0.0, min(baffle.to_mm, f.rim_mm))))
        sheet.path(
            "s-baffle",
            f"M{at} {n(sheet.y(high))}V{n(sheet.y(low))}",
            ' fill="none" stroke="currentColor" stroke-width="2.2"',
        )


def draw_walls(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    """Floor and walls; the left wall stops at the weir; the water line carries its level mark."""
    wall = 1.5 if is_thumb else 3.0
    x0, x1 = sheet.x(0) - wall / 2, sheet.x(f.wide_mm) + wall / 2
    crest_mm = f.water_mm - min(max(0.0, f.weir_drop_mm), f.over_mm) if f.has_weir else f.rim_mm
    crest, rim, floor, level = sheet.y(crest_mm), sheet.y(f.rim_mm), sheet.floor + wall / 2, sheet.y(f.water_mm)
    walls = f"M{n(x0)} {n(crest + (1 if f.has_weir else 0))}V{n(floor)}H{n(x1)}V{n(rim)}"
    if is_thumb:
        sheet.path("s-level", f"M{n(sheet.x(0))} {n(level)}H{n(sheet.x(f.wide_mm))}")
        sheet.path("s-wall", walls)
        return
    if f.has_weir:
        _draw_fall(sheet, f, level, x0)
    _draw_water_line(sheet, f, level)
    sheet.path("s-wall", walls)
    at = sheet.x(f.wide_mm * 0.6)
    sheet.path("s-mark", f"M{n(at - 5)} {n(level - 9.5)}h10l-5 8.5z")
    sheet.path("s-mark-lines", f"M{n(at - 6)} {n(level + 3.6)}h12M{n(at - 3.5)} {n(level + 6.6)}h7")


def _draw_fall(sheet: Sheet, f: FilterSection, level: float, x0: float) -> None:
    out = 0.06 * f.wide_mm * sheet.scale
    streaks = f"M{n(sheet.x(0))} {n(level)}H{n(x0)}" + "".join(
        f"M{n(x0)} {n(level + i * 1.8)}q{n(-out * reach)} 0 {n(-out * reach)} {n(out * fall + 5)}"
        for i, (reach, fall) in enumerate(((0.95, 1.5), (0.62, 1.1), (0.32, 0.55)))
    )
    sheet.path("s-fall", streaks)


def _draw_water_line(sheet: Sheet, f: FilterSection, level: float) -> None:
    """The level over the media, broken where a pipe stands through it."""
    _, drop, under, over = f.distribution_edges()
    half, start, spans = (over - under) / 2, 0.0, []
    if f.has_pipe:
        left, right, _ = f.pipe_edges()
        spans.append((0.0, left))
        start = right
    spans += [(start, drop - half), (drop + half, f.wide_mm)]
    drawn = (f"M{n(sheet.x(a))} {n(level)}H{n(sheet.x(b))}" for a, b in spans if b > a)
    sheet.path("s-level", "".join(drawn))


def draw_due_line(sheet: Sheet, f: FilterSection, *, is_thumb: bool) -> None:
    y = n(sheet.y(f.void_height_mm * f.due_fill))
    x0, x1 = sheet.x(0), sheet.x(f.wide_mm)
    if is_thumb:
        is_buried = f.sludge is not None and f.sludge.p50 > f.due_fill
        sheet.path("s-due s-due-buried" if is_buried else "s-due", f"M{n(x0)} {y}H{n(x1)}")
        return
    sheet.path("s-due-halo", f"M{n(x0)} {y}H{n(x1)}")
    sheet.path("s-due", f"M{n(x0 - 4)} {y}H{n(x1)}")
