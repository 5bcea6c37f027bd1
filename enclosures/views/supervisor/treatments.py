from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.treatments import prescribe, stop_treatment
from enclosures.boards.treatments import courses_of
from enclosures.forms.treatments import PrescribeForm, StopForm
from enclosures.models import Animal, Treatment
from enclosures.roles import PRESCRIBERS, for_role
from enclosures.verdicts.cautions import cautions_for
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import initials_of


@require_http_methods(["GET", "POST"])
@for_role(PRESCRIBERS)
def treatments(request: FacilityRequest, code: str) -> HttpResponse:
    """One animal's courses on one screen: what runs, with a way to stop it, and a form for a new one."""
    animal = get_object_or_404(Animal.objects.with_taxon(), code=code)  # type: ignore[attr-defined]
    act = request.POST.get("act", "")
    form = PrescribeForm(request.POST if act == "prescribe" else None)
    stop_form = StopForm(request.POST if act == "stop" else None)
    if request.method == "POST":
        said = _act(request, animal, act=act, form=form, stop_form=stop_form)
        if said:
            messages.success(request, said)
            return redirect("treatments", code=code)
    context = {
        "animal": animal,
        "courses": courses_of(animal, today=request.today),
        "form": form,
        "stop_form": stop_form,
        "stopped": request.POST.get("treatment", ""),
        "is_here": animal.stays.open_now().exists(),
        "cautions": cautions_for("treatment"),
    }
    status = 422 if request.method == "POST" else 200
    return TemplateResponse(request, "supervisor/treatments/page.html", context, status=status)


def _act(request: FacilityRequest, animal: Animal, *, act: str, form: PrescribeForm, stop_form: StopForm) -> str:
    """What was done, in words; empty when a form has to be looked at again."""
    stamp = Stamp(entered_at=request.now, entered_by=initials_of(request))
    used: Any = form if act == "prescribe" else stop_form
    try:
        if act == "prescribe" and form.is_valid():
            course = prescribe(animal=animal, stamp=stamp, **form.course())
            return f"{course.code} is prescribed. It stands on the round from its first dose on."
        if act == "stop":
            treatment = Treatment.objects.filter(animal=animal, code=request.POST.get("treatment", "")).first()
            if treatment is None:
                raise Http404("There is no such course here.")
            if stop_form.is_valid():
                reason = stop_form.cleaned_data["stop_reason"]
                stop_treatment(treatment, on=request.today, reason=reason, stamp=stamp)
                return f"{treatment.code} is stopped. What was given stays on record."
    except Refused as refused:
        for name, sentence in refused.errors.items():
            used.add_error(name if name in used.fields else None, sentence)
    return ""
