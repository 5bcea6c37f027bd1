from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.planned import tick_off
from enclosures.actions.stays import move_animals as move
from enclosures.boards.coming_changes import moves_ahead, planned_words
from enclosures.forms.moves import MoveForm
from enclosures.models import PlannedMove
from enclosures.roles import MOVERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure


@require_http_methods(["GET", "POST"])
@for_role(MOVERS)
def move_animals(request: FacilityRequest, code: str) -> HttpResponse:
    """Some or all of the animals of one enclosure go to another, at one time; all of them or none. What was planned is ticked off."""
    enclosure = load_enclosure(code)
    plans = list(moves_ahead(start=enclosure))
    form = MoveForm(
        request.POST or None,
        enclosure=enclosure,
        now=request.now,
        today=request.today,
        zone=request.facility.zone,
        planned={plan.pk: planned_words(plan, today=request.today) for plan in plans},
        initial=_as_planned(plans, request.GET.get("planned", "")),
    )
    status = 200
    if request.method == "POST":
        if form.is_valid():
            c = form.cleaned_data
            stamp = Stamp(entered_at=request.now, entered_by=request.user.initials, note=c["note"])  # type: ignore[union-attr]
            try:
                with transaction.atomic():
                    moved = move(
                        animals=c["animals"], to=c["to"], moment=c["occurred_at"], stamp=stamp, reason=c["reason"]
                    )
                    for plan in c.get("planned") or ():
                        tick_off(plan, stamp=stamp, reason=f"moved to {c['to'].code}")
            except Refused as refused:
                for name, sentence in refused.errors.items():
                    form.add_error(
                        {"animal": "animals"}.get(name, name) if name in (*form.fields, "animal") else None, sentence
                    )
            else:
                codes = ", ".join(stay.animal.code for stay in moved)
                messages.success(request, f"Moved to {c['to'].code}: {codes}.")
                return redirect("enclosure-dashboard", code=enclosure.code)
        status = 422
    context = {"form": form, "enclosure": enclosure, "is_empty": not form.fields["animals"].queryset.exists()}
    return TemplateResponse(request, "staff/move_animals/page.html", context, status=status)


def _as_planned(plans: list[PlannedMove], entry: str) -> dict[str, Any]:
    """The form filled in as one of the plans has it."""
    plan = next((each for each in plans if str(each.entry) == entry), None)
    if plan is None:
        return {}
    return {
        "animals": [mover.animal_id for mover in plan.movers.all()],
        "to": plan.to_enclosure_id,
        "planned": [plan.pk],
    }
