from __future__ import annotations

import uuid
from typing import Any

from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_POST

from enclosures.actions.entries import Refused, Stamp
from enclosures.actions.rounds import undo_round_stop as take_back
from enclosures.boards.round_facts import slot_of
from enclosures.models import Enclosure
from enclosures.roles import LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import initials_of
from enclosures.views.staff.tables import find_entry
from enclosures.views.staff.todays_round import round_context, which_of


@require_POST
@for_role(LOGGERS)
def undo_round_stop(request: FacilityRequest, code: str) -> HttpResponse:
    """All that one stop brought, by its maker, within ten minutes. Undone twice is undone once."""
    records = _records(request, load_enclosure(code))
    first = records[0]
    slot = getattr(first, "slot", "") or slot_of(first.occurred_at, request.facility.zone)
    which = which_of(request, on=first.occurred_on, slot=slot, how=first.how)
    sentence, status = "", 200
    try:
        take_back(records, stamp=Stamp(entered_at=request.now, entered_by=initials_of(request), how="round"))
    except Refused as refused:
        sentence, status = " ".join(refused.errors.values()), 422
    if not request.htmx:
        return HttpResponseRedirect(f"{which.url}#stop-{code}", status=303)
    context = round_context(request, which, code=code) | {"sentence": sentence}
    return TemplateResponse(request, "staff/todays_round/_answer.html", context, status=status)


def _records(request: FacilityRequest, enclosure: Enclosure) -> list[Any]:
    """`undo` names each as table|entry; all of them are of this enclosure."""
    found = []
    for text in request.POST.getlist("undo"):
        table, _, entry = text.partition("|")
        try:
            record = find_entry(table, uuid.UUID(entry))
        except ValueError:
            record = None
        if record is None or getattr(record, "enclosure_id", None) != enclosure.pk:
            raise Http404("There is no such entry here.")
        found.append(record)
    if not found:
        raise Http404("There is nothing to take back here.")
    return found
