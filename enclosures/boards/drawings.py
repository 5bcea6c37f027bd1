"""From a filter's dated build to its drawing: one place, so that list, page and paper show the same filter."""

from __future__ import annotations

from enclosures.figures.drawn_filter import DrawnLayer, FilterSection
from enclosures.forecast.inputs import Quantiles
from enclosures.models import Enclosure, EnclosureKind, FilterBuild, MediaLayer


def returns_to(enclosure: Enclosure) -> str:
    """What the weir spills into, in a word for the label."""
    if enclosure.kind == EnclosureKind.POND:
        return "pond"
    return "tub" if enclosure.kind == EnclosureKind.TUB else "tank"


def drawn_layer(layer: MediaLayer) -> DrawnLayer:
    low, high = layer.grade_min_mm, layer.grade_max_mm
    grade = (low if low is not None else high, high if high is not None else low)
    return DrawnLayer(
        depth_mm=layer.depth_mm,
        material="other stone" if layer.material == "other" else layer.get_material_display(),
        grade_mm=None if None in grade else grade,  # type: ignore[arg-type]
    )


def drawing_of(
    build: FilterBuild,
    *,
    code: str,
    enclosure: Enclosure,
    due_fill: float,
    sludge: Quantiles | None,
    head_mm: float | None = None,
) -> FilterSection:
    """The section of a build with its sludge. `head_mm` is the last head difference read, else the baseline. Layers prefetched."""
    sides = [side for side in (build.chamber_length_mm, build.chamber_width_mm) if side]
    return FilterSection(
        code=code,
        void_height_mm=build.void_height_mm,
        width_mm=max(sides) if sides else None,
        chamber_area_m2=build.chamber_area_m2,
        layers=tuple(drawn_layer(layer) for layer in sorted(build.layers.all(), key=lambda layer: layer.position)),
        water_over_mm=build.water_over_media_mm,
        pipe_bore_mm=build.pipe_bore_mm,
        pipe_top_mm=build.pipe_top_mm,
        head_mm=head_mm if head_mm is not None else build.baseline_head_mm,
        due_fill=due_fill,
        sludge=sludge,
        support_mm=build.grid_mm,
        has_weir=build.has_weir is not False,
        returns_to=returns_to(enclosure),
    )
