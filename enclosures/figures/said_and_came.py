"""How often the due day came by the day named for so many in ten: one bar a share, from never to always, beside the mark where it should end.

Widths are SVG attributes in per cent, so the bar takes any width and a policy without inline styles holds.
"""

from __future__ import annotations

from enclosures.forecast.past_forecasts import SaidInTenths


def said_and_came_svg(share: SaidInTenths) -> str:
    """The bar of one share. The pale field is what luck alone allows, the upright what was said. Hidden from readers of the page's text:
    the same figures stand beside it."""
    field = f'<rect class="s-luck" x="{_at(share.low)}" y="0" width="{_at(share.high - share.low)}" height="100%"/>'
    bar = f'<rect class="s-came" x="0" y="30%" width="{_at(share.came)}" height="40%"/>'
    ends = '<line class="s-end" x1="0" x2="0" y2="100%"/><line class="s-end" x1="100%" x2="100%" y2="100%"/>'
    said = f'<line class="s-said" x1="{_at(share.said)}" x2="{_at(share.said)}" y2="100%"/>'
    return f'<svg class="said-and-came" aria-hidden="true">{field}{ends}{bar}{said}</svg>'


def _at(share: float) -> str:
    return f"{max(0.0, min(share, 1.0)) * 100:.1f}%"
