"""From a table's name and an entry's id in an address to the record; both the short name and the file's name are understood."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import Http404
from django.urls import reverse

from enclosures.models import (
    Cleanout,
    Dose,
    Feeding,
    FlowCheck,
    HealthNote,
    LoggedRecord,
    Measurement,
    Photo,
    RoundCheck,
    RoundSkip,
    Sounding,
    Upkeep,
    WaterChange,
    WaterTest,
)

TABLES: dict[str, type[LoggedRecord]] = {
    "feeding": Feeding,
    "feedings": Feeding,
    "watertest": WaterTest,
    "water_tests": WaterTest,
    "waterchange": WaterChange,
    "water_changes": WaterChange,
    "sounding": Sounding,
    "soundings": Sounding,
    "flowcheck": FlowCheck,
    "flow_checks": FlowCheck,
    "cleanout": Cleanout,
    "cleanouts": Cleanout,
    "upkeep": Upkeep,
    "measurement": Measurement,
    "measurements": Measurement,
    "healthnote": HealthNote,
    "health_notes": HealthNote,
    "roundcheck": RoundCheck,
    "round_checks": RoundCheck,
    "dose": Dose,
    "doses": Dose,
    "roundskip": RoundSkip,
    "round_skips": RoundSkip,
}
LOG_PAGES: dict[type[LoggedRecord], str] = {
    Feeding: "log-feeding",
    WaterTest: "log-water-test",
    WaterChange: "log-water-change",
    Sounding: "log-sounding",
    FlowCheck: "log-flow",
    Cleanout: "log-cleanout",
    Upkeep: "log-upkeep",
    HealthNote: "log-health-note",
}
ON_THE_ROUND = (RoundCheck, RoundSkip)
WITHDRAWN_ONLY = (*ON_THE_ROUND, Photo)  # taken back and made anew, never put right
MODELS: tuple[type[LoggedRecord], ...] = tuple(dict.fromkeys(TABLES.values()))  # with entries of their own in lists
TABLES |= {"photo": Photo, "photos": Photo}
PARTS = {Feeding: ("lines__food_item",), WaterTest: ("readings",), Sounding: ("readings", "filter__builds")}
SUBJECTS = ("enclosure", "filter__enclosure", "animal", "treatment__animal")


def log_url(record: Any) -> str:
    """Where an entry of this kind is logged, at the same place; empty for what belongs to an animal alone."""
    if isinstance(record, Sounding | FlowCheck | Cleanout | Upkeep):
        return reverse(LOG_PAGES[type(record)], args=(record.filter.code,))
    if isinstance(record, ON_THE_ROUND):
        return reverse("todays-round", fragment=f"stop-{record.enclosure.code}")
    if isinstance(record, Dose):
        return reverse("log-dose", args=(record.treatment.animal.code, record.treatment.code))
    enclosure = getattr(record, "enclosure", None)
    return reverse(LOG_PAGES[type(record)], args=(enclosure.code,)) if enclosure is not None else ""


def find_entry(table: str, entry: uuid.UUID | str) -> LoggedRecord | None:
    """Any version of any entry, superseded and withdrawn ones too."""
    model = TABLES.get(table)
    if model is None:
        return None
    names = {field.name for field in model._meta.get_fields()}
    related = [path for path in SUBJECTS if path.partition("__")[0] in names]
    rows = model.all_rows.select_related(*related, "supersedes").prefetch_related(*PARTS.get(model, ()))
    return rows.filter(entry=entry).first()


def load_entry(table: str, entry: uuid.UUID | str) -> LoggedRecord:
    found = find_entry(table, entry)
    if found is None:
        raise Http404("There is no such entry here.")
    return found
