from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures import roles
from enclosures.boards.animal_life import build_animal_life
from enclosures.boards.animals import animals_visible_to
from enclosures.models import Role
from enclosures.roles import EVERYONE, for_role
from enclosures.views.clock import FacilityRequest


@require_GET
@for_role(EVERYONE)
def animal_life(request: FacilityRequest, code: str) -> HttpResponse:
    animal = get_object_or_404(animals_visible_to(request.membership).with_taxon(), code=code)  # type: ignore[attr-defined]
    life = build_animal_life(
        animal=animal,
        membership=request.membership,
        today=request.today,
        zone=request.facility.zone,
        shows_restricted=roles.may(request.membership, roles.CORRECTORS | {Role.VETERINARIAN}),
    )
    return TemplateResponse(request, "shared/animal_life/page.html", {"life": life, "animal": animal})
