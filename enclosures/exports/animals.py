"""Tables of animals: what they are, what they are known by, where they were, what they weighed."""

from __future__ import annotations

from enclosures.exports.columns import (
    code,
    day,
    entered_columns,
    entry,
    instant,
    log_columns,
    moment,
    number,
    occurred_at,
    text,
    whole,
    yes_no,
)
from enclosures.exports.table import Table
from enclosures.models import Animal, Mark, Measurement, Stay, Taxon

TAXA = Table(
    name="taxa",
    title="Taxa, and what their care asks",
    model=Taxon,
    key=("taxon",),
    columns=(
        code("taxon", "Scientific name.", field="scientific_name", term="scientificName", is_required=True),
        text("author", "Author of the name.", term="scientificNameAuthorship"),
        text("common_name", "Name in plain words.", term="vernacularName"),
        number("feeding_stops_below_c", "degC", "No food below this water temperature."),
        yes_no("is_skin_sensitive", "True: prone to skin and shell trouble."),
        yes_no("brumates", "True: rests in winter."),
        whole("refusal_days", "d", "Days without food before somebody should look."),
        text("list_source", "The list the name is after.", term="nameAccordingTo"),
        text("note", "Free text."),
    ),
)

ANIMALS = Table(
    name="animals",
    title="Animals",
    model=Animal,
    key=("animal",),
    columns=(
        code("animal", "Its code, never used again.", field="code", term="organismID", is_required=True),
        code("taxon", "Scientific name.", field="taxon__scientific_name", term="scientificName", is_required=True),
        code("sex", "Sex.", term="sex"),
        day("hatched_from", "Hatched on this day or later."),
        day("hatched_to", "Hatched on this day or before; equal to hatched_from when known to the day."),
        code("origin", "Where it comes from.", term="establishmentMeans"),
        text("sex_basis", "How its sex is known."),
        text("dam_candidates", "Codes of possible mothers, parted by blanks."),
        text("sire_candidates", "Codes of possible fathers, parted by blanks."),
        text("parent_certainty", "How sure its parents are."),
        code("clutch", "The clutch it hatched from.", field="clutch__code"),
        code("program", "Program it belongs to."),
        text("program_number", "Its number in the program.", term="otherCatalogNumbers"),
        text("owner", "Who owns it."),
        text("held_by", "Who holds it."),
        code("merged_into", "The same animal's other code, which stays.", field="merged_into__code"),
        text("note", "Free text.", term="organismRemarks"),
    ),
)

MARKS = Table(
    name="marks",
    title="Marks by which animals are known",
    model=Mark,
    key=("animal", "kind", "value"),
    columns=(
        code("animal", "Which animal.", field="animal__code", term="organismID", is_required=True),
        code("kind", "Kind of mark: shell notch, microchip, paint, photo set …", is_required=True),
        text("scheme", "How a notch is read: without it the number means nothing later."),
        code("value", "What the mark says.", is_required=True),
        day("applied_on", "Applied on."),
        day("removed_on", "Removed or gone on."),
        text("note", "Free text."),
    ),
)

STAYS = Table(
    name="stays",
    title="Who was where, and when",
    model=Stay,
    key=("animal", "from_at"),
    columns=(
        code("animal", "Which animal.", field="animal__code", term="organismID", is_required=True),
        code("enclosure", "Where.", field="enclosure__code", term="locationID", is_required=True),
        moment(
            "from_at",
            "From: a date, or a date and time with offset.",
            fields=("from_at", "from_on", "from_offset_min", "from_precision"),
            term="eventDate",
            is_required=True,
        ),
        moment("to_at", "To; empty: still there.", fields=("to_at", "to_on", "to_offset_min", "to_precision")),
        text("reason", "Why it was put there."),
        *entered_columns(),
        instant("ended_entered_at", "When the end of the stay was entered.", is_said=False),
        text("note", "Free text."),
    ),
)

MEASUREMENTS = Table(
    name="measurements",
    title="Weights and lengths",
    model=Measurement,
    key=("entry",),
    columns=(
        entry(),
        code("animal", "Which animal.", field="animal__code", term="organismID", is_required=True),
        occurred_at(),
        number("mass_g", "g", "Mass."),
        number("scl_mm", "mm", "Straight carapace length."),
        number("plastron_mm", "mm", "Length of the plastron."),
        code("fed_state", "Whether it had eaten."),
        text("method", "How it was measured.", term="measurementMethod"),
        *log_columns(),
    ),
)
