from __future__ import annotations

import logging
import uuid
from collections.abc import Sequence
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.outlooks import refresh_outlook
from enclosures.actions.sludge import DepthGiven
from enclosures.actions.sludge import log_sounding as log_the_sounding
from enclosures.boards.filter_now import surprise_words
from enclosures.boards.stored_outlook import due_fill_of, fill_of, outlook_words
from enclosures.forms.sludge import SoundingForm
from enclosures.models import FilterKind, FilterOutlook, Sounding
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter
from enclosures.views.staff.add_photo import attach_sent_photos
from enclosures.views.staff.filter_page import FilterPage
from enclosures.views.staff.log_page import log

logger = logging.getLogger(__name__)


class SoundingPage(FilterPage):
    model = Sounding
    folder = "staff/log_sounding"
    title = "Take a sounding"
    save_words = "Save the sounding"
    situation = "sounding"
    renamed = {**FilterPage.renamed, "depth_mm": "depth_1"}

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> SoundingForm:
        return SoundingForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            filter=self.filter,
            last_mm=self.now.last_depth_mm,
            initial=initial,
        )

    def save(self, form: SoundingForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        return log_the_sounding(
            moment=form.cleaned_data["when"],
            depths=self.parts(form)["readings"],
            stamp=stamp,
            entry=entry,
            **self.values(form),
        )

    def values(self, form: SoundingForm) -> dict[str, Any]:
        data = form.cleaned_data
        return {
            "filter": self.filter,
            "point": data["point"].strip(),
            "method": data["method"],
            "pump_off_min": form.number("pump_off_min"),
            "first_draw": data["first_draw"],
            "odour": data["odour"],
        }

    def parts(self, form: SoundingForm) -> dict[str, Sequence[DepthGiven]]:
        return {"readings": [DepthGiven(depth_mm=d.depth_mm, qualifier=d.qualifier) for d in form.depths()]}

    def also_keep(self, record: Any) -> None:
        attach_sent_photos(self.request, record)

    def initial_of(self, record: Any) -> dict[str, Any]:
        return SoundingForm.initial_of(record)

    def answer(self, record: Any) -> dict[str, Any]:
        """The forecast as this reading leaves it, computed now."""
        outlook = fresh_outlook(self, record)
        return {**super().answer(record), "outlook": outlook, "surprise": self._surprise(record) if outlook else ""}

    def _surprise(self, record: Sounding) -> str:
        row = FilterOutlook.objects.filter(filter=self.filter, is_stale=False).first()
        build = self.filter.build_on(self.request.today)
        if row is None or build is None or record.occurred_on != self.request.today:
            return ""
        return surprise_words(record.readings.all(), fill_of(row), void_height_mm=build.void_height_mm)


def fresh_outlook(page: FilterPage, record: Any) -> Any:
    """The filter's outlook in words, computed anew; None for a filter without a void to forecast."""
    build = page.filter.build_on(page.request.today)
    if page.filter.kind != FilterKind.UPFLOW or build is None:
        return None
    try:
        row = refresh_outlook(page.filter, today=page.request.today, now=page.request.now)
    except Exception:  # the entry is saved, and must be said to be, whatever the forecast makes of it
        logger.exception("The outlook of %s could not be computed after entry %s.", page.filter, record.entry)
        return None
    usual = page.enclosure.facility.default_due_fill
    return outlook_words(row, today=page.request.today, due_fill=due_fill_of(row, build, usual=usual))


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_sounding(request: FacilityRequest, code: str) -> HttpResponse:
    return log(SoundingPage(request, load_filter(code)))
