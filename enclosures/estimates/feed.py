"""What a feeding is worth: dry matter drives sludge, protein drives ammonia, and both come from grams as fed.

The table is a starting point: the label or the recipe wins, and a facility's own figures are dated rows of its own.
Per cent are as fed. Flesh values are edible portion; whole prey has 2-4 % more ash, and shell comes on top.
"""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.estimates.checks import BadQuantity, check_not_negative, check_range
from enclosures.estimates.coefficients import default
from enclosures.estimates.sources import HowRead

FOOD_CLASSES = ("pellet", "insect", "worm", "fish", "crustacean", "mollusc", "plant", "gel", "other")
EATEN_TAPS = ("all", "most", "some", "none", "")


@dataclass(frozen=True, slots=True)
class Composition:
    """One food: per cent of moisture, crude protein, fat and ash as fed, with its source and how that was read."""

    name: str
    food_class: str
    moisture_percent: float
    protein_percent: float
    fat_percent: float
    ash_percent: float
    source: str
    how_known: HowRead
    note: str = ""


_F = Composition

# fmt: off
FOODS: dict[str, Composition] = {
    "turtle_pellet": _F("Turtle pellet", "pellet", 10, 40, 6, 11, "PRACTICE", "memory", "RAWSKI18: 39-46 % protein best."),
    "trout_pellet": _F("Trout pellet", "pellet", 6.9, 41.1, 27.1, 7.8, "FEEDSTD", "read"),
    "pond_pellet": _F("Carp or pond pellet", "pellet", 12.5, 28, 4.5, 15, "FEEDSTD", "read", "Minima and maxima of a feed standard."),
    "earthworm": _F("Earthworm", "worm", 83.6, 10.5, 1.6, 0.6, "F02", "memory", "Ends of the published ranges were read."),
    "compost_worm": _F("Compost worm", "worm", 83, 9.7, 1.7, 1.1, "F02", "memory", "Protein read second hand."),
    "house_cricket": _F("House cricket, adult", "insect", 69.2, 20.5, 6.8, 1.1, "F02", "read"),
    "mealworm": _F("Mealworm", "insect", 62.4, 20.3, 13.8, 0.9, "F02", "read", "Ash from memory."),
    "superworm": _F("Superworm", "insect", 57.9, 19.7, 17.7, 1.0, "F02", "memory"),
    "soldier_fly_larva": _F("Black soldier fly larva", "insect", 67.5, 11.8, 9.6, 3.5, "F02", "read", "Ash from memory."),
    "waxworm": _F("Waxworm", "insect", 58.5, 14.1, 24.9, 0.6, "F02", "memory"),
    "bloodworm": _F("Bloodworm, fresh", "insect", 86.4, 7.6, 1.3, 0.9, "BOGUT07", "read-2nd", "Frozen cubes hold 90-93 % water."),
    "shrimp": _F("Shrimp, raw", "crustacean", 83.01, 13.61, 1.01, 1.86, "SR26", "read", "NDB 15149."),
    "krill": _F("Krill, whole", "crustacean", 71.4, 14.0, 7.0, 2.8, "KRILL70", "read", "Others: water 78-83."),
    "smelt": _F("Smelt, rainbow, raw", "fish", 78.77, 17.63, 2.42, 1.40, "SR26", "read", "NDB 15099."),
    "whitebait": _F("Whitebait, capelin, silverside, whole", "fish", 79.5, 14, 4, 2.5, "SP87", "read-2nd"),
    "herring": _F("Herring, raw", "fish", 72.05, 17.96, 9.04, 1.46, "SR26", "read", "NDB 15039."),
    "feeder_fish": _F("Freshwater feeder fish, whole", "fish", 77, 14, 4, 4, "SP87", "read-2nd"),
    "tilapia": _F("Tilapia fillet, raw", "fish", 78.08, 20.08, 1.70, 0.93, "SR26", "read", "NDB 15261."),
    "snail": _F("Snail flesh, raw", "mollusc", 79.20, 16.10, 1.40, 1.30, "SR26", "read", "NDB 90560; shell extra."),
    "mussel": _F("Mussel flesh, raw", "mollusc", 80.58, 11.90, 2.24, 1.59, "SR26", "read", "NDB 15164; shell extra."),
    "crayfish": _F("Crayfish, raw", "crustacean", 82.24, 15.97, 0.95, 1.34, "SR26", "read", "NDB 15145."),
    "chicken": _F("Chicken breast with skin, raw", "other", 69.46, 20.85, 9.25, 1.01, "SR26", "read", "NDB 05057."),
    "chicken_liver": _F("Chicken liver, raw", "other", 76.46, 16.92, 4.83, 1.06, "SR26", "read", "NDB 05027."),
    "beef_heart": _F("Beef heart, raw", "other", 77.11, 17.72, 3.94, 1.10, "SR26", "read", "NDB 13321."),
    "egg": _F("Egg, whole, raw", "other", 76.15, 12.56, 9.51, 1.06, "SR26", "read", "NDB 01123."),
    "romaine": _F("Romaine lettuce", "plant", 94.61, 1.23, 0.30, 0.58, "SR26", "read", "NDB 11251."),
    "dandelion": _F("Dandelion greens", "plant", 85.60, 2.70, 0.70, 1.80, "SR26", "read", "NDB 11207."),
    "kale": _F("Kale", "plant", 84.04, 4.28, 0.93, 2.01, "SR26", "read", "NDB 11233."),
    "collards": _F("Collards", "plant", 89.62, 3.02, 0.61, 1.32, "SR26", "read", "NDB 11161."),
    "carrot": _F("Carrot", "plant", 88.29, 0.93, 0.24, 0.97, "SR26", "read", "NDB 11124."),
    "duckweed": _F("Duckweed, fresh", "plant", 93, 2.0, 0.3, 1.2, "LSB95", "read-2nd", "Up to 43 % protein of dry."),
    "waterweed": _F("Waterweed", "plant", 92, 1.6, 0.3, 1.8, "B74", "read-2nd", "Moisture from memory."),
    "water_hyacinth": _F("Water hyacinth", "plant", 90.5, 1.6, 0.35, 1.7, "B74", "read"),
    "gel_diet": _F("Gelatin diet, home-made", "gel", 74, 12, 2, 1.5, "PRACTICE", "memory", "Compute it from the recipe."),
}
# fmt: on

# What stands in for an item without figures; using it lowers how sure an estimate is.
CLASS_DEFAULT: dict[str, str] = {
    "pellet": "turtle_pellet",
    "insect": "house_cricket",
    "worm": "earthworm",
    "fish": "feeder_fish",
    "crustacean": "shrimp",
    "mollusc": "snail",
    "plant": "dandelion",
    "gel": "gel_diet",
    "other": "beef_heart",
}
_FAECAL_KEY_OF_CLASS: dict[str, str] = {
    "pellet": "faecal_share_pellet",
    "gel": "faecal_share_pellet",
    "insect": "faecal_share_insect",
    "crustacean": "faecal_share_insect",
    "plant": "faecal_share_plant",
}


def composition_from_class(food_class: str) -> Composition:
    """The stand-in composition of a food class. Raises BadQuantity for an unknown class."""
    _check_class(food_class)
    return FOODS[CLASS_DEFAULT[food_class]]


def faecal_share_from_class(food_class: str) -> float:
    """Share of eaten dry matter that is not digested: pellets 0.27, prey 0.10, chitin 0.20, plants 0.35.

    Raises BadQuantity.
    """
    _check_class(food_class)
    return default(_FAECAL_KEY_OF_CLASS.get(food_class, "faecal_share_prey"))


def log_yield_offset_from_class(food_class: str) -> float:
    """Log offset of the solids yield against pellets: whole prey -0.5, insects -0.2, plants +0.2.

    Raises BadQuantity.
    """
    _check_class(food_class)
    if food_class in ("fish", "worm", "mollusc", "other"):
        return default("yield_offset_prey")
    if food_class in ("insect", "crustacean"):
        return default("yield_offset_insect")
    return default("yield_offset_plant") if food_class == "plant" else 0.0


def check_composition(*, moisture_percent: float, protein_percent: float) -> None:
    """Refuse per cent that cannot be: each 0-100, together at most 100. Raises OutOfRange, BadQuantity."""
    check_range(moisture_percent, "moisture_percent", what="Moisture", low=0, high=100, unit="%")
    check_range(protein_percent, "protein_percent", what="Protein", low=0, high=100, unit="%")
    if moisture_percent + protein_percent > 100:
        raise BadQuantity(
            f"Moisture and protein (moisture_percent, protein_percent) come to "
            f"{moisture_percent + protein_percent:g} %; together they cannot pass 100 % of the food as fed."
        )


def dry_g(as_fed_g: float, *, moisture_percent: float) -> float:
    """Dry matter in a food, g, from grams as fed. Raises OutOfRange."""
    check_not_negative(as_fed_g, "as_fed_g")
    check_range(moisture_percent, "moisture_percent", what="Moisture", low=0, high=100, unit="%")
    return as_fed_g * (1 - moisture_percent / 100.0)


def protein_g(as_fed_g: float, *, protein_percent: float) -> float:
    """Crude protein in a food, g, from grams as fed. Raises OutOfRange."""
    check_not_negative(as_fed_g, "as_fed_g")
    check_range(protein_percent, "protein_percent", what="Protein", low=0, high=100, unit="%")
    return as_fed_g * protein_percent / 100.0


def nitrogen_g(as_fed_g: float, *, protein_percent: float) -> float:
    """Nitrogen in a food, g = protein / 6.25. Raises OutOfRange."""
    return protein_g(as_fed_g, protein_percent=protein_percent) / default("protein_per_nitrogen")


def grams_from_pieces(n_pieces: float, *, grams_per_piece: float) -> float:
    """Grams as fed from pieces, cubes, pinches or scoops (halves allowed). Raises BadQuantity."""
    check_not_negative(n_pieces, "n_pieces")
    if not grams_per_piece > 0:
        raise BadQuantity("Say how much one piece or scoop weighs (grams_per_piece); it must be more than 0 g.")
    return n_pieces * grams_per_piece


def left_share(eaten: str) -> float:
    """Share of what was offered that was left, from the tap: all 0, most 0.15, some 0.5, none 1, not noted 0.07.

    Raises BadQuantity for another word.
    """
    if eaten not in EATEN_TAPS:
        raise BadQuantity(f"“{eaten}” is not one of the taps: all, most, some, none, or nothing noted (eaten).")
    return default(f"left_share_{eaten or 'not_noted'}")


def _check_class(food_class: str) -> None:
    if food_class not in FOOD_CLASSES:
        raise BadQuantity(f"“{food_class}” is not a food class (food_class); choose one of {', '.join(FOOD_CLASSES)}.")
