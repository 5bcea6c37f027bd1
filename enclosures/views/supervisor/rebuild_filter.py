from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused
from enclosures.actions.filters import LayerGiven, add_build, edit_build
from enclosures.forms.set_up import PlaceForm, RebuildForm
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter
from enclosures.views.supervisor.filter_preview import preview_of


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def rebuild_filter(request: FacilityRequest, code: str) -> HttpResponse:
    """A new as-built from a day on. What was measured before keeps the geometry of its day."""
    filter = load_filter(code)
    due_fill = request.facility.default_due_fill
    initial = RebuildForm.initial_for(filter, today=request.today, default_due_fill=due_fill)
    form = RebuildForm(request.POST or None, today=request.today, filter=filter, initial=initial)
    place = PlaceForm(PlaceForm.initial_for(filter.enclosure), enclosure=filter.enclosure)
    status = 200
    if request.method == "POST":
        if form.is_valid():
            c = form.cleaned_data
            layers = [LayerGiven(**vars(layer)) for layer in form.layers()]
            said = {"reason": c["reason"], "closes_disagreement": c["closes_disagreement"], **form.build_values()}
            try:
                if form.wrong_build is not None:
                    edit_build(form.wrong_build, layers=layers, **said)
                else:
                    add_build(filter, valid_from=c["valid_from"], layers=layers, **said)
            except Refused as refused:
                for name, sentence in refused.errors.items():
                    form.add_error(name if name in form.fields else None, sentence)
            else:
                messages.success(request, f"{filter.code} as built from {c['valid_from']:%-d %B %Y} is saved.")
                return redirect("enclosure-dashboard", code=filter.enclosure.code)
        status = 422
    shown = form if form.is_bound else RebuildForm(initial, today=request.today, filter=filter)
    context = {
        "built": form,
        "filter": filter,
        "enclosure": filter.enclosure,
        "preview": preview_of(request, place=place, built=shown),
    }
    return TemplateResponse(request, "supervisor/rebuild_filter/page.html", context, status=status)
