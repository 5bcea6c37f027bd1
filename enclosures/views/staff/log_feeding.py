from __future__ import annotations

import uuid
from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Logged, Stamp
from enclosures.actions.feedings import LineGiven, meals_already_logged
from enclosures.actions.feedings import log_feeding as log_the_feeding
from enclosures.boards.log_feeding import FeedingBoard, build_log_feeding
from enclosures.forms.feeding import FeedingForm
from enclosures.models import Enclosure, Feeding
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.known_meals import is_known_to_the_person
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import AskedMore, LogPage, log

MORNING_ENDS_H = 13


class FeedingPage(LogPage):
    model = Feeding
    folder = "staff/log_feeding"
    title = "Feed"
    save_words = "Save the meal"
    renamed = {**LogPage.renamed, "lines": "fed"}

    def __init__(self, request: FacilityRequest, enclosure: Enclosure, *, record: Any = None) -> None:
        super().__init__(request, record=record)
        self._enclosure = enclosure

    @property
    def enclosure(self) -> Enclosure:
        return self._enclosure

    @cached_property
    def board(self) -> FeedingBoard:
        return build_log_feeding(enclosure=self.enclosure, today=self.request.today, before=self.record)

    def form(
        self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False
    ) -> FeedingForm:
        local = self.request.now.astimezone(self.request.facility.zone)
        fresh: dict[str, Any] = {"slot": "am" if local.hour < MORNING_ENDS_H else "pm"}
        if "same" in self.request.GET:
            for pk, (amount, unit) in self.board.same.items():
                fresh |= {f"amount_{pk}": f"{amount:g}", f"unit_{pk}": unit}
        return FeedingForm(
            data,
            clock=self.clock(),
            must_say_why=must_say_why,
            enclosure=self.enclosure,
            foods=self.board.foods,
            animals=self.board.animals,
            also_refused=self.record.refused.split() if self.record is not None else (),
            usual=self.board.usual,
            last=self.board.last,
            same=self.board.same,
            biomass_g=self.board.biomass_g,
            initial=fresh if initial is None else initial,
        )

    def save(self, form: FeedingForm, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        values = {name: value for name, value in self.values(form).items() if name != "enclosure"}
        return log_the_feeding(
            enclosure=self.enclosure,
            moment=form.cleaned_data["when"],
            lines=self.parts(form)["lines"],
            stamp=stamp,
            entry=entry,
            is_another=self._is_another(form, entry),
            **values,
        )

    def _is_another(self, form: FeedingForm, entry: uuid.UUID | None) -> bool:
        """Asks once when this meal is on record already; True when the person said that this is one more.

        An entry that lay on a device has nobody to ask: it is kept, and flagged as a possible repeat.
        """
        slot = form.cleaned_data["slot"]
        meals = meals_already_logged(self.enclosure, on=form.cleaned_data["when"].on, slot=slot) if slot else []
        if not meals or any(meal.entry == entry for meal in meals):
            return False
        if is_known_to_the_person(self.request, meals):
            return True
        if self.request.POST.get("queued"):
            return any(answer.startswith("again|keep|") for answer in self.request.POST.getlist("answer"))
        last = meals[-1]
        at = f"at {last.occurred_at.astimezone(self.request.facility.zone):%H:%M}"
        when = at if last.precision == "minute" else "today" if last.occurred_on == self.request.today else "that day"
        form.ask(
            "again",
            f"Fed {when} by {last.entered_by or 'somebody'}. Add another meal?",
            keep="Yes, another meal",
            about=str(last.entry),
            flag="",
        )
        if form.questions:
            raise AskedMore
        return True

    def values(self, form: FeedingForm) -> dict[str, Any]:
        data = form.cleaned_data
        return {
            "slot": data["slot"],
            "outcome": "" if form.is_fed else "not_fed",
            "not_fed_reason": "" if form.is_fed else form.reason_given,
            "leftovers_removed": True if data["leftovers_removed"] else None,
            "refused": " ".join(data["refused"]),
            "head_count": data["head_count"],
        }

    def parts(self, form: FeedingForm) -> dict[str, Sequence[LineGiven]]:
        lines = form.lines() if form.is_fed else []
        return {
            "lines": [
                LineGiven(food_item=line.food, amount=line.amount, unit=line.unit, eaten=line.eaten)
                if line.unit != "g"
                else LineGiven(food_item=line.food, offered_g=line.amount, eaten=line.eaten)
                for line in lines
            ]
        }

    def initial_of(self, record: Any) -> dict[str, Any]:
        return FeedingForm.initial_of(record)

    def context(self) -> dict[str, Any]:
        return {"board": self.board}


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def log_feeding(request: FacilityRequest, code: str) -> HttpResponse:
    return log(FeedingPage(request, load_enclosure(code)))
