from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from enclosures.actions.corrections import undo
from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.flags import table_of
from enclosures.boards.entry_words import when_said
from enclosures.boards.my_last_entries import line_of, place_of
from enclosures.roles import HEALTH_LOGGERS, for_role
from enclosures.views.clock import FacilityRequest
from enclosures.views.pages import page_or_part
from enclosures.views.staff.log_page import entry_of, initials_of, may_change, may_undo
from enclosures.views.staff.tables import load_entry, log_url


@require_http_methods(["GET", "POST"])
@for_role(HEALTH_LOGGERS)
def undo_entry(request: FacilityRequest, table: str, entry: uuid.UUID) -> HttpResponse:
    """Own entries within ten minutes. Undone twice is undone once."""
    record = load_entry(table, entry)
    sentence, status = "", 200
    newer = getattr(record, "superseded_by", None)
    is_undone = newer is not None and newer.reason == "undone"
    if request.method == "POST" and not is_undone:
        stamp = Stamp(entered_at=request.now, entered_by=initials_of(request))
        try:
            undo(record, stamp=stamp, entry=entry_of(request))
            is_undone = True
        except Refused as refused:
            sentence, status = " ".join(refused.errors.values()), 422
        except EntryConflict:
            sentence, status = "That was sent twice with different content; look at your last entries.", 409
    if request.method == "POST" and is_undone and not request.htmx:
        messages.success(request, f"Taken back: {place_of(record)}, {line_of(record)}")
        return redirect("my-last-entries")
    context = {
        "record": record,
        "table": table_of(record),
        "place": place_of(record),
        "line": line_of(record),
        "when": when_said(record.moment, request.today),
        "is_undone": is_undone,
        "may_undo": may_undo(request, record) and newer is None,
        "may_change": may_change(request, record) and newer is None,
        "sentence": sentence,
        "again_url": log_url(record),
    }
    return page_or_part(request, "staff/undo_entry/page.html", "staff/undo_entry/_undo.html", context, status=status)
