from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import Refused
from enclosures.actions.foods import save_food
from enclosures.boards.foods import build_foods, recipes_of
from enclosures.forms.foods import FoodForm
from enclosures.models import FoodItem
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def foods(request: FacilityRequest) -> HttpResponse:
    """All foods, and a form for a new one or, with ?food=, for one of them."""
    code = request.GET.get("food", "")
    rows = FoodItem.objects.prefetch_related("units", "compositions")
    food = get_object_or_404(rows, code=code) if code else None
    form = FoodForm(request.POST if request.method == "POST" else None, food=food, initial=_initial(food))
    if request.method == "POST" and form.is_valid():
        saved = _save(form, food)
        if saved is not None:
            messages.success(request, f"{saved} is saved.")
            return redirect("foods")
    context = {
        "foods": build_foods(today=request.today),
        "form": form,
        "food": food,
        "recipes": recipes_of(food, today=request.today) if food is not None else [],
    }
    status = 422 if request.method == "POST" else 200
    return TemplateResponse(request, "supervisor/foods/page.html", context, status=status)


def _initial(food: FoodItem | None) -> dict[str, Any]:
    if food is None:
        return {}
    return {name: getattr(food, name) for name in ("code", "name", "food_class", "is_retired")}


def _save(form: FoodForm, food: FoodItem | None) -> FoodItem | None:
    data = form.cleaned_data
    about = {name: data[name] for name in ("name", "food_class", "is_retired")}
    try:
        return save_food(
            food,
            units=form.units(),
            recipe=form.recipe(),
            recipe_from=data["valid_from"],
            **about,
            **({} if food is not None else {"code": data["code"]}),
        )
    except Refused as refused:
        for name, sentence in refused.errors.items():
            form.add_error(name if name in form.fields else None, sentence)
    return None
