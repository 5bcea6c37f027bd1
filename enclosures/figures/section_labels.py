"""Ruler, width and words of the side section: short on a card, full in print."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from enclosures.figures.drawn_filter import FilterSection, grade_words, percent
from enclosures.figures.svg import Sheet, n, spread

LABEL_GAP = 16.0


@dataclass(frozen=True, slots=True)
class Label:
    at_mm: float
    cls: str
    words: str


def ladder() -> Iterator[int]:
    """1, 2, 5, 10, 20, 50 ... mm: the steps a ruler may have."""
    step = 1
    while True:
        yield from (step, 2 * step, 5 * step)
        step *= 10


def draw_ruler(sheet: Sheet, f: FilterSection) -> None:
    """Millimetres above the floor, beside the void; figures only where they have room."""
    void, scale = f.void_height_mm, sheet.scale
    major = next(step for step in ladder() if step * scale >= 13 or step > void)
    minor = next(step for step in ladder() if step * scale > 3.2 or step > void)
    x = sheet.x(0) - 7
    heights = [i * minor for i in range(int(void // minor) + 1)]
    ticks = [f"M{n(x)} {n(sheet.y(mm))}h{-6 if mm % major == 0 else -3}" for mm in heights]
    ticks.append(f"M{n(x)} {n(sheet.y(void))}h-6")
    sheet.path("s-ruler", f"M{n(x)} {n(sheet.y(0))}V{n(sheet.y(void))}" + "".join(ticks))
    for mm in [i * major for i in range(int(void // major) + 1) if (void - i * major) * scale >= 12]:
        sheet.text("s-figure", x - 8, sheet.y(mm) + 4, f"{mm}", "end")
    sheet.text("s-figure", x - 8, sheet.y(void) + 4, f"{void:.0f}", "end")


def draw_width(sheet: Sheet, f: FilterSection) -> None:
    y, x0, x1 = sheet.floor + 21, sheet.x(0), sheet.x(f.wide_mm)
    words = f"{f.wide_mm:.0f} mm" if f.is_width_known else f"about {f.wide_mm:.0f} mm"
    mid, half = (x0 + x1) / 2, 26 if f.is_width_known else 44
    if x1 - x0 > 2 * half + 8:
        ends = (
            f"M{n(x0)} {n(y)}H{n(mid - half)}M{n(mid + half)} {n(y)}H{n(x1)}M{n(x0)} {n(y - 4)}v8M{n(x1)} {n(y - 4)}v8"
        )
        sheet.path("s-ruler", ends)
    sheet.text("s-figure", mid, y + 4, words, "middle")


def labels(f: FilterSection, *, is_full: bool) -> list[Label]:
    """What is said beside the drawing, from the top down."""
    due = f"due {percent(f.due_fill)}" + (f" · {f.due_fill * f.void_height_mm:.0f} mm" if is_full else "")
    rows = [Label(f.void_height_mm * f.due_fill, "s-strong", due), _sludge_label(f, is_full=is_full)]
    rows.append(Label(f.void_height_mm + f.grid_mm / 2, "", "support grid" if is_full else "grid"))
    base = f.bed_from_mm
    for layer in f.layers:
        short = layer.material if layer.grade_mm is None else grade_words(layer.grade_mm)
        words = f"{layer.words}, {layer.depth_mm:.0f} deep" if is_full else short[:13]
        rows.append(Label(base + layer.depth_mm / 2, "", words))
        base += layer.depth_mm
    if not f.layers:
        rows.append(Label(f.bed_from_mm + f.bed_mm / 2, "s-note", "media not recorded" if is_full else "not recorded"))
    if is_full:
        rows += [Label(max(0.0, baffle.to_mm), "", "baffle") for baffle in f.baffles[:1]]
    is_said = is_full and f.water_over_mm is not None
    rows.append(Label(f.water_mm, "", f"water, {f.water_over_mm:.0f} over media" if is_said else "water"))
    return sorted(rows, key=lambda row: -row.at_mm)


def _sludge_label(f: FilterSection, *, is_full: bool) -> Label:
    if f.sludge is None:
        return Label(f.void_height_mm * 0.3, "s-note", "depth not known" if is_full else "not known")
    low, mid, high = (q * f.void_height_mm for q in (f.sludge.p10, f.sludge.p50, f.sludge.p90))
    at = max(0.0, min(mid, f.void_height_mm))
    if f.is_measured:
        return Label(at, "s-strong", f"sludge {mid:.0f} mm, measured" if is_full else f"{mid:.0f} mm")
    return Label(at, "s-strong", f"sludge {mid:.0f} mm ({low:.0f}–{high:.0f})" if is_full else f"{mid:.0f} mm")


def height_for(rows: list[Label]) -> float:
    """The least height of a drawing whose labels do not touch."""
    return LABEL_GAP * len(rows) + 24


def draw_labels(sheet: Sheet, f: FilterSection, rows: list[Label], *, height: float, is_full: bool) -> None:
    """Words stand to the right of the drawing, each on a leader."""
    start, x = sheet.x(f.wide_mm) + 4, sheet.x(f.wide_mm) + 30
    wanted = [sheet.y(row.at_mm) for row in rows]
    heights = spread(wanted, gap=LABEL_GAP, lowest=14, highest=height - 10)
    leaders = (f"M{n(start)} {n(y)}L{n(start + 12)} {n(at)}h10" for y, at in zip(wanted, heights, strict=True))
    sheet.path("s-leader", "".join(leaders))
    for row, at in zip(rows, heights, strict=True):
        sheet.text(row.cls, x, at + 4.3, row.words)
    if f.has_pipe:
        beside = min(sheet.y(f.water_mm + f.pipe_over_mm) + 11, sheet.y(f.water_mm) - 17)
        sheet.text("", sheet.x(f.pipe_edges()[1]) + 7, max(11, beside), "cleanout pipe")
    if is_full:
        sheet.text("", sheet.x(f.distribution_edges()[1]) - 12, sheet.y(f.rim_mm) - 12, "from pump", "end")
        if f.has_weir:
            anchor = "start" if sheet.x(0) < 90 else "middle"
            sheet.text("", sheet.x(0) - 6, sheet.y(f.water_mm) - 8, f"weir to {f.returns_to}", anchor)
