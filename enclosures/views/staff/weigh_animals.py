from __future__ import annotations

import uuid
from dataclasses import replace
from functools import cached_property
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.measurements import log_measurement
from enclosures.boards.my_last_entries import line_of
from enclosures.boards.weigh_animals import WeighingBoard, build_weigh_animals, last_weighings
from enclosures.estimates.units import MINUS
from enclosures.forms.weighing import WeighForm
from enclosures.models import Enclosure, Measurement
from enclosures.roles import LOGGERS, for_role
from enclosures.verdicts.words import rounded
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import LogPage, log


class WeighPage(LogPage):
    """One form, one row an animal. Each weighing is an entry of its own, its id made from the form's and the animal's."""

    model = Measurement
    folder = "staff/weigh_animals"
    title = "Weigh"
    save_words = "Save the weights"

    def __init__(self, request: FacilityRequest, enclosure: Enclosure, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self._enclosure = enclosure
        self.saved_rows: list[Measurement] = []

    @property
    def enclosure(self) -> Enclosure:
        return self._enclosure

    @cached_property
    def board(self) -> WeighingBoard:
        if self.record is not None:
            animals = (self.record.animal,)
            return WeighingBoard(animals=animals, lasts=last_weighings(animals, before=self.record))
        return build_weigh_animals(enclosure=self.enclosure)

    def form(self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False) -> WeighForm:
        return WeighForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            animals=self.board.animals,
            lasts=self.board.lasts,
            initial=initial,
        )

    def entries_of(self, entry: uuid.UUID) -> list[uuid.UUID]:
        return [entry, *(uuid.uuid5(entry, animal.code) for animal in self.board.animals)]

    def save(self, form: WeighForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        """All of them or none."""
        said = {name: form.cleaned_data[name] for name in ("fed_state", "method")}
        logged = []
        with transaction.atomic():
            for row in form.weighed():
                about = {f"mass_{row.animal.pk}", f"scl_{row.animal.pk}"}
                own = replace(
                    stamp,
                    note=form.full_note(about=about),
                    flags=(*form.entry_flags(about=about), *(("MEM",) if stamp.how == "late" else ())),
                )
                logged.append(
                    log_measurement(
                        animal=row.animal,
                        moment=form.cleaned_data["when"],
                        stamp=own,
                        mass_g=row.mass_g,
                        scl_mm=row.scl_mm,
                        entry=entry_for(entry, row.animal.code),
                        **said,
                    )
                )
        self.saved_rows = [each.record for each in logged]
        return Logged(logged[-1].record, is_new=any(each.is_new for each in logged))

    def values(self, form: WeighForm) -> dict[str, Any]:
        """Of the one animal of a correction."""
        pk = self.board.animals[0].pk
        return {
            "mass_g": form.number(f"mass_{pk}"),
            "scl_mm": form.number(f"scl_{pk}"),
            "fed_state": form.cleaned_data["fed_state"],
            "method": form.cleaned_data["method"],
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return WeighForm.initial_of(record)

    def answer(self, record: Any) -> dict[str, Any]:
        rows = self.saved_rows or [record]
        return {"rows": [(row, line_of(row), change_words(row, self.board.lasts.get(row.animal_id))) for row in rows]}


def entry_for(entry: uuid.UUID | None, code: str) -> uuid.UUID | None:
    """The id of one animal's weighing: the same for the same form, so that a retry doubles nothing."""
    return None if entry is None else uuid.uuid5(entry, code)


def change_words(row: Measurement, last: Measurement | None) -> str:
    """'+4 % on 12 g', empty the first time."""
    if last is None or not last.mass_g or row.mass_g is None or last.pk == row.pk:
        return ""
    change = rounded((row.mass_g / last.mass_g - 1) * 100)
    sign = MINUS if change < 0 else "+" if change > 0 else "±"
    return f"{sign}{abs(change)} % on {last.mass_g:g} g"


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def weigh_animals(request: FacilityRequest, code: str) -> HttpResponse:
    return log(WeighPage(request, load_enclosure(code)))
