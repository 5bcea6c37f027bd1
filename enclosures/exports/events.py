"""Tables of health notes, outages, permits, and doubts found later."""

from __future__ import annotations

from enclosures.exports import cells
from enclosures.exports.columns import code, day, entry, instant, log_columns, occurred_at, text, whole, yes_no
from enclosures.exports.table import Column, Table
from enclosures.models import HealthNote, Outage, Permit, RecordFlag

HEALTH_NOTES = Table(
    name="health_notes",
    title="Health notes, about one animal or all in an enclosure",
    model=HealthNote,
    key=("entry",),
    columns=(
        entry(),
        code("animal", "Which animal.", field="animal__code", term="organismID"),
        code("enclosure", "Which enclosure.", field="enclosure__code", term="locationID"),
        occurred_at(),
        text("system", "Part of the body."),
        whole("severity", "", "1 slight to 3 serious."),
        text("text", "What was seen.", is_required=True),
        yes_no("vet_seen", "True: a veterinarian saw it."),
        yes_no("restricted", "True: not for everybody."),
        *log_columns(),
    ),
)

OUTAGES = Table(
    name="outages",
    title="Power cuts and the like",
    model=Outage,
    key=("entry",),
    columns=(
        entry(),
        occurred_at("When it began: a date, or a date and time with offset."),
        code("kind", "What failed.", is_required=True),
        instant("ended_at", "When it was over; empty: not yet."),
        text("enclosures", "Codes of the enclosures, parted by blanks; empty: all."),
        text("done", "What was done."),
        *log_columns(),
    ),
)

PERMITS = Table(
    name="permits",
    title="Permits",
    model=Permit,
    key=("number",),
    columns=(
        code("number", "Its number.", is_required=True),
        text("authority", "Who gave it."),
        text("scope", "What it allows."),
        day("from_on", "Valid from.", is_required=True, may_be_later=True),
        day("to_on", "Valid to; empty: open.", may_be_later=True),
        text("conditions", "Its conditions."),
    ),
)

RECORD_FLAGS = Table(
    name="record_flags",
    title="Doubts about entries, found after they were made",
    model=RecordFlag,
    key=("table", "entry", "code"),
    columns=(
        code("table", "The entry's table, as one word: healthnote is in health_notes.csv.", is_required=True),
        Column(name="entry", kind=cells.ENTRY, meaning="Which entry.", fields=("entry",), is_required=True),
        code("code", "The doubt's code.", is_required=True),
        text("text", "The doubt in words."),
        instant("found_at", "When it was found.", is_required=True, is_said=False),
        text("found_by", "Who found it.", is_said=False),
        instant("resolved_at", "When it was settled.", is_said=False),
        text("resolved_by", "Who settled it.", is_said=False),
        text("resolution", "How it was settled.", is_said=False),
    ),
)
