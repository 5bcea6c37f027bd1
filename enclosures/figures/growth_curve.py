"""Mass over time: one animal in ink, the rest of its batch in grey behind it. By day, or by age where the hatch day is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from enclosures.figures import theme
from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import rounded


@dataclass(frozen=True, kw_only=True, slots=True)
class WeightMark:
    animal: str
    on: date
    mass_g: float
    scl_mm: float | None = None
    is_flagged: bool = False  # an unusual value a person confirmed


@dataclass(frozen=True, kw_only=True, slots=True)
class GrowthRow:
    on: date
    mass: str
    change: str
    scl: str


def growth_curve(
    weights: Sequence[WeightMark],
    *,
    animal: str = "",
    today: date,
    hatched_on: Mapping[str, date] | None = None,
    rests: Sequence[Span] = (),
) -> dict[str, Any]:
    """The chart as plain JSON. `animal` empty: all alike. With `hatched_on` the axis is age in days, and animals without one are left out."""
    by_animal: dict[str, list[WeightMark]] = {}
    for mark in weights:
        if hatched_on is None or mark.animal in hatched_on:
            by_animal.setdefault(mark.animal, []).append(mark)
    most = theme.MOST_POINTS // max(1, len(by_animal))
    behind = sorted(name for name in by_animal if name != animal)
    data = [
        _trace(by_animal[name], name, is_main=name == animal or not animal, hatched_on=hatched_on, most=most)
        for name in [*behind, *([animal] if animal in by_animal else [])]
    ]
    layout: dict[str, Any] = {"yaxis": theme.value_axis(title="g"), "annotations": _names(by_animal, animal)}
    if hatched_on is None:
        first, last = theme.span_of([mark.on for mark in weights], today=today)
        layout |= {"xaxis": theme.date_axis(first, last), "shapes": theme.rest_boxes(rests, first, last)}
    else:
        layout["xaxis"] = {**theme.value_axis(title="age, days"), "showgrid": False, "linecolor": theme.RULE_STRONG}
    return theme.finished(data, layout, height=300, margin={"l": 52, "r": 96, "t": 18, "b": 44})


def _trace(
    marks: Sequence[WeightMark], name: str, *, is_main: bool, hatched_on: Mapping[str, date] | None, most: int
) -> dict[str, Any]:
    kept = set(theme.decimated([(mark.on, mark.mass_g) for mark in marks], most=max(4, most)))
    shown = [mark for mark in marks if (mark.on, mark.mass_g) in kept]
    x = [m.on.isoformat() if hatched_on is None else (m.on - hatched_on[name]).days for m in shown]
    colour = theme.INK if is_main else theme.RULE_STRONG
    return theme.scatter(
        x=x,
        y=[mark.mass_g for mark in shown],
        mode="lines+markers" if is_main else "lines",
        line={"color": colour, "width": 2 if is_main else 1.2},
        marker={
            "symbol": ["circle-open" if mark.is_flagged else "circle" for mark in shown],
            "size": 6,
            "color": colour,
        },
        text=[f"{name}, {theme.day_text(mark.on)}: {mark.mass_g:g} g" for mark in shown],
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
        meta="animal" if is_main else "batch",
    )


def _names(by_animal: Mapping[str, Sequence[WeightMark]], animal: str) -> list[dict[str, Any]]:
    last = by_animal.get(animal)
    return [theme.beside(animal, y=last[-1].mass_g, colour=theme.INK, is_bold=True)] if last else []


def growth_rows(weights: Sequence[WeightMark]) -> tuple[GrowthRow, ...]:
    """One animal's weights as a table, newest first, each with its change from the one before."""
    rows = []
    before: WeightMark | None = None
    for mark in weights:
        change = "–"
        if before is not None and before.mass_g > 0:
            share = rounded((mark.mass_g / before.mass_g - 1) * 100)
            change = f"{'−' if share < 0 else '+'}{abs(share)} %"
        scl = "–" if mark.scl_mm is None else f"{mark.scl_mm:g}"
        rows.append(GrowthRow(on=mark.on, mass=f"{mark.mass_g:g}", change=change, scl=scl))
        before = mark
    return tuple(reversed(rows))
