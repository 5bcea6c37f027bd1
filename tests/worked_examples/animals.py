"""Space, growth and incubation."""

from __future__ import annotations

from typing import Any

from tests.worked_examples.example import Example


def _example(call: str, expected: float, source: str, how_read: str, where: str, **rest: Any) -> Example:
    return Example(call=call, expected=expected, source=source, how_read=how_read, where=where, **rest)


SPACE = [
    *(
        _example("space.tank_cm_DE97", cm, "DE97", "read-2nd", where, args=(scl,), part=i, within=1e-9)
        for scl, where, sides in (
            (15, "keeper page on the report", (75, 37.5)),
            (42, "a second page on the report", (210, 105)),
            (12, "factor 5 and 2.5", (60, 30)),
        )
        for i, cm in enumerate(sides)
    ),
    _example(
        "space.minimum_DE97",
        6000,
        "DE97",
        "read-2nd",
        "20 cm, four animals: 5000 x 1.2",
        inputs={"carapace_cm": 20, "carapace_width_cm": 15, "n_animals": 4},
        part="area_cm2",
        within=1e-6,
    ),
    *(
        _example(
            "space.minimum_EU10",
            expected,
            "EU10",
            "read",
            "Annex III, table 10.1",
            inputs={"carapace_cm": cm, "n_animals": n},
            part=part,
            within=1e-9,
        )
        for cm, n, part, expected in (
            (12, 3, "area_cm2", 4700),
            (12, 3, "depth_cm", 20),
            (25, 1, "area_cm2", 10_000),
            (32, 2, "area_cm2", 25_000),
            (5, 1, "area_cm2", 600),
        )
    ),
    _example(
        "space.minimum_NSW13", 5000, "NSW13", "read", "12.5 L2, L 0.20 m", args=(20,), part="area_cm2", within=1e-6
    ),
]

_HARDEN = {"start": 27, "final": 173.4, "k_per_year": 0.28}
GROWTH = [
    _example(
        "growth.mass_g_from_scl_POUGH80", 16.2407, "POUGH80", "read", "printed example, 0.04 m", args=(40,), within=1e-3
    ),
    *(
        _example(
            "growth.mass_g_from_scl_POUGH80", g, "POUGH80", "lib", "formula read second hand", args=(mm,), within=0.1
        )
        for mm, g in ((100, 191.0), (150, 568.5), (200, 1232.6))
    ),
    _example(
        "growth.mass_exponent",
        2.920,
        "SARNAT81",
        "read",
        "abstract: 32.47 to 75.21 mm, 6.94 to 80.63 g",
        inputs={"first_mm": 32.47, "first_g": 6.94, "last_mm": 75.21, "last_g": 80.63},
        within=0.002,
    ),
    _example("growth.mass_g_from_scl_SARNAT81", 80.63, "SARNAT81", "read", "two-year mean", args=(75.21,), within=0.01),
    *(
        _example(
            "growth.length_von_bertalanffy",
            mm,
            "HARDEN21",
            "read",
            "female plastron, Linf 173.4, K 0.28; start length assumed",
            inputs={**_HARDEN, "years": years},
            within=0.01,
        )
        for years, mm in ((1, 62.75), (3, 110.20), (5, 137.30), (10, 164.50))
    ),
]

HATCHING = [
    _example(
        "incubation.hatch_days",
        days,
        "ROSIE",
        "fit",
        "Malaclemys terrapin; raw means read 74-78, 55.8, 48.2",
        args=(temp_c,),
        inputs={"days_at_28c": 58, "slope_per_c": 0.0764},
        within=4,
    )
    for temp_c, days in ((25, 73), (28, 58), (30, 50))
]

# ROSIE, constant temperatures: males of sexed hatchlings, read and counted.
MALES_OF_SEXED: dict[str, dict[float, tuple[int, int]]] = {
    "Sternotherus odoratus": {25: (128, 142), 28: (5, 96), 30: (0, 102)},
    "Trachemys scripta": {26: (361, 361), 28: (163, 220), 30: (4, 62), 31: (0, 305)},
}
