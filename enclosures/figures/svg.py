"""Writing SVG by hand: numbers, text that is always well-formed, and a sheet that turns millimetres into drawing units.

Nothing here writes a style attribute: colours and weights come from classes, so a strict Content-Security-Policy holds.
"""

from __future__ import annotations

import re
from html import escape
from itertools import pairwise
from math import isfinite
from zlib import crc32

Point = tuple[float, float]

# what XML 1.0 does not allow in a document, however it is escaped
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def n(value: float) -> str:
    """A coordinate: one decimal at most, no zero that says nothing."""
    text = f"{value:.1f}" if isfinite(value) else "0"
    text = text.removesuffix(".0")
    if text == "-0":
        return "0"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def safe(words: str) -> str:
    """Any text, fit to stand in SVG: characters XML forbids are left out, the rest is escaped."""
    return escape(_NOT_XML.sub("", words))


def id_part(words: str) -> str:
    """A name that can stand in an id and in url(#...); different names stay different."""
    plain = re.sub(r"[^A-Za-z0-9_-]", "-", words)
    return plain if plain == words else f"{plain}-{crc32(words.encode('utf-8', 'replace')):08x}"


def outline(cells: list[list[Point]], unit: float) -> str:
    """Polygons as one compact path, in whole numbers of `unit` (drawn inside scale(unit))."""
    path: list[str] = []
    last = (0, 0)
    for cell in cells:
        pts = [(round(x / unit), round(y / unit)) for x, y in cell]
        steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(pts) if a != b]
        if len(steps) < 2:
            continue
        numbers = [pts[0][0] - last[0], pts[0][1] - last[1], *(v for step in steps for v in step)]
        words = " ".join(map(str, numbers)).replace(" -", "-")
        path.append(f"m{words}z")
        last = pts[0]
    return "".join(path)


class Sheet:
    """Turns millimetres above the floor into drawing units, and collects the drawing back to front."""

    def __init__(self, *, scale: float, left: float, floor: float) -> None:
        self.scale, self.left, self.floor = scale, left, floor
        self.parts: list[str] = []
        self.defs: list[str] = []

    def x(self, mm: float) -> float:
        return self.left + mm * self.scale

    def y(self, mm: float) -> float:
        return self.floor - mm * self.scale

    def add(self, markup: str) -> None:
        self.parts.append(markup)

    def define(self, markup: str) -> None:
        self.defs.append(markup)

    def rect(self, cls: str, x0: float, y0: float, x1: float, y1: float, extra: str = "") -> None:
        """A filled area between two corners in millimetres."""
        left, top = self.x(x0), self.y(y1)
        width, height = max(0.0, self.x(x1) - left), max(0.0, self.y(y0) - top)
        named = f'class="{cls}" ' if cls else ""
        self.add(f'<rect {named}x="{n(left)}" y="{n(top)}" width="{n(width)}" height="{n(height)}"{extra}/>')

    def path(self, cls: str, d: str, extra: str = "") -> None:
        if d:
            self.add(f'<path class="{cls}"{extra} d="{d}"/>')

    def text(self, cls: str, x: float, y: float, words: str, anchor: str = "") -> None:
        anchored = f' text-anchor="{anchor}"' if anchor else ""
        named = f' class="{cls}"' if cls else ""
        self.add(f'<text{named} x="{n(x)}" y="{n(y)}"{anchored}>{safe(words)}</text>')


def spread(wanted: list[float], *, gap: float, lowest: float, highest: float) -> list[float]:
    """Move label heights apart until none is nearer than `gap`, staying in order and on the sheet. `wanted` is sorted."""
    at = [max(lowest, min(highest, y)) for y in wanted]
    last = len(at) - 1
    for _ in range(60):
        for i in range(1, len(at)):
            short = gap - (at[i] - at[i - 1])
            if short > 0:
                at[i - 1] -= short / 2
                at[i] += short / 2
        at = [max(lowest + i * gap, min(highest - (last - i) * gap, y)) for i, y in enumerate(at)]
    return at
