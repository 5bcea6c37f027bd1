from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.enclosures import edit_enclosure as save_enclosure
from enclosures.actions.entries import Refused
from enclosures.forms.set_up import PlaceForm
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def edit_enclosure(request: FacilityRequest, code: str) -> HttpResponse:
    """The description of a place; its filter changes by a new as-built from a day on."""
    enclosure = load_enclosure(code)
    initial = PlaceForm.initial_for(enclosure)
    form = PlaceForm(request.POST or None, enclosure=enclosure, initial=initial)
    status = 200
    if request.method == "POST":
        if form.is_valid():
            changes = {name: value for name, value in form.cleaned_data.items() if name != "code"}
            if changes.get("round_order") is None:
                changes.pop("round_order", None)
            try:
                save_enclosure(enclosure, **changes)
            except Refused as refused:
                for name, sentence in refused.errors.items():
                    form.add_error(name if name in form.fields else None, sentence)
            else:
                messages.success(request, f"{enclosure.code} is changed.")
                return redirect("enclosure-dashboard", code=enclosure.code)
        status = 422
    context = {"form": form, "enclosure": enclosure, "filters": enclosure.filters.in_use_on(request.today)}
    return TemplateResponse(request, "supervisor/edit_enclosure/page.html", context, status=status)
