from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.feedings import LineGiven
from enclosures.actions.plans import end_feeding_plan, give_instruction, save_feeding_plan, take_back_instruction
from enclosures.boards.feeding_plan import earlier_plans_of, instructions_of, plan_words, plans_of, rhythm_words
from enclosures.boards.log_feeding import animals_of
from enclosures.forms.feeding import GRAMS
from enclosures.forms.plans import InstructionForm, PlanForm
from enclosures.models import Enclosure, FeedingPlan, FoodItem, Instruction, Moment
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import entry_of, initials_of

RENAMED = {"lines": "food_1", "text": "text", "from_on": "from_on", "to_on": "shown_to"}


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def feeding_plan(request: FacilityRequest, code: str) -> HttpResponse:
    """Meals and instructions of one enclosure on one screen: what holds, and a form to change it from a day on."""
    enclosure = load_enclosure(code)
    plans = plans_of(enclosure, today=request.today)
    changed = next((plan for plan in plans if plan.code == request.GET.get("plan")), None)
    act = request.POST.get("act", "")
    plan_form = _plan_form(request, enclosure, changed, is_sent=act == "plan")
    told_form = InstructionForm(request.POST if act == "tell" else None, initial={"shown_from": request.today})
    if request.method == "POST":
        said = _act(request, enclosure, plans, act=act, plan_form=plan_form, told_form=told_form, changed=changed)
        if said:
            messages.success(request, said)
            return redirect("feeding-plan", code=code)
    context = {
        "enclosure": enclosure,
        "plans": [plan_words(plan, today=request.today) for plan in plans],
        "earlier": [plan_words(plan, today=request.today) for plan in earlier_plans_of(enclosure, today=request.today)],
        "instructions": instructions_of(enclosure, today=request.today),
        "form": plan_form,
        "told_form": told_form,
        "changed": changed,
        "fresh_entry": uuid.uuid4(),
    }
    status = 422 if request.method == "POST" else 200
    return TemplateResponse(request, "supervisor/feeding_plan/page.html", context, status=status)


def _plan_form(
    request: FacilityRequest, enclosure: Enclosure, changed: FeedingPlan | None, *, is_sent: bool
) -> PlanForm:
    initial = (
        PlanForm.initial_of(changed, today=request.today) if changed is not None else {"slot": "am", "rhythm": "1"}
    )
    return PlanForm(
        request.POST if is_sent else None,
        foods=list(
            FoodItem.objects.filter(is_retired=False).prefetch_related("units", "compositions").order_by("name")
        ),
        animals=animals_of(enclosure),
        today=request.today,
        initial=initial,
    )


def _act(
    request: FacilityRequest,
    enclosure: Enclosure,
    plans: list[FeedingPlan],
    *,
    act: str,
    plan_form: PlanForm,
    told_form: InstructionForm,
    changed: FeedingPlan | None,
) -> str:
    """What was done, in words; empty when a form has to be looked at again."""
    stamp = Stamp(entered_at=request.now, entered_by=initials_of(request))
    form: Any = plan_form if act == "plan" else told_form
    try:
        if act == "plan" and plan_form.is_valid():
            return _save(enclosure, plan_form, changed, stamp=stamp)
        if act == "end":
            plan = next((each for each in plans if each.code == request.POST.get("plan")), None)
            if plan is None:
                raise Http404("There is no such plan here.")
            end_feeding_plan(plan, last_on=request.today - timedelta(days=1))
            return f"{plan.code} holds no more."
        if act == "tell" and told_form.is_valid():
            data = told_form.cleaned_data
            give_instruction(
                enclosure=enclosure, text=data["text"], from_on=data["shown_from"], to_on=data["shown_to"], stamp=stamp,
                moment=Moment.of_instant(request.now, zone=request.facility.zone), entry=entry_of(request),
            )  # fmt: skip
            return "It stands on the round from then on."
        if act == "take_back":
            entry = request.POST.get("instruction", "")
            told = Instruction.objects.filter(enclosure=enclosure, entry__in=[entry] if _is_uuid(entry) else []).first()
            if told is None:
                raise Http404("There is no such instruction here.")
            take_back_instruction(told, stamp=stamp)
            return "Taken off the round."
    except Refused as refused:
        for name, sentence in refused.errors.items():
            known = RENAMED.get(name, name)
            form.add_error(known if known in form.fields else None, sentence)
    except EntryConflict:
        form.add_error(None, "That was sent before with other words. Look at the list, then try again.")
    return ""


def _save(enclosure: Enclosure, form: PlanForm, changed: FeedingPlan | None, *, stamp: Stamp) -> str:
    data = form.cleaned_data
    animal = form.animals.get(data["animal"])
    is_same_subject = changed is not None and (changed.animal_id, changed.slot) == (
        animal.pk if animal is not None else None, data["slot"],
    )  # fmt: skip
    plan = save_feeding_plan(
        enclosure=None if animal is not None else enclosure,
        animal=animal,
        replaces=changed if is_same_subject else None,
        lines=[
            LineGiven(food_item=line.food, offered_g=line.amount)
            if line.unit == GRAMS
            else LineGiven(food_item=line.food, amount=line.amount, unit=line.unit)
            for line in form.lines()
        ],
        from_on=data["from_on"],
        stamp=stamp,
        slot=data["slot"],
        to_on=data["to_on"],
        note=data["note"].strip(),
        **form.rhythm_of_days,
        not_below_c=data["not_below_c"],
        less_below_c=data["less_below_c"],
        less_share=float(data["less_share"]),
        pauses_in_winter=data["pauses_in_winter"],
    )
    return f"Saved: {plan.get_slot_display().lower()}, {rhythm_words(plan)}."


def _is_uuid(text: str) -> bool:
    try:
        uuid.UUID(text)
    except ValueError:
        return False
    return True
