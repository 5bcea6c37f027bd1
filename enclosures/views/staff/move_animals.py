from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.stays import move_animals as move
from enclosures.forms.moves import MoveForm
from enclosures.roles import MOVERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure


@require_http_methods(["GET", "POST"])
@for_role(MOVERS)
def move_animals(request: FacilityRequest, code: str) -> HttpResponse:
    """Some or all of the animals of one enclosure go to another, at one time; all of them or none."""
    enclosure = load_enclosure(code)
    form = MoveForm(
        request.POST or None,
        enclosure=enclosure,
        now=request.now,
        today=request.today,
        zone=request.facility.zone,
    )
    status = 200
    if request.method == "POST":
        if form.is_valid():
            c = form.cleaned_data
            stamp = Stamp(entered_at=request.now, entered_by=request.user.initials, note=c["note"])  # type: ignore[union-attr]
            try:
                moved = move(animals=c["animals"], to=c["to"], moment=c["occurred_at"], stamp=stamp, reason=c["reason"])
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
