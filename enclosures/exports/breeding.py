"""Tables of clutches and eggs."""

from __future__ import annotations

from enclosures.exports.columns import code, day, entered_columns, number, text, whole
from enclosures.exports.table import Table
from enclosures.models import Clutch, Egg

CLUTCHES = Table(
    name="clutches",
    title="Clutches",
    model=Clutch,
    key=("clutch",),
    columns=(
        code("clutch", "Its code.", field="code", is_required=True),
        code("taxon", "Scientific name.", field="taxon__scientific_name", term="scientificName"),
        text("dam_candidates", "Codes of possible mothers, parted by blanks."),
        text("sire_candidates", "Codes of possible fathers, parted by blanks."),
        day("laid_on", "Laid on."),
        day("found_on", "Found on."),
        text("place", "Where."),
        whole("n_eggs", "", "Eggs in it."),
        number("incubation_temp_c", "degC", "Incubated at."),
        *entered_columns(),
        text("note", "Free text."),
    ),
)

EGGS = Table(
    name="eggs",
    title="Eggs",
    model=Egg,
    key=("clutch", "number"),
    columns=(
        code("clutch", "Which clutch.", field="clutch__code", is_required=True),
        whole("number", "", "Its number in the clutch.", is_required=True),
        number("mass_g", "g", "Mass when found."),
        number("length_mm", "mm", "Length."),
        number("width_mm", "mm", "Width."),
        code("outcome", "What became of it."),
        day("outcome_on", "When that was known."),
        code("animal", "The animal that hatched from it.", field="animal__code", term="organismID"),
        text("note", "Free text."),
    ),
)
