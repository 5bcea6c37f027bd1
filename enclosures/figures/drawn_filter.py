"""What the side section draws: one filter as built, in millimetres, with what is known of its sludge.

Most of a filter card is optional. What is missing is given a plausible size so that the picture can stand, and the picture
says that it was not recorded.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from enclosures.forecast.inputs import Quantiles

SectionSize = Literal["thumb", "card", "print", "pipe"]
LayerLook = Literal["stones", "grit", "rings", "mat"]

FULLEST_DRAWN = 1.12  # sludge over the grid stands in the lowest stones; more than this is not drawn higher


@dataclass(frozen=True, kw_only=True, slots=True)
class DrawnLayer:
    """One media layer; layers are listed from the grid upwards. `grade_mm` None: size of the grains not recorded."""

    depth_mm: float
    grade_mm: tuple[float, float] | None = None
    material: str = "lava"

    @property
    def grain_mm(self) -> float:
        """Middle of the grade; a guess by material where it is not recorded."""
        if self.grade_mm is None:
            return 3.0 if self.material in ("soil", "sand") else 25.0
        return sum(self.grade_mm) / 2

    @property
    def is_coarse(self) -> bool:
        return self.grain_mm > 35

    @property
    def look(self) -> LayerLook:
        if self.material == "mat":
            return "mat"
        if self.material == "plastic":
            return "rings"
        return "grit" if self.grain_mm < 6 else "stones"

    @property
    def words(self) -> str:
        grade = "" if self.grade_mm is None else f" {grade_words(self.grade_mm)}"
        return f"{self.material}{grade}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Baffle:
    """A plate that makes the water turn: share of the width (0-1), and its lower and upper edge above the floor."""

    at: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class FilterSection:
    """One filter as it stands. Only the code and the void height (> 0) are needed.

    `width_mm` is the side that is looked at; without it the width comes from the plan area. `pipe_top_mm` is above the water
    over the media, `head_mm` the level in the pipe minus the level over the media. `sludge` is fill (1 = to the grid); equal
    quantiles are a measured depth; None is not known.
    """

    code: str
    void_height_mm: float
    width_mm: float | None = None
    chamber_area_m2: float | None = None
    layers: tuple[DrawnLayer, ...] = ()
    water_over_mm: float | None = None
    pipe_bore_mm: float | None = None
    pipe_top_mm: float | None = None
    head_mm: float | None = None
    due_fill: float = 0.7
    sludge: Quantiles | None = None
    pipe_at: float = 0.27  # share of the width
    support_mm: float | None = None
    distribution_bore_mm: float | None = None
    has_weir: bool = True
    weir_drop_mm: float = 6.0  # water over the crest of the weir
    returns_to: str = "pond"
    baffles: tuple[Baffle, ...] = ()

    @property
    def wide_mm(self) -> float:
        if self.width_mm:
            return self.width_mm
        if self.chamber_area_m2:
            return sqrt(self.chamber_area_m2) * 1300  # a chamber a good half longer than it is deep
        return max(250.0, 4 * self.void_height_mm)

    @property
    def is_width_known(self) -> bool:
        return bool(self.width_mm)

    @property
    def grid_mm(self) -> float:
        return self.support_mm or min(20.0, 0.3 * self.void_height_mm, 7 + 0.085 * self.void_height_mm)

    @property
    def bed_from_mm(self) -> float:
        return self.void_height_mm + self.grid_mm

    @property
    def bed_mm(self) -> float:
        if self.layers:
            return sum(layer.depth_mm for layer in self.layers)
        return max(120.0, min(400.0, 2 * self.void_height_mm))

    @property
    def media_top_mm(self) -> float:
        return self.bed_from_mm + self.bed_mm

    @property
    def over_mm(self) -> float:
        """Water over the media, as drawn."""
        return self.water_over_mm if self.water_over_mm is not None else max(20.0, min(90.0, 0.2 * self.bed_mm))

    @property
    def water_mm(self) -> float:
        return self.media_top_mm + self.over_mm

    @property
    def freeboard_mm(self) -> float:
        return min(0.12 * self.wide_mm, 0.25 * self.water_mm)

    @property
    def rim_mm(self) -> float:
        return self.water_mm + self.freeboard_mm

    @property
    def has_pipe(self) -> bool:
        return bool(self.pipe_bore_mm)

    @property
    def pipe_over_mm(self) -> float:
        """Pipe above the water, as drawn."""
        return self.pipe_top_mm if self.pipe_top_mm is not None else 1.4 * self.freeboard_mm

    @property
    def top_mm(self) -> float:
        return max(self.rim_mm, self.water_mm + self.pipe_over_mm) if self.has_pipe else self.rim_mm

    @property
    def pipe_level_mm(self) -> float:
        """Water level in the open pipe; it cannot stand over the pipe's rim."""
        return self.water_mm + max(-self.over_mm, min(self.head_mm or 0.0, self.pipe_over_mm))

    @property
    def sludge_mm(self) -> tuple[float, float, float] | None:
        """P10, P50, P90 as depths to draw, in order."""
        if self.sludge is None:
            return None
        low, mid, high = sorted(max(0.0, q) for q in (self.sludge.p10, self.sludge.p50, self.sludge.p90))
        return tuple(min(q, FULLEST_DRAWN) * self.void_height_mm for q in (low, mid, high))  # type: ignore[return-value]

    @property
    def is_measured(self) -> bool:
        return self.sludge is not None and self.sludge.p10 == self.sludge.p90

    def pipe_edges(self) -> tuple[float, float, float]:
        """Left and right edge of the cleanout pipe, and its foot, in mm; a bore too big for the picture is drawn smaller."""
        half = min((self.pipe_bore_mm or 0.0) / 2, 0.16 * self.wide_mm)
        centre = max(half + 0.03 * self.wide_mm, min(self.wide_mm * self.pipe_at, 0.7 * self.wide_mm))
        return centre - half, centre + half, self.void_height_mm * 0.24

    def distribution_edges(self) -> tuple[float, float, float, float]:
        """Near end, centre of the drop pipe, underside and top of the distribution pipe, in mm."""
        bore = min(self.distribution_bore_mm or 50.0, self.void_height_mm * 0.33, self.wide_mm * 0.1)
        under = self.void_height_mm * 0.10
        near = max(self.pipe_edges()[1] + 0.04 * self.wide_mm, self.wide_mm * (self.pipe_at + 0.12))
        return min(near, 0.8 * self.wide_mm), self.wide_mm * 0.93, under, under + bore


def grade_words(grade_mm: tuple[float, float]) -> str:
    low, high = grade_mm
    return f"{low:.0f} mm" if low == high else f"{low:.0f}–{high:.0f} mm"


def percent(share: float) -> str:
    """A share as whole per cent; a half goes up, as on paper."""
    return f"{int(share * 100 + 0.5)} %"


def sludge_words(section: FilterSection) -> str:
    """How full, in a sentence, with its range."""
    if section.sludge is None:
        return "How much sludge lies in the void is not known."
    q, void = section.sludge, section.void_height_mm
    due = f"due at {percent(section.due_fill)}."
    if section.is_measured:
        return f"Sludge measured {q.p50 * void:.0f} mm deep, {percent(q.p50)} of the void; {due}"
    return (
        f"Sludge about {q.p50 * void:.0f} mm deep, {percent(q.p50)} of the void, "
        f"likely between {percent(q.p10)} and {percent(q.p90)}; {due}"
    )


def described(section: FilterSection, *, is_brief: bool = False) -> str:
    """The same facts as the picture, for someone who cannot see it. A thumbnail says the fill only."""
    fill = sludge_words(section)
    if is_brief:
        return fill
    about = "" if section.is_width_known else "about "
    bed = ", then ".join(f"{layer.depth_mm:.0f} mm of {layer.words}" for layer in section.layers)
    over = f"{section.water_over_mm:.0f} mm of water" if section.water_over_mm is not None else "water"
    weir = f", weir to the {section.returns_to}" if section.has_weir else ""
    pipe = (
        f"A cleanout pipe of {section.pipe_bore_mm:.0f} mm stands in the void."
        if section.pipe_bore_mm
        else "No cleanout pipe is recorded."
    )
    return (
        f"Chamber {about}{section.wide_mm:.0f} mm wide. From the floor: open void {section.void_height_mm:.0f} mm high, "
        f"support grid, {bed or 'media not recorded'}, {over}{weir}. {pipe} {fill}"
    )
