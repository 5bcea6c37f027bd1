"""One stop of the round: sent at once or from the tablet's queue, and answered with its row."""

from __future__ import annotations

import uuid
from dataclasses import replace

from django.http import HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import EntryConflict, Refused
from enclosures.actions.feedings import LineGiven, meals_already_logged
from enclosures.actions.rounds import (
    MealGiven,
    instruction_done,
    log_round_stop,
    part_entry,
    recorded_stop,
)
from enclosures.actions.water import ReadingGiven
from enclosures.boards.entry_words import when_said
from enclosures.boards.log_feeding import animals_of
from enclosures.boards.my_last_entries import line_of
from enclosures.forms.feeding import GRAMS
from enclosures.forms.log_form import Clock
from enclosures.forms.round_stop import RoundStopForm
from enclosures.models import Enclosure, FoodItem, Instruction, LoggedRecord, Reading, RoundCheck, Slot
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.known_meals import is_known_to_the_person
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.add_photo import attach_sent_photos
from enclosures.views.staff.log_page import entry_of, stamp_of, tapped_at
from enclosures.views.staff.todays_round import Which, round_context, round_page, which_of, which_round

RENAMED = {"occurred_at": "when", "lines": "given", "temperature": "water_temp"}


@require_http_methods(["GET", "POST"])
@for_role(LOGGERS)
def round_stop(request: FacilityRequest, code: str) -> HttpResponse:
    """201 saved, 200 it was here already, 409 the id says something else, 422 with the row and what is wrong or asked.

    Asked for without anything to save: the row as it stands now.
    """
    enclosure = load_enclosure(code)
    if request.method == "GET":
        return _row_now(request, enclosure)
    form = _form(request, enclosure)
    if not form.is_valid():
        return _row(request, enclosure, form, status=422)
    is_another = _is_another(request, enclosure, form)
    if form.errors:
        return _row(request, enclosure, form, status=422)
    stamp = stamp_of(request, form)
    stamp = replace(stamp, how="round" if stamp.how == "form" else stamp.how)
    try:
        stop = log_round_stop(
            enclosure=enclosure,
            moment=form.cleaned_data["when"],
            stamp=stamp,
            entry=form.cleaned_data["entry"],
            slot=form.cleaned_data["slot"],
            meal=_meal(form),
            water=_water(form),
            head_count=form.cleaned_data["head_count"],
            n_expected=len(animals_of(enclosure)) if form.cleaned_data["head_count"] is not None else None,
            odd=form.cleaned_data["odd"],
            skip_cause=form.cleaned_data["skip"],
            is_another=is_another,
        )
        for told in Instruction.objects.filter(enclosure=enclosure, entry__in=_uuids(form.done_instructions)):
            instruction_done(told, stamp=stamp)
    except EntryConflict as conflict:
        return conflict_at(request, enclosure, conflict.record)
    except Refused as refused:
        form.refuse(refused.errors, renamed=RENAMED)
        return _row(request, enclosure, form, status=422)
    for record in stop.records:
        if isinstance(record, RoundCheck):
            attach_sent_photos(request, record)
    return _row(request, enclosure, form, status=201 if stop.is_new else 200, is_saved=True)


def _row_now(request: FacilityRequest, enclosure: Enclosure) -> HttpResponse:
    which = which_round(request)
    if not request.htmx:
        return HttpResponseRedirect(f"{which.url}#stop-{enclosure.code}")
    context = round_context(request, which, code=enclosure.code)
    return TemplateResponse(request, "staff/todays_round/_answer.html", context)


def _form(request: FacilityRequest, enclosure: Enclosure) -> RoundStopForm:
    entry = entry_of(request)
    known = next(iter(recorded_stop(entry)), None) if entry is not None else None
    tap = known.occurred_at if known is not None and known.precision == "minute" else tapped_at(request)
    last = Reading.objects.filter(test__enclosure=enclosure, analyte="temperature", canonical__isnull=False)
    return RoundStopForm(
        request.POST,
        clock=Clock(now=request.now, zone=request.facility.zone, today=request.today, tap=tap),
        foods=FoodItem.objects.prefetch_related("units").in_bulk(),
        last_temp_c=last.order_by("-test__occurred_at").values_list("canonical", flat=True).first(),
        has_photo=bool(request.POST.get("photos") or request.FILES.get("photo")),
    )


def _meal(form: RoundStopForm) -> MealGiven | None:
    if not form.has_meal:
        return None
    eaten = form.cleaned_data["eaten"]
    lines = [
        LineGiven(food_item=each.food, offered_g=each.amount, eaten=eaten)
        if each.unit == GRAMS
        else LineGiven(food_item=each.food, amount=each.amount, unit=each.unit, eaten=eaten)
        for each in (food.times(form.share) for food in form.foods)
    ]
    return MealGiven(
        lines=lines if form.is_fed else (),
        outcome=form.outcome,
        not_fed_reason=form.not_fed_reason,
        refused=form.refused,
    )


def _water(form: RoundStopForm) -> ReadingGiven | None:
    temp_c = form.number("water_temp")
    return None if temp_c is None else ReadingGiven(analyte="temperature", value=temp_c, unit="degC")


def _is_another(request: FacilityRequest, enclosure: Enclosure, form: RoundStopForm) -> bool:
    """Asks once when the meal is on record already. What lay on a device has nobody to ask: it is kept, and flagged."""
    entry, data = form.cleaned_data["entry"], form.cleaned_data
    if not form.has_meal:
        return False
    own = part_entry(entry, "feeding") if entry is not None else None
    meals = meals_already_logged(enclosure, on=data["when"].on, slot=data["slot"])
    if not meals or any(meal.entry == own for meal in meals):
        return False
    if is_known_to_the_person(request, meals):
        return True
    if request.POST.get("queued"):
        return data.get("another") in {meal.entry for meal in meals}
    last = meals[-1]
    if data.get("another") != last.entry:
        at = (
            f"at {last.occurred_at.astimezone(request.facility.zone):%H:%M}"
            if last.precision == "minute"
            else "already"
        )
        form.add_error(None, f"Fed {at} by {last.entered_by or 'somebody'}. Add another meal?")
        form.again = str(last.entry)
    return True


def _row(
    request: FacilityRequest, enclosure: Enclosure, form: RoundStopForm, *, status: int, is_saved: bool = False
) -> HttpResponse:
    data = getattr(form, "cleaned_data", {})
    when, slot = data.get("when"), data.get("slot") or Slot.MORNING
    on = when.on if when is not None else request.today
    which = which_of(request, on=on, slot=slot, how=data.get("recall") or "paper")
    typed = None if is_saved else form
    if request.htmx:
        context = round_context(request, which, form=typed, code=enclosure.code) | {"is_saved": is_saved}
        response: HttpResponse = TemplateResponse(request, "staff/todays_round/_answer.html", context, status=status)
    elif is_saved:
        after = round_context(request, which)["board"].after(enclosure.code)
        response = HttpResponseRedirect(f"{which.url}#{f'stop-{after}' if after else 'round-end'}", status=303)
    else:
        response = round_page(request, which, form=form, code=enclosure.code, status=status)
    response.headers["X-Entry"] = str(entry_of(request) or "")
    return response


def conflict_at(request: FacilityRequest, enclosure: Enclosure, record: LoggedRecord) -> HttpResponse:
    context = {
        "page": {
            "place_code": enclosure.code,
            "back_url": Which(day=request.today, today=request.today, slot="am").url,
        },
        "enclosure": enclosure,
        "record": record,
        "line": line_of(record),
        "when": when_said(record.moment, request.today),
        "table": record._meta.model_name,
        "may_change": False,
    }
    template = "staff/_entry_conflict.html" if request.htmx else "staff/entry_conflict.html"
    response = TemplateResponse(request, template, context, status=409)
    response.headers["X-Entry"] = str(entry_of(request) or "")
    return response


def _uuids(texts: list[str]) -> list[uuid.UUID]:
    found = []
    for text in texts:
        try:
            found.append(uuid.UUID(text))
        except ValueError:
            continue
    return found
