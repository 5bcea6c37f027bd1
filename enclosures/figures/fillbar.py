"""The fill bar: the side section laid on its side. Dark is sludge for sure, mid to the likeliest depth, pale as far as it may reach.

Widths are SVG attributes in per cent, so the bar takes any width and a policy without inline styles holds. All bars of a list share one
axis that ends at 110 %.
"""

from __future__ import annotations

from enclosures.figures.svg import safe
from enclosures.forecast.inputs import Outlook, Quantiles

AXIS_END = 1.10


def fillbar_svg(fill: Quantiles | Outlook | None, due_fill: float = 0.7, *, label: str = "") -> str:
    """The bar of one filter as an `<svg>`. Equal quantiles are a measured depth, all dark; None draws the axis alone.

    Hidden from readers of the page's text unless `label` says what it shows: the same figures stand beside it.
    """
    if isinstance(fill, Outlook):
        due_fill = fill.due_fill if fill.due_fill is not None else due_fill
        fill = fill.fill
    named = f'role="img" aria-label="{safe(label)}"' if label else 'aria-hidden="true"'
    lines = _upright("f-zero", 0) + _upright("f-full", 1)
    due = _upright("f-due-halo", due_fill) + _upright("f-due", due_fill)
    return f'<svg class="fillbar" {named}>{lines}{_bar(fill)}{due}{_median(fill)}</svg>'


def _bar(fill: Quantiles | None) -> str:
    if fill is None:
        return ""
    low, mid, high = sorted((fill.p10, fill.p50, fill.p90))
    if low == high:
        return _rect("f-low", 0, mid)
    return _rect("f-high", mid, high) + _rect("f-mid", 0, mid) + _rect("f-low", 0, low)


def _median(fill: Quantiles | None) -> str:
    return "" if fill is None else f'<rect class="f-median" x="{_at(fill.p50)}" width="2" height="20"/>'


def _at(share: float) -> str:
    return f"{max(0.0, min(share, AXIS_END)) / AXIS_END * 100:.2f}%"


def _rect(cls: str, low: float, high: float) -> str:
    width = max(0.0, min(high, AXIS_END) - max(0.0, min(low, AXIS_END)))
    return f'<rect class="{cls}" x="{_at(low)}" width="{width / AXIS_END * 100:.2f}%" height="14"/>'


def _upright(cls: str, share: float) -> str:
    return f'<line class="{cls}" x1="{_at(share)}" x2="{_at(share)}" y2="100%"/>'
