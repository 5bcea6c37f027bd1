from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.enclosures import create_enclosure
from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.filters import LayerGiven, fit_pump, set_up_filter
from enclosures.boards.filter_preview import DRAWN_AFTER
from enclosures.forms.set_up import NO_FILTER, FilterForm, PlaceForm
from enclosures.models import Enclosure, Pump
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.supervisor.filter_preview import preview_of

PLACE_FIELDS = (
    "code", "name", "kind", "indoor", "water_volume_l", "surface_m2", "depth_mm", "litter_level", "litter_g_m2_year",
    "has_deep_vault",
)  # fmt: skip


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def set_up_enclosure(request: FacilityRequest) -> HttpResponse:
    """A new place with its filter, both or neither saved."""
    due = 100 * request.facility.default_due_fill
    place = PlaceForm(request.POST or None)
    built = FilterForm(request.POST or None, default_due_percent=due)
    status = 200
    if request.method == "POST":
        if place.is_valid() & built.is_valid():
            try:
                enclosure = _save(request, place=place, built=built)
            except Refused as refused:
                _say(refused, place=place, built=built)
            else:
                messages.success(request, f"{enclosure.code} is set up.")
                return redirect("enclosure-dashboard", code=enclosure.code)
        status = 422
    context = {
        "place": place,
        "built": built,
        "forms": (place, built),
        "n_problems": len(place.errors) + len(built.errors) if place.is_bound else 0,
        "preview": preview_of(request, place=place, built=built),
        "drawn_after": DRAWN_AFTER.items(),
    }
    return TemplateResponse(request, "supervisor/set_up_enclosure/page.html", context, status=status)


def _save(request: FacilityRequest, *, place: PlaceForm, built: FilterForm) -> Enclosure:
    given, c = place.cleaned_data, built.cleaned_data
    stamp = Stamp(entered_at=request.now, entered_by=request.user.initials)  # type: ignore[union-attr]
    values: dict[str, Any] = {name: given[name] for name in PLACE_FIELDS}
    if given["round_order"] is not None:
        values["round_order"] = given["round_order"]
    with transaction.atomic():
        enclosure = create_enclosure(facility=request.facility, **values)
        kind = c["filter_kind"]
        if kind != NO_FILTER:
            since = c["commissioned_on"] or request.today
            filter = set_up_filter(
                enclosure=enclosure,
                code=c["filter_code"] or f"{enclosure.code}-F",
                kind=kind,
                commissioned_on=since,
                build={**built.build_values(), "valid_from": since, "reason": "as built"} if built.is_upflow else None,
                layers=[LayerGiven(**vars(layer)) for layer in built.layers()] if built.is_upflow else [],
            )
            if c["pump_code"]:
                pump = Pump.objects.create(
                    code=c["pump_code"], rated_l_per_h=c["pump_rated_l_per_h"], watts=c["pump_watts"]
                )
                fit_pump(filter=filter, pump=pump, from_on=since, stamp=stamp)
    return enclosure


def _say(refused: Refused, *, place: PlaceForm, built: FilterForm) -> None:
    for name, sentence in refused.errors.items():
        form = place if name in place.fields else built
        form.add_error(name if name in form.fields else None, sentence)
