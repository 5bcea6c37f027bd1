from __future__ import annotations

import uuid
from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.events import log_health_note as log_the_note
from enclosures.boards.log_feeding import animals_of
from enclosures.forms.health import HealthNoteForm
from enclosures.models import Animal, Enclosure, HealthNote
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.verdicts.cautions import Caution, cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.add_photo import attach_sent_photos
from enclosures.views.staff.log_page import LogPage, log


class HealthNotePage(LogPage):
    model = HealthNote
    folder = "staff/log_health_note"
    title = "Something odd"
    save_words = "Save the note"

    def __init__(self, request: FacilityRequest, enclosure: Enclosure | None, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self._enclosure = enclosure

    @property
    def enclosure(self) -> Enclosure:
        assert self._enclosure is not None
        return self._enclosure

    @cached_property
    def animals(self) -> tuple[Animal, ...]:
        here = animals_of(self.enclosure)
        about = self.record.animal if self.record is not None else None
        return here if about is None or about in here else (*here, about)

    def cautions(self) -> tuple[Caution, ...]:
        return cautions_for("health note")

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> HealthNoteForm:
        fresh = {"animal": self.request.GET.get("animal", "")}
        return HealthNoteForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            animals=self.animals,
            initial=fresh if initial is None else initial,
        )

    def save(self, form: HealthNoteForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        return log_the_note(moment=form.cleaned_data["when"], stamp=stamp, entry=entry, **self.values(form))

    def values(self, form: HealthNoteForm) -> dict[str, Any]:
        data = form.cleaned_data
        return {
            "animal": form.about,
            "enclosure": self.enclosure,
            "system": data["system"],
            "severity": data["severity"],
            "text": data["text"].strip(),
            "vet_seen": data["vet_seen"],
            "restricted": data["restricted"],
        }

    def also_keep(self, record: Any) -> None:
        attach_sent_photos(self.request, record)

    def initial_of(self, record: Any) -> dict[str, Any]:
        return HealthNoteForm.initial_of(record)


@require_http_methods(["GET", "POST"])
@for_role(HEALTH_LOGGERS)
def log_health_note(request: FacilityRequest, code: str) -> HttpResponse:
    return log(HealthNotePage(request, load_enclosure(code)))
