"""All records, by subject. Import them from here."""

from __future__ import annotations

from enclosures.models.animals import Animal, Mark, Measurement, Origin, Sex, Stay, Taxon
from enclosures.models.breeding import Clutch, Egg, EggOutcome
from enclosures.models.comings_and_goings import Death, Transfer, TransferKind
from enclosures.models.events import HealthNote, Outage, Permit
from enclosures.models.facilities import Facility, Membership, Role
from enclosures.models.feeding import Eaten, Feeding, FeedingLine, FoodClass, FoodComposition, FoodItem, FoodUnit
from enclosures.models.filters import (
    Filter,
    FilterBuild,
    FilterKind,
    MediaLayer,
    MediaMaterial,
    Pump,
    PumpFitting,
)
from enclosures.models.moment import Moment, MomentError, end_of_day, instant_text
from enclosures.models.outlooks import FilterOutlook, ForecastTrial, SavedPackage
from enclosures.models.photos import PHOTO_TABLES, Photo, has_photo_file, photo_path, store_file, thumbnail_path
from enclosures.models.places import Enclosure, EnclosureKind, LitterLevel, Season, SeasonKind
from enclosures.models.planned import PlannedMove, PlannedMover, PlannedSeason, PlanState
from enclosures.models.plans import (
    WEEKDAY_CODES,
    FeedingPlan,
    FeedingPlanLine,
    Instruction,
    RoundCheck,
    RoundSkip,
    Slot,
)
from enclosures.models.record import How, LoggedRecord, Precision, RecordFlag, RecordPart
from enclosures.models.sludge import (
    FIRST_DRAW,
    ODOUR,
    Cleanout,
    CleanoutOutcome,
    DepthQualifier,
    FlowCheck,
    Sounding,
    SoundingReading,
    Upkeep,
    UpkeepKind,
)
from enclosures.models.treatments import Dose, DoseOutcome, DoseSlots, Treatment
from enclosures.models.water import Analyte, Place, Qualifier, Reading, TestKit, WaterChange, WaterTest

__all__ = [
    "FIRST_DRAW", "ODOUR", "PHOTO_TABLES", "WEEKDAY_CODES", "Analyte", "Animal", "Cleanout", "CleanoutOutcome",
    "Clutch", "Death", "DepthQualifier", "Dose", "DoseOutcome", "DoseSlots", "Eaten", "Egg", "EggOutcome",
    "Enclosure", "EnclosureKind", "Facility", "Feeding", "FeedingLine", "FeedingPlan", "FeedingPlanLine", "Filter",
    "FilterBuild", "FilterKind", "FilterOutlook", "FlowCheck", "FoodClass", "FoodComposition", "FoodItem",
    "FoodUnit", "ForecastTrial", "HealthNote", "How", "Instruction", "LitterLevel", "LoggedRecord", "Mark",
    "Measurement", "MediaLayer", "MediaMaterial", "Membership", "Moment", "MomentError", "Origin", "Outage",
    "Permit", "Photo", "Place", "PlanState", "PlannedMove", "PlannedMover", "PlannedSeason", "Precision", "Pump",
    "PumpFitting", "Qualifier", "Reading", "RecordFlag", "RecordPart", "Role", "RoundCheck", "RoundSkip",
    "SavedPackage", "Season", "SeasonKind", "Sex", "Slot", "Sounding", "SoundingReading", "Stay", "Taxon",
    "TestKit", "Transfer", "TransferKind", "Treatment", "Upkeep", "UpkeepKind", "WaterChange", "WaterTest",
    "end_of_day", "has_photo_file", "instant_text", "photo_path", "store_file", "thumbnail_path",
]  # fmt: skip
