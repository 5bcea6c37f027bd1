"""All record tables, in the order in which they can be saved: what is referred to comes before what refers to it."""

from __future__ import annotations

from enclosures.exports.animals import ANIMALS, MARKS, MEASUREMENTS, STAYS, TAXA
from enclosures.exports.breeding import CLUTCHES, EGGS
from enclosures.exports.comings_and_goings import DEATHS, TRANSFERS
from enclosures.exports.events import HEALTH_NOTES, OUTAGES, PERMITS, RECORD_FLAGS
from enclosures.exports.feeding import FEEDINGS, FOOD_ITEMS
from enclosures.exports.filters import FILTER_BUILDS, FILTERS, MEDIA_LAYERS, PUMP_FITTINGS, PUMPS
from enclosures.exports.photos import PHOTOS
from enclosures.exports.places import ENCLOSURES, FACILITY, SEASONS
from enclosures.exports.planned import PLANNED_MOVES, PLANNED_SEASONS
from enclosures.exports.plans import FEEDING_PLANS, INSTRUCTIONS, ROUND_CHECKS, ROUND_SKIPS
from enclosures.exports.sludge import CLEANOUTS, FLOW_CHECKS, SOUNDINGS, UPKEEP
from enclosures.exports.table import Table
from enclosures.exports.treatments import DOSES, TREATMENTS
from enclosures.exports.water import TEST_KITS, WATER_CHANGES, WATER_TESTS

TABLES: tuple[Table, ...] = (
    FACILITY, ENCLOSURES, SEASONS, FILTERS, FILTER_BUILDS, MEDIA_LAYERS, PUMPS, PUMP_FITTINGS, TAXA, CLUTCHES,
    ANIMALS, EGGS, MARKS, STAYS, MEASUREMENTS, PLANNED_MOVES, PLANNED_SEASONS, FOOD_ITEMS, FEEDING_PLANS, FEEDINGS, INSTRUCTIONS, ROUND_CHECKS,
    ROUND_SKIPS, TEST_KITS, WATER_TESTS, WATER_CHANGES, SOUNDINGS, FLOW_CHECKS, CLEANOUTS, UPKEEP, HEALTH_NOTES, TREATMENTS,
    DOSES, OUTAGES, TRANSFERS, DEATHS, PERMITS, RECORD_FLAGS, PHOTOS,
)  # fmt: skip
BY_NAME: dict[str, Table] = {table.name: table for table in TABLES}
