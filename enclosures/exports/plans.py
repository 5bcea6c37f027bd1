"""Tables of feeding plans and of what the round writes besides meals."""

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
    yes_no,
)
from enclosures.exports.table import Table
from enclosures.models import FeedingPlan, Instruction, RoundCheck, RoundSkip

FEEDING_PLANS = Table(
    name="feeding_plans",
    title="Feeding plans, one row a food",
    model=FeedingPlan,
    key=("plan", "line"),
    part="lines",
    number="line",
    columns=(
        code("plan", "Its code.", field="code", is_required=True),
        code("enclosure", "Whose meal; empty where it is one animal's.", field="enclosure__code", term="locationID"),
        code("animal", "Which animal's meal, wherever it lives.", field="animal__code", term="organismID"),
        code("slot", "Which meal."),
        text("weekdays", "Days like mon wed fri, parted by blanks; empty: every day."),
        whole("every_weeks", "", "1: every week; 2: every second one, counted from the week of from_on; and so on."),
        whole("every_days", "d", "Every so many days from from_on on; empty: by weekdays."),
        day("from_on", "First day.", is_required=True, may_be_later=True),
        day("to_on", "Last day; empty: until further notice.", may_be_later=True),
        code("food_item", "What to offer.", field="lines__food_item__code", is_required=True),
        number("offered_g", "g", "How much, as fed.", field="lines__offered_g", is_required=True),
        whole("line", "", "1 for the first line; 0: the plan has none.", field="lines__position", is_said=False),
        number("amount", "", "How much, in the keeper's unit.", field="lines__amount"),
        text("unit", "The keeper's unit.", field="lines__unit"),
        number("not_below_c", "degC", "No food under this water temperature."),
        number("less_below_c", "degC", "Less food under this water temperature."),
        number("less_share", "1", "Share of the amounts given then."),
        yes_no("pauses_in_winter", "True: no food while the enclosure is in winter rest."),
        *entered_columns(),
        text("note", "Free text."),
    ),
)

INSTRUCTIONS = Table(
    name="instructions",
    title="Instructions to whoever comes by on the round",
    model=Instruction,
    key=("entry",),
    columns=(
        entry(),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at("When it was given: a date, or a date and time with offset."),
        text("text", "What to do.", is_required=True),
        day("from_on", "Shown from.", is_required=True, may_be_later=True),
        day("to_on", "Shown to; empty: until it is done.", may_be_later=True),
        yes_no("is_done", "True: done."),
        *log_columns(),
    ),
)

ROUND_CHECKS = Table(
    name="round_checks",
    title="Looks on the round: head counts and anything odd",
    model=RoundCheck,
    key=("entry",),
    columns=(
        entry(),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        code("slot", "Which round."),
        whole("head_count", "", "Animals seen.", term="individualCount"),
        whole("n_expected", "", "Animals in the books then."),
        text("odd", "Anything odd, in words."),
        *log_columns(),
    ),
)

ROUND_SKIPS = Table(
    name="round_skips",
    title="Enclosures passed by on the round",
    model=RoundSkip,
    key=("entry",),
    columns=(
        entry(),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        code("slot", "Which round."),
        text("cause", "Why.", is_required=True),
        *log_columns(),
    ),
)
