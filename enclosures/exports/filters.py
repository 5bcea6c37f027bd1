"""Tables of filters as built: dated geometry, media, pumps and where they ran."""

from __future__ import annotations

from enclosures.exports.columns import code, day, entered_columns, number, text, whole, yes_no
from enclosures.exports.table import Table
from enclosures.models import Filter, FilterBuild, MediaLayer, Pump, PumpFitting

FILTERS = Table(
    name="filters",
    title="Filters",
    model=Filter,
    key=("filter",),
    columns=(
        code("filter", "The filter's code.", field="code", is_required=True),
        code("enclosure", "Whose water it cleans.", field="enclosure__code", term="locationID", is_required=True),
        code("kind", "How it works.", is_required=True),
        day("commissioned_on", "Running since; empty: since its first build."),
        day("retired_on", "Out of use from.", may_be_later=True),
        text("note", "Free text."),
    ),
)

FILTER_BUILDS = Table(
    name="filter_builds",
    title="Filters as built, dated",
    model=FilterBuild,
    key=("filter", "valid_from"),
    columns=(
        code("filter", "Which filter.", field="filter__code", is_required=True),
        day("valid_from", "Built so from this day.", is_required=True, may_be_later=True),
        number("chamber_area_m2", "m2", "Plan area of the chamber.", is_required=True),
        number("void_height_mm", "mm", "Height of the void, floor to underside of the grid.", is_required=True),
        number("usable_fraction", "1", "Share of the void where sludge can lie."),
        number("due_fill", "1", "Share of the void at which it is due; empty: the facility's."),
        number("baseline_flow_l_per_h", "L/h", "Flow when clean."),
        number("baseline_head_mm", "mm", "Head difference when clean."),
        number("chamber_length_mm", "mm", "Length of the chamber."),
        number("chamber_width_mm", "mm", "Width of the chamber."),
        number("water_over_media_mm", "mm", "Water over the media."),
        number("pipe_bore_mm", "mm", "Inside of the cleanout pipe."),
        whole("pipe_count", "", "Cleanout pipes."),
        number("pipe_top_mm", "mm", "Top of the pipe above the water."),
        number("grid_mm", "mm", "Thickness of the support grid."),
        number("floor_fall_mm_per_m", "mm/m", "Fall of the floor towards the pipe."),
        yes_no("has_weir", "True: it spills over a weir."),
        whole("baffle_count", "", "Baffles."),
        number("guard_opening_mm", "mm", "Opening of the intake guard."),
        yes_no("closes_disagreement", "True: it mends what made the signals disagree."),
        text("reason", "Why it was built or changed."),
    ),
)

MEDIA_LAYERS = Table(
    name="media_layers",
    title="Media of a build, counted from the grid upwards",
    model=MediaLayer,
    key=("filter", "valid_from", "position"),
    columns=(
        code("filter", "Which filter.", field="build__filter__code", is_required=True),
        day("valid_from", "Of the build of this day.", field="build__valid_from", is_required=True, may_be_later=True),
        whole("position", "", "1 lies on the grid.", is_required=True),
        code("material", "What it is."),
        number("grade_min_mm", "mm", "Smallest grain."),
        number("grade_max_mm", "mm", "Largest grain."),
        number("depth_mm", "mm", "Depth of the layer.", is_required=True),
        number("free_space", "1", "Share of the layer that is water."),
        number("area_m2_per_m3", "m2/m3", "Outer, usable surface."),
        yes_no("is_new", "True: new when it was laid."),
    ),
)

PUMPS = Table(
    name="pumps",
    title="Pumps",
    model=Pump,
    key=("pump",),
    columns=(
        code("pump", "Its label.", field="code", is_required=True),
        number("rated_l_per_h", "L/h", "Rated flow."),
        number("watts", "W", "Rated power."),
        text("serial", "Serial number."),
        text("note", "Free text."),
    ),
)

PUMP_FITTINGS = Table(
    name="pump_fittings",
    title="Which pump drove which filter, and when",
    model=PumpFitting,
    key=("pump", "filter", "from_on"),
    columns=(
        code("pump", "Which pump.", field="pump__code", is_required=True),
        code("filter", "Which filter.", field="filter__code", is_required=True),
        day("from_on", "Fitted on.", is_required=True),
        day("to_on", "Taken off on; empty: still on.", may_be_later=True),
        *entered_columns(),
        text("note", "Free text."),
    ),
)
