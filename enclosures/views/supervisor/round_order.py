from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.round_order import order_the_round
from enclosures.forms.foods import RoundOrderForm
from enclosures.models import Enclosure, EnclosureKind
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest


@require_http_methods(["GET", "POST"])
@for_role(BUILDERS)
def round_order(request: FacilityRequest) -> HttpResponse:
    """Numbers for the walk; quarantine comes last by itself, in the order it has here."""
    places = list(Enclosure.objects.in_use_on(request.today).in_walking_order())
    form = RoundOrderForm(request.POST if request.method == "POST" else None, places=places)
    if request.method == "POST" and form.is_valid():
        order_the_round(form.in_order())
        messages.success(request, "The round is walked in this order from now on.")
        return redirect("round-order")
    context = {"form": form, "quarantine": EnclosureKind.QUARANTINE}
    status = 422 if request.method == "POST" else 200
    return TemplateResponse(request, "supervisor/round_order/page.html", context, status=status)
