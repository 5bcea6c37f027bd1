from __future__ import annotations

import uuid
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from enclosures.actions.flags import table_of
from enclosures.models import (
    Cleanout,
    Dose,
    Enclosure,
    Feeding,
    FlowCheck,
    HealthNote,
    LoggedRecord,
    Measurement,
    Sounding,
    Stay,
    Upkeep,
    WaterChange,
    WaterTest,
)
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure, load_filter
from enclosures.views.staff.log_cleanout import CleanoutPage
from enclosures.views.staff.log_dose import DosePage
from enclosures.views.staff.log_feeding import FeedingPage
from enclosures.views.staff.log_flow import FlowPage
from enclosures.views.staff.log_health_note import HealthNotePage
from enclosures.views.staff.log_page import LogPage, correct, may_change
from enclosures.views.staff.log_sounding import SoundingPage
from enclosures.views.staff.log_upkeep import UpkeepPage
from enclosures.views.staff.log_water_change import WaterChangePage
from enclosures.views.staff.log_water_test import WaterTestPage
from enclosures.views.staff.tables import WITHDRAWN_ONLY, load_entry
from enclosures.views.staff.weigh_animals import WeighPage

OF_ENCLOSURES: dict[type[LoggedRecord], Any] = {
    Feeding: FeedingPage,
    WaterTest: WaterTestPage,
    WaterChange: WaterChangePage,
    HealthNote: HealthNotePage,
    Measurement: WeighPage,
}
OF_FILTERS: dict[type[LoggedRecord], Any] = {
    Sounding: SoundingPage,
    FlowCheck: FlowPage,
    Cleanout: CleanoutPage,
    Upkeep: UpkeepPage,
}


@require_http_methods(["GET", "POST"])
@for_role(HEALTH_LOGGERS)
def correct_entry(request: FacilityRequest, table: str, entry: uuid.UUID) -> HttpResponse:
    """The entry's own form, prefilled; saved as a new row that says why. A newer version is corrected instead of an old one."""
    record = load_entry(table, entry)
    newer = getattr(record, "superseded_by", None)
    if newer is not None and not newer.withdrawn and request.method == "GET":
        return redirect("correct-entry", table_of(newer), newer.entry)
    if not may_change(request, record):
        raise PermissionDenied("Own entries can be put right by whoever made them; others’ by a supervisor.")
    if isinstance(record, WITHDRAWN_ONLY):  # a look or a skip is taken back and made anew
        return redirect("withdraw-entry", table_of(record), record.entry)
    return correct(page_for(request, record))


def page_for(request: FacilityRequest, record: Any) -> LogPage:
    """The log form an entry was made with."""
    if type(record) in OF_FILTERS:
        page: LogPage = OF_FILTERS[type(record)](request, load_filter(record.filter.code), record=record)
        return page
    if isinstance(record, Dose):
        return DosePage(request, record.treatment, record=record)
    page = OF_ENCLOSURES[type(record)](request, _enclosure_of(record), record=record)
    return page


def _enclosure_of(record: Any) -> Enclosure:
    """A weighing or a note about an animal belongs to the place it lived in then, or lives in now."""
    if getattr(record, "enclosure_id", None) is not None:
        return load_enclosure(record.enclosure.code)
    stays = Stay.objects.filter(animal=record.animal).select_related("enclosure", "enclosure__facility")
    stay = stays.covering(record.occurred_on).order_by("-from_at").first() or stays.order_by("-from_at").first()
    if stay is None:
        raise Http404("This animal never had a place here.")
    return stay.enclosure
