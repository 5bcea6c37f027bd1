from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_GET

from enclosures.actions.beliefs import believed_as_stored
from enclosures.boards.what_if import build_what_if
from enclosures.boards.what_if_change import change_of, present_of
from enclosures.forecast.what_if import what_if_from
from enclosures.forms.what_if import WhatIfForm
from enclosures.roles import BUILDERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_filter

FOLDER = "supervisor/what_if"


@require_GET
@for_role(BUILDERS)
def what_if(request: FacilityRequest, code: str) -> HttpResponse:
    """Two futures of one filter. All of it stands in the address, so that it can be kept and sent; no record is touched."""
    filter = load_filter(code)
    today = request.today
    belief = believed_as_stored(filter, today=today, now=request.now)
    present = None
    if belief is not None:
        present = present_of(filter, known=belief.known, history=belief.history, today=today)
    if belief is None or present is None:
        return TemplateResponse(request, f"{FOLDER}/page.html", {"filter": filter, "enclosure": filter.enclosure})
    form = WhatIfForm(WhatIfForm.asked_in(request.GET), today=today, n_here=len(present.here_g), hints=present.hints)
    asked = change = compared = None
    if form.is_bound and form.is_valid() and form.is_any:
        asked = form.cleaned_data
        try:
            change = change_of(asked, present)
            compared = what_if_from(
                belief.posterior, belief.history, change=change, seed=belief.seed, future=belief.future
            )
        except ValueError as wrong:
            asked = change = None
            form.add_error(None, str(wrong))
    board = build_what_if(
        filter=filter,
        history=belief.history,
        present=present,
        today=today,
        asked=asked,
        change=change,
        compared=compared,
    )
    context = {"filter": filter, "enclosure": filter.enclosure, "form": form, "board": board}
    return TemplateResponse(request, f"{FOLDER}/page.html", context, status=422 if form.errors else 200)
