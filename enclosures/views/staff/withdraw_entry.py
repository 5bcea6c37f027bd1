from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.corrections import withdraw
from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.flags import table_of
from enclosures.boards.entry_words import when_said
from enclosures.boards.my_last_entries import line_of, place_of
from enclosures.forms.corrections import WithdrawForm
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.staff.log_page import entry_of, initials_of, may_change
from enclosures.views.staff.tables import load_entry


@require_http_methods(["GET", "POST"])
@for_role(HEALTH_LOGGERS)
def withdraw_entry(request: FacilityRequest, table: str, entry: uuid.UUID) -> HttpResponse:
    """It never was so. The old row stays, struck through, with the reason."""
    record = load_entry(table, entry)
    if not may_change(request, record):
        raise PermissionDenied("Own entries can be withdrawn by whoever made them; others’ by a supervisor.")
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            stamp = Stamp(entered_at=request.now, entered_by=initials_of(request))
            try:
                withdraw(record, stamp=stamp, reason=form.cleaned_data["reason"], entry=entry_of(request))
            except Refused as refused:
                form.add_error(None, " ".join(refused.errors.values()))
            except EntryConflict:
                form.add_error(None, "That was sent twice with different content; look at your last entries.")
            else:
                messages.success(request, f"Withdrawn: {place_of(record)}, {line_of(record)}")
                return redirect("my-last-entries")
    context = {
        "form": form,
        "record": record,
        "table": table_of(record),
        "place": place_of(record),
        "line": line_of(record),
        "when": when_said(record.moment, request.today),
        "fresh_entry": uuid.uuid4(),
    }
    return TemplateResponse(request, "staff/withdraw_entry/page.html", context, status=status)
