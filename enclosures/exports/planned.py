"""Tables of what is decided for days ahead."""

from __future__ import annotations

from enclosures.exports.columns import code, day, entry, log_columns, number, occurred_at, whole
from enclosures.exports.table import Column, Table
from enclosures.models import PlannedMove, PlannedSeason

DECIDED = "When it was decided: a date, or a date and time with offset."


def _state() -> Column:
    return code(
        "state", "ahead: still to come; done; off: called off. Each change is a row that supersedes the one before."
    )


PLANNED_MOVES = Table(
    name="planned_moves",
    title="Moves, arrivals and departures planned, one row an animal",
    model=PlannedMove,
    key=("entry", "mover"),
    part="movers",
    number="mover",
    columns=(
        entry(),
        code("from_enclosure", "Where they come from; empty: from outside the facility.", field="from_enclosure__code"),
        code("to_enclosure", "Where they are to go; empty: they leave the facility.", field="to_enclosure__code", term="locationID"),
        occurred_at(DECIDED),
        day("planned_on", "On about this day.", is_required=True, may_be_later=True),
        code("animal", "Which animal.", field="movers__animal__code", term="organismID", is_required=True),
        whole("mover", "", "1 for the first animal; 0: only a number is planned.", field="movers__position", is_said=False),
        whole("n_animals", "", "How many, where they are not named.", term="individualCount"),
        code("taxon", "What kind they are, where they are not named.", field="taxon__scientific_name", term="scientificName"),
        number("mass_g", "g", "What each is expected to weigh then, where no weighing says so."),
        _state(),
        *log_columns(),
    ),
)  # fmt: skip

PLANNED_SEASONS = Table(
    name="planned_seasons",
    title="Winter rests, drained spells and rests planned",
    model=PlannedSeason,
    key=("entry",),
    columns=(
        entry(),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(DECIDED),
        code("kind", "brumation: winter rest; drained: emptied of water; resting: without animals.", is_required=True),
        day("from_on", "First day.", is_required=True, may_be_later=True),
        day("to_on", "Last day; empty: until further notice.", may_be_later=True),
        _state(),
        *log_columns(),
    ),
)
