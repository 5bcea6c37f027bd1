"""One road for every log form: shown, refused with every value kept, asked about, saved once, corrected by a new row.

A page is a small class: what it shows, its form, and the one action it calls. `log` and `correct` do the rest.
The answer to a saved entry names it in `X-Entry`: a device may forget an entry only when the answer says so.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any, ClassVar

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.utils.datastructures import MultiValueDict
from django.utils.html import format_html

from enclosures import roles
from enclosures.actions.corrections import supersede
from enclosures.actions.entries import CLOCK_FLAG_S, EntryConflict, Logged, Refused, Stamp
from enclosures.actions.flags import table_of
from enclosures.boards.entry_words import when_said
from enclosures.boards.my_last_entries import line_of, place_of
from enclosures.forms.log_form import Clock, LogForm
from enclosures.models import Enclosure, LoggedRecord, Moment
from enclosures.verdicts.cautions import Caution
from enclosures.views.clock import FacilityRequest
from enclosures.views.device.author import author_of
from enclosures.views.pages import address_of, page_or_part
from enclosures.views.staff.tables import find_entry

SAME_CLOCK_S = 3600 * 24 * 30  # an entry that waited longer than this on a device is dated by hand
LONGEST_OFFSET_S = 3600 * 24 * 3650  # a tablet whose battery died believes in 1970
LAST_SAVED = "last_saved"


class AskedMore(Exception):
    """Saving found a question; the form has it."""


class LogPage:
    """One log form of one enclosure or filter, for one request."""

    model: ClassVar[type[LoggedRecord]]
    folder: ClassVar[str]
    title: ClassVar[str]
    save_words: ClassVar[str] = "Save"
    # fields of an action's refusal -> fields of the form, where they differ
    renamed: ClassVar[Mapping[str, str]] = {"occurred_at": "when"}

    def __init__(self, request: FacilityRequest, *, record: Any = None) -> None:
        self.request = request
        self.record = record  # the entry being corrected, if any

    # what each page says of itself ----------------------------------------------------------------------------------------

    @property
    def enclosure(self) -> Enclosure:
        raise NotImplementedError

    @property
    def place_code(self) -> str:
        return self.enclosure.code

    def form(self, data: Any = None, *, initial: dict[str, Any] | None = None, must_say_why: bool = False) -> LogForm:
        raise NotImplementedError

    def save(self, form: Any, *, stamp: Stamp, entry: uuid.UUID | None) -> Logged:
        raise NotImplementedError

    def values(self, form: Any) -> dict[str, Any]:
        """The record's own fields as the form says them."""
        raise NotImplementedError

    def parts(self, form: Any) -> dict[str, Sequence[Any]]:
        return {}

    def initial_of(self, record: Any) -> dict[str, Any]:
        raise NotImplementedError

    def cautions(self) -> tuple[Caution, ...]:
        return ()

    def context(self) -> dict[str, Any]:
        return {}

    def answer(self, record: Any) -> dict[str, Any]:
        """What `_saved.html` shows besides the entry in words."""
        return {}

    def also_keep(self, record: Any) -> None:
        """What came with the form besides the entry; the entry stands whatever becomes of it."""

    def entries_of(self, entry: uuid.UUID) -> list[uuid.UUID]:
        """The ids that rows of this form would have."""
        return [entry]

    # shared ---------------------------------------------------------------------------------------------------------------

    @property
    def template_page(self) -> str:
        return f"{self.folder}/page.html"

    @property
    def back_url(self) -> str:
        return back_to(self.enclosure)

    def clock(self) -> Clock:
        request = self.request
        return Clock(now=request.now, zone=request.facility.zone, today=request.today, tap=self._tap())

    def _tap(self) -> datetime | None:
        """When the entry was made. An entry that is here already keeps the time it was given, so that a retry says the same."""
        entry = entry_of(self.request)
        known = self.model.all_rows.filter(entry__in=self.entries_of(entry)).first() if entry is not None else None
        if known is not None and known.precision == "minute":
            return known.occurred_at
        return tapped_at(self.request)

    def show(self, form: LogForm, *, status: int = 200) -> HttpResponse:
        context = {
            "form": form,
            "page": self,
            "enclosure": self.enclosure,
            "cautions": self.cautions(),
            "fresh_entry": uuid.uuid4(),
            "record": self.record,
            "last_saved": last_saved(self.request),
            **self._on_record(),
            **self.context(),
        }
        response = page_or_part(self.request, self.template_page, f"{self.folder}/_form.html", context, status=status)
        add_never_cache_headers(response)  # the page holds an id that must be used once
        return response

    def _on_record(self) -> dict[str, Any]:
        """The entry being corrected, as it stands."""
        if self.record is None:
            return {}
        return {
            "record_line": line_of(self.record),
            "record_when": when_said(self.record.moment, self.request.today),
            "record_table": table_of(self.record),
        }

    def saved(self, logged: Logged) -> HttpResponse:
        record = logged.record
        remember_last(self.request, record)
        line = line_of(record)
        if not self.request.htmx:
            undo = reverse("undo-entry", args=(table_of(record), record.entry))
            words = format_html('{} saved: {}. <a href="{}">Undo</a>', self.place_code, line.rstrip("."), undo)
            messages.success(self.request, words)
            response: HttpResponse = HttpResponseRedirect(self.back_url, status=303)
        else:
            context = {
                "page": self,
                "enclosure": self.enclosure,
                "record": record,
                "is_new": logged.is_new,
                "line": line,
                "last_saved": last_saved(self.request),
                **self.answer(record),
            }
            status = 201 if logged.is_new else 200
            response = TemplateResponse(self.request, f"{self.folder}/_saved.html", context, status=status)
        response.headers["X-Entry"] = str(entry_of(self.request) or record.entry)
        return response

    def conflict(self, record: LoggedRecord) -> HttpResponse:
        context = {
            "page": self,
            "enclosure": self.enclosure,
            "record": record,
            "line": line_of(record),
            "when": when_said(record.moment, self.request.today),
            "may_change": may_change(self.request, record),
            "table": table_of(record),
        }
        part = "staff/_entry_conflict.html"
        return page_or_part(self.request, "staff/entry_conflict.html", part, context, status=409)


def log(page: LogPage) -> HttpResponse:
    """Show the form, or take what was filled in."""
    request = page.request
    if request.method == "GET":
        return page.show(page.form())
    form = page.form(request.POST)
    if not form.is_valid():
        return page.show(form, status=422)
    try:
        logged = page.save(form, stamp=stamp_of(request, form), entry=form.cleaned_data["entry"])
    except AskedMore:
        return page.show(form, status=422)
    except EntryConflict as conflict:
        return page.conflict(conflict.record)
    except Refused as refused:
        form.refuse(refused.errors, renamed=dict(page.renamed))
        return page.show(form, status=422)
    page.also_keep(logged.record)
    return page.saved(logged)


def correct(page: LogPage) -> HttpResponse:
    """The same form, prefilled from `page.record`; only what was changed goes into the new row."""
    request, record = page.request, page.record
    initial = {**page.initial_of(record), "when": record.moment, "note": record.note, "recall": _recall_of(record)}
    if request.method == "GET":
        return page.show(page.form(initial=initial, must_say_why=True))
    form = page.form(request.POST, initial=initial, must_say_why=True)
    if not form.is_valid():
        return page.show(form, status=422)
    unchanged = page.form(as_posted(page.form(initial=initial)), initial=initial)
    unchanged.is_valid()
    told = what_changed(page, form, unchanged)
    if told == {"changes": {}}:
        form.add_error(None, "Nothing is different from what is on record.")
        return page.show(form, status=422)
    try:
        logged = supersede(
            record,
            stamp=stamp_of(request, form),
            reason=form.cleaned_data["reason"],
            entry=form.cleaned_data["entry"],
            **told,
        )
    except EntryConflict as conflict:
        return page.conflict(conflict.record)
    except Refused as refused:
        form.refuse(refused.errors, renamed=dict(page.renamed))
        return page.show(form, status=422)
    page.also_keep(logged.record)
    return page.saved(logged)


def what_changed(page: LogPage, form: Any, unchanged: Any) -> dict[str, Any]:
    """Arguments for `supersede`: fields, parts, moment and note that differ from what the form was filled with."""
    before = page.values(unchanged) if unchanged.is_bound and not unchanged.errors else {}
    changes = {name: value for name, value in page.values(form).items() if name not in before or before[name] != value}
    told: dict[str, Any] = {"changes": changes}
    parts, were = page.parts(form), page.parts(unchanged) if before else {}
    if parts and parts != were:
        told["parts"] = parts
    moment: Moment = form.cleaned_data["when"]
    if moment != unchanged.cleaned_data.get("when"):
        told["moment"] = moment
    if form.full_note() != page.record.note:
        told["note"] = form.full_note()
    return told


def as_posted(form: LogForm) -> MultiValueDict[str, Any]:
    """An unbound form's values as if a browser had sent them back untouched."""
    data: MultiValueDict[str, Any] = MultiValueDict()
    for bound in form:
        widget, value = bound.field.widget, bound.value()
        if bound.name == "when":
            choice, on, at = widget.decompress(value)
            data.setlist("when", [choice])
            data.setlist("when_on", [on])
            data.setlist("when_at", [at])
        elif isinstance(value, list | tuple):
            data.setlist(bound.html_name, [str(each) for each in value])
        elif value not in (None, "", False):
            data.setlist(bound.html_name, [str(value)])
    return data


# the request -------------------------------------------------------------------------------------------------------------


def entry_of(request: FacilityRequest) -> uuid.UUID | None:
    with suppress(ValueError):
        return uuid.UUID(request.POST.get("entry", ""))
    return None


def tapped_at(request: FacilityRequest) -> datetime | None:
    """When the entry was made, by the server's clock; None when the device did not say, or says what cannot be.

    A wrong clock does not matter while it stays wrong: then the wait between tap and sending is right by it. A clock that was set
    meanwhile spoils the wait; then the offset seen before the tap tells.
    """
    tapped, sent = device_time(request, "device_at"), device_time(request, "sent_at")
    if tapped is None or sent is None:
        return None
    by_wait = request.now - (sent - tapped)
    seen_s = offset_seen(request)
    is_right_now = abs((sent - request.now).total_seconds()) <= CLOCK_FLAG_S
    if seen_s is None or not is_right_now:
        at = by_wait
    else:
        at = tapped - timedelta(seconds=seen_s)
        if abs(at - by_wait) <= timedelta(seconds=CLOCK_FLAG_S):
            at = by_wait
    waited_s = (request.now - at).total_seconds()
    return at if 0 <= waited_s <= SAME_CLOCK_S else None


def is_time_put_right(request: FacilityRequest) -> bool:
    """The device's clock jumped between its last contact and the sending, or says what cannot be."""
    sent, seen_s = device_time(request, "sent_at"), offset_seen(request)
    if sent is None or device_time(request, "device_at") is None:
        return False
    has_jumped = seen_s is not None and abs((sent - request.now).total_seconds() - seen_s) > CLOCK_FLAG_S
    return has_jumped or tapped_at(request) is None


def offset_seen(request: FacilityRequest) -> int | None:
    """Device minus server, in seconds, at the device's last contact before the tap."""
    with suppress(ValueError):
        seen_s = int(request.POST.get("clock_offset_s", ""))
        return seen_s if abs(seen_s) <= LONGEST_OFFSET_S else None
    return None


def device_time(request: FacilityRequest, name: str) -> datetime | None:
    try:
        told = datetime.fromisoformat(request.POST.get(name, ""))
    except ValueError:
        return None
    return told if told.tzinfo is not None else None


def stamp_of(request: FacilityRequest, form: LogForm) -> Stamp:
    """Who, when, how; the device's clock against the server's, when it was told."""
    sent, offset = device_time(request, "sent_at"), offset_seen(request)
    if offset is None and sent is not None:
        offset = round((sent - request.now).total_seconds())
    how = form.cleaned_data.get("recall") or "form"
    flags = form.entry_flags()
    if how == "late":
        flags = (*flags, "MEM")
    if is_time_put_right(request):
        flags = (*flags, "CLK")
    return Stamp(
        entered_at=request.now,
        entered_by=author_of(request) or initials_of(request),
        sent_by=initials_of(request),
        device_at=device_time(request, "device_at"),
        clock_offset_s=offset,
        how=how,
        note=form.full_note(),
        flags=flags,
    )


def initials_of(request: FacilityRequest) -> str:
    return str(request.user.initials)  # type: ignore[union-attr]


def may_change(request: FacilityRequest, record: LoggedRecord) -> bool:
    return roles.may_change(request.membership, record, initials=initials_of(request))


def may_undo(request: FacilityRequest, record: LoggedRecord) -> bool:
    age = request.now - record.entered_at
    return record.entered_by == initials_of(request) and age <= timedelta(minutes=roles.UNDO_MINUTES)


def back_to(enclosure: Enclosure) -> str:
    return address_of("enclosure-dashboard", args=(enclosure.code,)) or reverse("home")


def _recall_of(record: LoggedRecord) -> str:
    return record.how if record.how in ("late", "paper") else "form"


# the last saved entry, for the bar at the foot ------------------------------------------------------------------------------


def remember_last(request: FacilityRequest, record: LoggedRecord) -> None:
    request.session[LAST_SAVED] = {"table": table_of(record), "entry": str(record.entry)}


def last_saved(request: FacilityRequest) -> dict[str, Any] | None:
    """The entry last saved here, while it can still be undone."""
    told = request.session.get(LAST_SAVED)
    record = find_entry(told["table"], told["entry"]) if told else None
    if record is None or record.withdrawn or hasattr(record, "superseded_by") or not may_undo(request, record):
        return None
    return {"record": record, "table": told["table"], "line": line_of(record), "place": place_of(record)}
