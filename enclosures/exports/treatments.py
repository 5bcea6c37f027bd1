"""Tables of prescribed courses and of the doses given."""

from __future__ import annotations

from enclosures.exports.columns import (
    code,
    day,
    entered_columns,
    entry,
    log_columns,
    number,
    occurred_at,
    text,
    whole,
)
from enclosures.exports.table import Table
from enclosures.models import Dose, Treatment

TREATMENTS = Table(
    name="treatments",
    title="Courses as prescribed for one animal",
    model=Treatment,
    key=("treatment",),
    columns=(
        code("treatment", "Its code.", field="code", is_required=True),
        code("animal", "For which animal.", field="animal__code", term="organismID", is_required=True),
        text("what", "What is given.", is_required=True),
        text("dose", "One dose, in the prescriber's words.", is_required=True),
        number("amount", "", "What one dose measures, in unit."),
        text("unit", "Unit of amount, as written."),
        text("route", "How it is given.", is_required=True),
        whole("every_hours", "h", "Every so many hours from first_time of from_on on; empty: by days or weekdays."),
        code("first_time", "Clock time of the first dose, like 08:00, where the course goes by hours."),
        whole("every_days", "d", "Every so many days from from_on on; empty: by hours or weekdays."),
        text("weekdays", "Days like mon wed fri, parted by blanks; empty: by hours or days."),
        code("slots", "On which round of the day; empty: by hours."),
        day("from_on", "First day.", is_required=True, may_be_later=True),
        day("to_on", "Last day as prescribed; empty: by n_doses, or until it is stopped.", may_be_later=True),
        whole("n_doses", "", "How many doses; empty: by to_on, or until it is stopped."),
        text("why", "What for.", is_required=True),
        text("handling", "What to heed: handling, waiting times."),
        text("prescribed_by", "On whose order.", is_required=True),
        *entered_columns(),
        day("stopped_on", "Stopped before its end on this day; nothing was planned from then on."),
        text("stopped_by", "Initials of who stopped it."),
        text("stop_reason", "Why it was stopped."),
    ),
)

DOSES = Table(
    name="doses",
    title="Doses given, or not given for a reason",
    model=Dose,
    key=("entry",),
    columns=(
        entry(),
        code("treatment", "Of which course.", field="treatment__code", is_required=True),
        code("enclosure", "Where the animal was.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        day("for_on", "Day of the planned dose; empty: outside the plan.", may_be_later=True),
        code("for_part", "Part of that day: am, pm, or a clock time like 08:00."),
        code("outcome", "Whether it was given."),
        text("why_not", "Why it was not given."),
        number("amount", "", "What was given, in unit."),
        text("unit", "Unit of amount, as written."),
        *log_columns(),
    ),
)
