"""Stones of a media bed, from a seeded generator: the same filter is always drawn with the same stones.

A jittered grid of sites is cut into nearest-site cells, each cell pulled in so that water shows between stones. Beds of big
stones are drawn stone by stone; small ones are one seamless tile plus a loose top row.
"""

from __future__ import annotations

from math import cos, hypot, sin, tau
from random import Random

from enclosures.figures.svg import Point


def keep_nearer_half(cell: list[Point], a: Point, b: Point) -> list[Point]:
    """The part of a convex cell that is nearer to a than to b."""
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    nx, ny = b[0] - a[0], b[1] - a[1]
    side = [(x - mx) * nx + (y - my) * ny for x, y in cell]
    kept: list[Point] = []
    for i, here in enumerate(cell):
        after, s, t = cell[(i + 1) % len(cell)], side[i], side[(i + 1) % len(cell)]
        if s <= 0:
            kept.append(here)
        if s * t < 0:
            u = s / (s - t)
            kept.append((here[0] + u * (after[0] - here[0]), here[1] + u * (after[1] - here[1])))
    return kept


def shrunk(cell: list[Point], *, gap: float, shortest: float) -> list[Point]:
    """Pull a cell in so that water shows between stones, and drop edges too short to see."""
    if not cell:
        return []
    cx = sum(x for x, _ in cell) / len(cell)
    cy = sum(y for _, y in cell) / len(cell)
    out: list[Point] = []
    for x, y in cell:
        far = hypot(x - cx, y - cy) or 1.0
        pull = max(0.35, 1 - gap / far)
        p = (cx + (x - cx) * pull, cy + (y - cy) * pull)
        if not out or hypot(p[0] - out[-1][0], p[1] - out[-1][1]) > shortest:
            out.append(p)
    return out


def stones(width: float, height: float, *, grain: float, rng: Random, is_tile: bool) -> list[list[Point]]:
    """Packed stones filling width x height. A tile wraps round, so it can repeat without a seam."""
    columns = max(3, round(width / grain))
    rows = max(2, round(height / (grain * 0.88)))
    rows += rows % 2 if is_tile else 0
    dx, dy = width / columns, height / rows
    sites = [
        ((c + 0.5 + (r % 2) * 0.5 + rng.uniform(-0.36, 0.36)) * dx % width, (r + 0.5 + rng.uniform(-0.32, 0.32)) * dy)
        for r in range(rows)
        for c in range(columns)
    ]
    around = _wrapped(sites, width, height) if is_tile else sites + _uneven_edge(width, height, dx, dy, rng)
    cells: list[list[Point]] = []
    for site in sites:
        reach = 3 * max(dx, dy)
        x0, x1, y0, y1 = site[0] - reach, site[0] + reach, site[1] - reach, site[1] + reach
        if not is_tile:
            x0, x1, y0, y1 = max(x0, 0), min(x1, width), max(y0, -0.3 * dy), min(y1, height)
        cell: list[Point] = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        for other in around:
            near = abs(other[0] - site[0]) < reach and abs(other[1] - site[1]) < reach
            if near and other != site:
                cell = keep_nearer_half(cell, site, other)
        stone = shrunk(cell, gap=grain * 0.085, shortest=grain * 0.24)
        if stone:
            cells.append(stone)
            if is_tile:
                cells += _across_the_seam(stone, width, height)
    return cells


def _wrapped(sites: list[Point], width: float, height: float) -> list[Point]:
    return [(x + i * width, y + j * height) for x, y in sites for i in (-1, 0, 1) for j in (-1, 0, 1)]


def _uneven_edge(width: float, height: float, dx: float, dy: float, rng: Random) -> list[Point]:
    """Neighbours that are not drawn, so that a bed does not end in a straight edge."""
    columns = round(width / dx)
    above = [((c + rng.uniform(0.2, 0.8)) * dx, rng.uniform(-0.75, -0.35) * dy) for c in range(-1, columns + 1)]
    below = [((c + rng.uniform(0.2, 0.8)) * dx, height + rng.uniform(0.3, 0.5) * dy) for c in range(-1, columns + 1)]
    return above + below


def _across_the_seam(stone: list[Point], width: float, height: float) -> list[list[Point]]:
    """A stone across an edge of a tile shows on the opposite edge as well."""
    low_x, low_y = min(x for x, _ in stone), min(y for _, y in stone)
    high_x, high_y = max(x for x, _ in stone), max(y for _, y in stone)
    across = [0.0] + [width] * (low_x < 0) + [-width] * (high_x > width)
    down = [0.0] + [height] * (low_y < 0) + [-height] * (high_y > height)
    return [[(x + i, y + j) for x, y in stone] for i in across for j in down if i or j]


def loose_row(width: float, *, grain: float, rng: Random) -> list[list[Point]]:
    """One row of stones that wraps round, to lie on top of a bed so that it does not end in a cut edge."""
    count = max(3, round(width / (grain * 0.95)))
    row = []
    for i in range(count):
        cx, cy = (i + 0.5 + rng.uniform(-0.08, 0.08)) * width / count, rng.uniform(-0.06, 0.1) * grain
        rx, ry = width / count * rng.uniform(0.40, 0.47), grain * rng.uniform(0.32, 0.46)
        turn = rng.uniform(0, 1)
        angles = [(k + turn + rng.uniform(-0.2, 0.2)) * tau / 6 for k in range(6)]
        row.append([(cx + rx * cos(a), cy + ry * sin(a)) for a in angles])
    return row
