"""The eight filters of the invented station as drawings, and what a test needs to read an SVG."""

from __future__ import annotations

from xml.etree import ElementTree

from enclosures.figures.section import DrawnLayer, FilterSection
from enclosures.forecast.inputs import Quantiles

COARSE, FINE = (40, 80), (15, 30)
SVG = "{http://www.w3.org/2000/svg}"


def pond(code: str, *, wide: float, void: float, bed: tuple[float, float], bore: float, fill, **more) -> FilterSection:
    return FilterSection(
        code=code,
        width_mm=wide,
        void_height_mm=void,
        layers=(DrawnLayer(depth_mm=bed[0], grade_mm=COARSE), DrawnLayer(depth_mm=bed[1], grade_mm=FINE)),
        pipe_bore_mm=bore,
        sludge=Quantiles(p10=fill[0], p50=fill[1], p90=fill[2]),
        **{"water_over_mm": 90, "pipe_top_mm": 180, "head_mm": 14, **more},
    )


TUB = {"water_over_mm": 40, "pipe_top_mm": 80, "returns_to": "tub"}
DEMO = (
    pond("P1", wide=900, void=150, bed=(150, 250), bore=75, fill=(0.75, 0.88, 1.03), head_mm=22),
    pond("P2", wide=800, void=240, bed=(160, 235), bore=90, fill=(0.30, 0.40, 0.52)),
    pond("P3", wide=800, void=150, bed=(175, 250), bore=75, fill=(0.05, 0.10, 0.18), pipe_at=0.34),
    pond("P4", wide=600, void=120, bed=(120, 235), bore=63, fill=(0.49, 0.64, 0.85)),
    pond("B1", wide=400, void=100, bed=(120, 210), bore=50, fill=(0.17, 0.24, 0.32), returns_to="tank"),
    pond("B2", wide=500, void=130, bed=(150, 225), bore=50, fill=(0.58, 0.75, 0.95), returns_to="tank"),
    pond("T1", wide=230, void=60, bed=(60, 160), bore=32, fill=(0.03, 0.08, 0.20), **TUB),
    pond("T2", wide=230, void=60, bed=(60, 160), bore=32, fill=(0.20, 0.36, 0.62), **TUB),
)


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def ids(svg: str) -> list[str]:
    return [element.attrib["id"] for element in parsed(svg).iter() if "id" in element.attrib]


def words(svg: str) -> str:
    return " | ".join(element.text or "" for element in parsed(svg).iter(f"{SVG}text"))


def description(svg: str) -> str:
    return parsed(svg).find(f"{SVG}desc").text
