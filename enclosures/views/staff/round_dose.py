"""One dose at a stop of the round: sent at once or from the tablet's queue, and answered with its line."""

from __future__ import annotations

import uuid
from dataclasses import replace

from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods, require_POST

from enclosures.actions.corrections import undo
from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.treatments import log_dose
from enclosures.boards.round_doses import dose_asked_about
from enclosures.boards.round_facts import slot_of
from enclosures.forms.log_form import Clock
from enclosures.forms.treatments import DoseForm
from enclosures.models import Dose, Enclosure, Slot, Treatment
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_dose import ask_before_saving, dose_values
from enclosures.views.staff.log_page import entry_of, initials_of, stamp_of, tapped_at
from enclosures.views.staff.round_stop import conflict_at
from enclosures.views.staff.todays_round import Which, round_context, round_page, which_of, which_round


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def round_dose(request: FacilityRequest, code: str, treatment: str) -> HttpResponse:
    """201 saved, 200 it was here already, 409 the id says something else, 422 with the line and what is wrong or asked."""
    enclosure, course = load_enclosure(code), _load(treatment)
    if request.method == "GET":
        which = which_round(request)
        if not request.htmx:
            return HttpResponseRedirect(f"{which.url}#dose-{course.code}")
        return _line(request, enclosure, course, which)
    form = _form(request, course)
    is_another = form.is_valid() and ask_before_saving(request, form, course)
    if form.errors:
        return _answer(request, enclosure, course, form, status=422)
    stamp = stamp_of(request, form)
    stamp = replace(stamp, how="round" if stamp.how == "form" else stamp.how)
    try:
        logged = log_dose(
            treatment=course,
            moment=form.cleaned_data["when"],
            stamp=stamp,
            entry=form.cleaned_data["entry"],
            is_another=is_another,
            **dose_values(form),
        )
    except EntryConflict as conflict:
        return conflict_at(request, enclosure, conflict.record)
    except Refused as refused:
        form.refuse(refused.errors, renamed={"occurred_at": "when"})
        return _answer(request, enclosure, course, form, status=422)
    return _answer(request, enclosure, course, form, status=201 if logged.is_new else 200, is_saved=True)


@require_POST
@for_role(LOGGERS)
def undo_round_dose(request: FacilityRequest, code: str, treatment: str) -> HttpResponse:
    """By its maker, within ten minutes; the dose is due again. Undone twice is undone once."""
    enclosure, course = load_enclosure(code), _load(treatment)
    dose = _noted(request, course)
    which = which_of(request, on=dose.occurred_on, slot=slot_of(dose.occurred_at, request.facility.zone), how=dose.how)
    asked = request.POST.get("slot", "")
    which = replace(which, slot=asked) if asked in Slot.values else which
    newer = getattr(dose, "superseded_by", None)
    sentence, status = "", 200
    if newer is None or newer.reason != "undone":
        try:
            undo(dose, stamp=Stamp(entered_at=request.now, entered_by=initials_of(request), how="round"))
        except Refused as refused:
            sentence, status = " ".join(refused.errors.values()), 422
    if not request.htmx:
        return HttpResponseRedirect(f"{which.url}#dose-{course.code}", status=303)
    return _line(request, enclosure, course, which, sentence=sentence, status=status)


def _load(code: str) -> Treatment:
    found = Treatment.objects.select_related("animal").filter(code=code).first()
    if found is None:
        raise Http404(f"There is no course {code} here.")
    return found


def _noted(request: FacilityRequest, course: Treatment) -> Dose:
    try:
        entry = uuid.UUID(request.POST.get("undo", ""))
    except ValueError:
        entry = uuid.UUID(int=0)
    dose = Dose.all_rows.filter(treatment=course, entry=entry).first()
    if dose is None:
        raise Http404("There is no such dose here.")
    return dose


def _form(request: FacilityRequest, course: Treatment) -> DoseForm:
    entry = entry_of(request)
    known = Dose.all_rows.filter(entry=entry).first() if entry is not None else None
    tap = known.occurred_at if known is not None and known.precision == "minute" else tapped_at(request)
    clock = Clock(now=request.now, zone=request.facility.zone, today=request.today, tap=tap)
    return DoseForm(request.POST, clock=clock, treatment=course, must_say="changed" in request.GET)


def _answer(
    request: FacilityRequest,
    enclosure: Enclosure,
    course: Treatment,
    form: DoseForm,
    *,
    status: int,
    is_saved: bool = False,
) -> HttpResponse:
    data = form.cleaned_data if hasattr(form, "cleaned_data") else {}
    when = data.get("when")
    slot = data.get("slot") if data.get("slot") in Slot.values else slot_of(request.now, request.facility.zone)
    on = when.on if when is not None else request.today
    which = which_of(request, on=on, slot=slot, how=data.get("recall") or "paper")
    if request.htmx:
        typed = None if is_saved else form
        response = _line(request, enclosure, course, which, form=typed, is_saved=is_saved, status=status)
    elif is_saved:
        response = HttpResponseRedirect(f"{which.url}#dose-{course.code}", status=303)
    else:
        response = round_page(request, which, dose_form=form, dose_code=course.code, status=status)
    response.headers["X-Entry"] = str(entry_of(request) or "")
    return response


def _line(
    request: FacilityRequest,
    enclosure: Enclosure,
    course: Treatment,
    which: Which,
    *,
    form: DoseForm | None = None,
    is_saved: bool = False,
    sentence: str = "",
    status: int = 200,
) -> HttpResponse:
    context = round_context(
        request, which, code=enclosure.code, dose_form=form, dose_code=course.code if form is not None else ""
    )
    row = context["row"]
    found = next((dose for dose in row.doses if dose.treatment == course.code), None) if row is not None else None
    if found is None and form is not None:
        found = dose_asked_about(course, planned=request.POST.get("planned", ""))
    context |= {"dose": found, "course": course, "is_saved": is_saved, "sentence": sentence}
    return TemplateResponse(request, "staff/todays_round/_dose_answer.html", context, status=status)
