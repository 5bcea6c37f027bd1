"""Tables of arrivals, departures, loans and deaths."""

from __future__ import annotations

from enclosures.exports.columns import code, day, entry, log_columns, number, occurred_at, text, yes_no
from enclosures.exports.table import Table
from enclosures.models import Death, Transfer

TRANSFERS = Table(
    name="transfers",
    title="Animals that came or went",
    model=Transfer,
    key=("entry",),
    columns=(
        entry(),
        code("animal", "Which animal.", field="animal__code", term="organismID", is_required=True),
        occurred_at(),
        code("direction", "Arrived, or left.", is_required=True),
        code("kind", "How it came or went.", is_required=True),
        text("counterpart", "The other party, by code or plain name."),
        text("permit", "Permit it went under."),
        day("due_back_on", "Due back on.", may_be_later=True),
        text("terms", "What was agreed."),
        *log_columns(),
    ),
)

DEATHS = Table(
    name="deaths",
    title="Deaths",
    model=Death,
    key=("entry",),
    columns=(
        entry(),
        code("animal", "Which animal.", field="animal__code", term="organismID", is_required=True),
        occurred_at("When it was found dead: a date, or a date and time with offset."),
        day("last_alive_on", "Last seen alive."),
        text("circumstances", "How it was found."),
        number("mass_g", "g", "Mass."),
        yes_no("necropsy", "True: it was examined."),
        text("result", "What the examination found."),
        text("carcass_to", "Where the body went."),
        text("cause_class", "Class of cause."),
        *log_columns(),
    ),
)
