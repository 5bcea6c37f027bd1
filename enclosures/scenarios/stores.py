"""What stands on the shelves: food items with their dated recipes and keeper's units, and the test kits with their ladders."""

from __future__ import annotations

from datetime import date

from enclosures.scenarios.rows import Tables, row

# code, name, class, [(from, moisture %, protein %)], {unit: grams}
_FOODS = (
    ("pellet", "Adult pellet", "pellet", ((None, 8, 40), (date(2025, 2, 1), 8, 36)), {"scoop": 26, "piece": 0.4}),
    ("crumb", "Hatchling crumb", "pellet", ((None, 8, 48),), {"pinch": 0.08}),
    ("earthworm", "Earthworm", "worm", ((None, 83.6, 10.5),), {"piece": 1.2}),
    ("cricket", "Adult cricket", "insect", ((None, 69.2, 20.5),), {"piece": 0.45}),
    ("bloodworm", "Bloodworm, frozen", "insect", ((None, 90, 6),), {"cube": 3.2}),
    ("krill", "Krill, frozen", "crustacean", ((None, 82, 12),), {"cube": 4}),
    ("snail", "Pond snail", "mollusc", ((None, 80, 13),), {"piece": 0.6}),
    ("greens", "Leafy greens", "plant", ((None, 92, 2),), {"handful": 45}),
    ("duckweed", "Duckweed", "plant", ((None, 94, 1.8),), {"handful": 30}),
)
_TABLE_SOURCE = {"earthworm": "published table of feeder animals", "cricket": "published table of feeder animals"}

# the smallest part of a unit a keeper gives
STEP = {"scoop": 0.25, "piece": 1, "pinch": 1, "cube": 0.25, "handful": 0.5}
UNIT = {
    "pellet": "scoop", "crumb": "pinch", "earthworm": "piece", "cricket": "piece", "bloodworm": "cube",
    "krill": "cube", "snail": "piece", "greens": "handful", "duckweed": "handful",
}  # fmt: skip
UNIT_G = {code: units for code, _name, _class, _recipes, units in _FOODS}
DRY_SHARE = {code: 1 - recipes[0][1] / 100 for code, _name, _class, recipes, _units in _FOODS}

_AMMONIA_STEPS = (0, 0.2, 0.5, 1, 2, 3, 5, 8)
# code, name, analyte, reports as, unit, ladder, lower, upper
_KITS = (
    ("A-ammonia", "Kit A, drops, ammonia", "tan", "NH3", "mg/L", _AMMONIA_STEPS, 0, 8),
    ("B-ammonia", "Kit B, drops, ammonia", "tan", "N", "mg/L", _AMMONIA_STEPS, 0, 8),
    ("C-ammonia", "Kit C, meter, ammonia", "tan", "N", "mg/L", (), 0.01, 10),
    ("C-nitrite", "Kit C, meter, nitrite", "nitrite", "N", "mg/L", (), 0.01, 2),
    ("drops-nitrite", "Drops, nitrite", "nitrite", "NO2", "mg/L", (0, 0.1, 0.3, 0.8, 2, 5), 0, 5),
    ("drops-nitrate", "Drops, nitrate", "nitrate", "NO3", "mg/L", (0, 5, 10, 20, 40, 80, 160), 0, 160),
    ("drops-ph", "Drops, pH", "ph", "", "pH", tuple(round(6 + 0.2 * n, 1) for n in range(15)), 6, 8.8),
    ("drops-kh", "Drops, carbonate hardness", "kh", "CaCO3", "mg/L", tuple(range(0, 301, 10)), 0, 300),
)
LADDER = {code: steps for code, _name, _analyte, _as, _unit, steps, _low, _high in _KITS}
# mg/L of what the kit reports, per mg/L as N
PER_N = {"A-ammonia": 1 / 0.822, "B-ammonia": 1.0, "C-ammonia": 1.0, "C-nitrite": 1.0, "drops-nitrite": 1 / 0.304}
KIT = {code: (analyte, reports_as, unit) for code, _name, analyte, reports_as, unit, *_rest in _KITS}


def stores_tables() -> Tables:
    return {
        "food_items": [
            row(
                food_item=code, name=name, food_class=kind, valid_from=since, moisture_percent=moisture,
                protein_percent=protein, source=_TABLE_SOURCE.get(code, "label" if kind == "pellet" else "guess"),
                recipe=recipe, units="; ".join(f"{unit}={grams:g}" for unit, grams in sorted(units.items())),
            )
            for code, name, kind, recipes, units in _FOODS
            for recipe, (since, moisture, protein) in enumerate(recipes, start=1)
        ],
        "test_kits": [
            row(
                kit=code, name=name, analyte=analyte, reports_as=reports_as, unit=unit,
                steps=" ".join(f"{step:g}" for step in steps), lower=low, upper=high,
            )
            for code, name, analyte, reports_as, unit, steps, low, high in _KITS
        ],
    }  # fmt: skip
