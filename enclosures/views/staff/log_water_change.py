from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.water import log_water_change as log_the_change
from enclosures.forms.water import WaterChangeForm
from enclosures.models import Enclosure, EnclosureKind, WaterChange
from enclosures.roles import LOGGERS, for_role
from enclosures.verdicts.cautions import Caution, cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import LogPage, log

USUAL_SHARE = 0.2  # before a figure is typed: the usual change is past the tenth from which conditioner matters


class WaterChangePage(LogPage):
    model = WaterChange
    folder = "staff/log_water_change"
    title = "Change water"
    save_words = "Save the change"

    def __init__(self, request: FacilityRequest, enclosure: Enclosure, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self._enclosure = enclosure

    @property
    def enclosure(self) -> Enclosure:
        return self._enclosure

    @property
    def last(self) -> WaterChange | None:
        changes = WaterChange.objects.filter(enclosure=self.enclosure)
        if self.record is not None:
            changes = changes.exclude(pk=self.record.pk)
        return changes.newest_first().first()

    def cautions(self) -> tuple[Caution, ...]:
        is_quarantine = self.enclosure.kind == EnclosureKind.QUARANTINE
        return cautions_for("water change", change_share=USUAL_SHARE, is_quarantine=is_quarantine)

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> WaterChangeForm:
        last = self.last
        fresh = {"source": last.source, "conditioner": last.conditioner} if last is not None else {}
        return WaterChangeForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            enclosure=self.enclosure,
            last_l=last.volume_l if last is not None else None,
            initial=fresh if initial is None else initial,
        )

    def save(self, form: WaterChangeForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        return log_the_change(
            enclosure=self.enclosure, moment=form.cleaned_data["when"], stamp=stamp, entry=entry, **self.values(form)
        )

    def values(self, form: WaterChangeForm) -> dict[str, Any]:
        data = form.cleaned_data
        return {
            "volume_l": form.number("volume_l"),
            "source": data["source"].strip(),
            "conditioner": data["conditioner"].strip(),
            "temp_difference_c": form.number("temp_difference_c"),
            "cause": data["cause"],
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return WaterChangeForm.initial_of(record)

    def context(self) -> dict[str, Any]:
        return {"last": self.last}


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_water_change(request: FacilityRequest, code: str) -> HttpResponse:
    return log(WaterChangePage(request, load_enclosure(code)))
