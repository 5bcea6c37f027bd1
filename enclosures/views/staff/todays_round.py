from __future__ import annotations

import uuid
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from enclosures.boards.round_done import Reader
from enclosures.boards.round_facts import slot_of
from enclosures.boards.todays_round import RoundBoard, build_todays_round
from enclosures.forms.feeding import EATEN_CHOICES, NOT_FED_REASONS
from enclosures.forms.log_form import Clock
from enclosures.forms.round_stop import GIVEN_CHOICES, SKIP_CAUSES, RoundStopForm
from enclosures.forms.treatments import WHY_NOT
from enclosures.models import Slot
from enclosures.roles import LOGGERS, UNDO_MINUTES, for_role
from enclosures.verdicts.cautions import cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import initials_of

LATE_DAYS = 31
CHOICES: dict[str, Any] = {
    "given_choices": GIVEN_CHOICES,
    "eaten_choices": EATEN_CHOICES,
    "none_reasons": NOT_FED_REASONS,
    "skip_causes": SKIP_CAUSES,
    "why_not_choices": WHY_NOT,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Which:
    """Which round is walked: today's as it goes, or an earlier day's from paper or memory."""

    day: date
    today: date
    slot: str
    how: str = ""

    @property
    def is_today(self) -> bool:
        return self.day == self.today

    @property
    def url(self) -> str:
        query = {"slot": self.slot} if self.is_today else {"slot": self.slot, "day": self.day, "how": self.how}
        return reverse("todays-round", query=query)


@require_GET
@for_role(LOGGERS)
def todays_round(request: FacilityRequest) -> HttpResponse:
    return round_page(request, which_round(request))


def which_round(request: FacilityRequest) -> Which:
    """From the address; whatever does not make sense there is today, and the meal of the hour."""
    asked = request.GET.get("slot", "")
    slot = asked if asked in Slot.values else slot_of(request.now, request.facility.zone)
    day = request.today
    with suppress(ValueError):
        day = date.fromisoformat(request.GET.get("day", ""))
    if not request.today - timedelta(days=LATE_DAYS) <= day <= request.today:
        day = request.today
    how = "" if day == request.today else "late" if request.GET.get("how") == "late" else "paper"
    return Which(day=day, today=request.today, slot=slot, how=how)


def which_of(request: FacilityRequest, *, on: date, slot: str, how: str) -> Which:
    """The round an entry belongs to."""
    return Which(day=on, today=request.today, slot=slot, how="" if on == request.today else how)


def board_of(request: FacilityRequest, which: Which) -> RoundBoard:
    return build_todays_round(
        day=which.day,
        today=which.today,
        slot=which.slot,
        zone=request.facility.zone,
        reader=Reader(initials=initials_of(request), now=request.now, undo_within=timedelta(minutes=UNDO_MINUTES)),
    )


def round_page(request: FacilityRequest, which: Which, *, status: int = 200, **typed: Any) -> HttpResponse:
    """The whole walk; `typed` as for `round_context`, when something could not be saved."""
    context = round_context(request, which, **typed)
    return TemplateResponse(request, "staff/todays_round/page.html", context, status=status)


def round_context(
    request: FacilityRequest,
    which: Which,
    *,
    form: Any = None,
    code: str = "",
    dose_form: Any = None,
    dose_code: str = "",
) -> dict[str, Any]:
    """`form` with what was typed at the stop `code`, `dose_form` with what was typed of a dose of the course `dose_code`."""
    board = board_of(request, which)
    clock = Clock(now=request.now, zone=request.facility.zone, today=request.today)
    return {
        "board": board,
        "row": board.row(code),
        "which": which,
        "slots": Slot.choices,
        "yesterday": which.today - timedelta(days=1),
        "form": form,
        "form_code": code if form is not None else "",
        "blank": RoundStopForm(clock=clock, foods={}),
        "fresh_entry": uuid.uuid4(),
        "dose_form": dose_form,
        "dose_code": dose_code,
        "cautions": cautions_for("round") + (cautions_for("treatment") if board.has_doses else ()),
        **CHOICES,
    }
