from __future__ import annotations

import uuid
from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.water import ReadingGiven
from enclosures.actions.water import log_water_test as log_the_test
from enclosures.boards.entry_words import raw_unit, reading_words, sign_and
from enclosures.boards.log_water_test import WaterTestBoard, build_log_water_test
from enclosures.estimates.units import as_recorded
from enclosures.forms.water import WaterTestForm
from enclosures.models import Enclosure, WaterTest
from enclosures.roles import LOGGERS, for_role
from enclosures.verdicts.limits import LIMITS
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import LogPage, log

KITS = "kits"  # in the session: what was chosen today, by analyte
LEVEL_WORDS = {"target": "on target", "ok": "", "look": "past the look line", "act": "past the act line"}


class WaterTestPage(LogPage):
    model = WaterTest
    folder = "staff/log_water_test"
    title = "Test the water"
    save_words = "Save the test"

    def __init__(self, request: FacilityRequest, enclosure: Enclosure, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self._enclosure = enclosure

    @property
    def enclosure(self) -> Enclosure:
        return self._enclosure

    @cached_property
    def board(self) -> WaterTestBoard:
        return build_log_water_test(enclosure=self.enclosure, today=self.request.today, before=self.record)

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> WaterTestForm:
        return WaterTestForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            enclosure=self.enclosure,
            kits=self.board.kits,
            lasts=self.board.lasts,
            last_temp_c=self.board.last_temp_c,
            sources={} if self.record is not None else self._sources(),
            initial=initial,
        )

    def _sources(self) -> dict[str, str]:
        """The kits chosen earlier today on this device; another day asks again, for kits change hands."""
        told = self.request.session.get(KITS) or {}
        return dict(told["chosen"]) if told.get("on") == self.request.today.isoformat() else {}

    def save(self, form: WaterTestForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        logged = log_the_test(
            enclosure=self.enclosure,
            moment=form.cleaned_data["when"],
            readings=self.parts(form)["readings"],
            stamp=stamp,
            entry=entry,
            place=self.values(form)["place"],
        )
        chosen = {**self._sources(), **form.chosen_sources()}
        self.request.session[KITS] = {"on": self.request.today.isoformat(), "chosen": chosen}
        return logged

    def values(self, form: WaterTestForm) -> dict[str, Any]:
        return {"place": form.cleaned_data["place"] or "tank"}

    def parts(self, form: WaterTestForm) -> dict[str, Sequence[ReadingGiven]]:
        return {
            "readings": [
                ReadingGiven(
                    analyte=said.analyte,
                    value=said.value,
                    unit=said.unit,
                    qualifier=said.qualifier,
                    expressed_as=said.expressed_as,
                    kit=said.kit,
                )
                for said in form.readings()
            ]
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return WaterTestForm.initial_of(record)

    def context(self) -> dict[str, Any]:
        return {"board": self.board}

    def answer(self, record: Any) -> dict[str, Any]:
        """Each reading on the page's own basis, beside what the kit showed where that differs."""
        lines = []
        for reading in record.readings.all():
            limit = LIMITS.get(reading.analyte)
            graded = limit is not None and reading.canonical is not None and reading.analyte != "temperature"
            level = limit.level(reading.canonical, reading.qualifier) if graded and limit is not None else "ok"
            as_read = f"{sign_and(reading.qualifier, as_recorded(reading.value))} {raw_unit(reading)}".strip()
            differs = reading.canonical is not None and abs(reading.canonical - reading.value) > 1e-9
            lines.append(
                {
                    "words": reading_words(reading),
                    "as_read": f"{reading.kit} read {as_read}".strip() if differs else "",
                    "level": level,
                    "level_words": LEVEL_WORDS[level],
                    "is_unknown": reading.canonical is None,
                }
            )
        return {"readings": lines}


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_water_test(request: FacilityRequest, code: str) -> HttpResponse:
    return log(WaterTestPage(request, load_enclosure(code)))
