from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_POST

from enclosures.boards.filter_preview import DRAWN_AFTER, FilterPreview, build_filter_preview
from enclosures.forms.set_up import FilterForm, PlaceForm, RebuildForm
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter

RETURNS_TO = {"tub": "tub", "tank": "tank", "pond": "pond"}


@require_POST
@for_role(BUILDERS)
def filter_preview(request: FacilityRequest) -> HttpResponse:
    """The figure and the first numbers for what is in the fields now; nothing is saved."""
    rebuilt = request.POST.get("rebuilt")
    if rebuilt:
        filter = load_filter(rebuilt)
        built: FilterForm = RebuildForm(request.POST, today=request.today, filter=filter)
        place = PlaceForm(PlaceForm.initial_for(filter.enclosure), enclosure=filter.enclosure)
    else:
        built, place = FilterForm(request.POST), PlaceForm(request.POST)
    context = {"preview": preview_of(request, place=place, built=built), "built": built}
    return TemplateResponse(request, "supervisor/set_up_enclosure/_preview.html", context)


def preview_of(request: FacilityRequest, *, place: PlaceForm, built: FilterForm) -> FilterPreview | None:
    """Only what can be read counts: a field still half typed must not blank the drawing."""
    if not built.is_bound:
        return None
    built.is_valid()
    place.is_valid()
    if not built.is_upflow:
        return None
    said = place.cleaned_data
    after = request.POST.get("after", "12")
    return build_filter_preview(
        code=built.cleaned_data.get("filter_code") or said.get("code") or "",
        build=built.build_values(),
        layers=built.layers(),
        facility=request.facility,
        is_indoor=said.get("indoor", True),
        water_volume_l=_number(said.get("water_volume_l")),
        surface_m2=_number(said.get("surface_m2")),
        litter_level=said.get("litter_level") or "none",
        litter_g_m2_year=_number(said.get("litter_g_m2_year")),
        planned_feed_g=_number(built.cleaned_data.get("planned_feed_g")),
        after_months=int(after) if after.isdigit() and int(after) in DRAWN_AFTER else 12,
        returns_to=RETURNS_TO.get(said.get("kind", ""), "water"),
        today=request.today,
    )


def _number(value: object) -> float | None:
    return value if isinstance(value, float | int) else None
