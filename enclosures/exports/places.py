"""Tables of the facility, its enclosures, and the spells in which an enclosure is different."""

from __future__ import annotations

from enclosures.exports.columns import code, day, entered_columns, number, numbers, text, whole, yes_no
from enclosures.exports.table import Table
from enclosures.models import Enclosure, Facility, Season

FACILITY = Table(
    name="facility",
    title="The facility",
    model=Facility,
    key=("code",),
    columns=(
        text("name", "Its name."),
        code("code", "Short code, the prefix of its labels."),
        code("time_zone", "Time zone, like Europe/Paris: days are this zone's days."),
        number("default_due_fill", "1", "Share of a void at which it is due, where its build does not say."),
        text("public_region", "Where it is, safe to publish."),
        text("address", "Where it is; stays at home."),
        yes_no("is_southern", "True: in the southern hemisphere."),
        number("room_temp_c", "degC", "Usual indoor water temperature."),
        numbers("monthly_temp_c", "degC", "Usual outdoor water temperature, January to December, parted by blanks."),
        code("temperature_unit", "Unit in which pages show temperatures; the package is always in degC."),
    ),
)

ENCLOSURES = Table(
    name="enclosures",
    title="Enclosures: tubs, tanks and ponds",
    model=Enclosure,
    key=("enclosure",),
    columns=(
        code("enclosure", "What the label on it says.", field="code", term="locationID", is_required=True),
        text("name", "Its name."),
        code("kind", "What it is.", is_required=True),
        yes_no("indoor", "True: under a roof and heated by the room.", is_required=True),
        number("water_volume_l", "L", "Water it holds.", is_required=True),
        number("surface_m2", "m2", "Water surface."),
        code("litter_level", "Trees around it."),
        number("litter_g_m2_year", "g/m2/year", "Dry leaf litter; overrides litter_level."),
        number("depth_mm", "mm", "Water depth."),
        whole("round_order", "", "Its place on the round."),
        number("target_low_c", "degC", "Water from."),
        number("target_high_c", "degC", "Water to."),
        yes_no("has_deep_vault", "True: its pump stands in a vault deeper than 1.2 m."),
        day("closed_on", "Out of use from.", may_be_later=True),
        text("note", "Free text."),
    ),
)

SEASONS = Table(
    name="seasons",
    title="Seasons: active, winter rest, drained, resting",
    model=Season,
    key=("enclosure", "kind", "from_on"),
    columns=(
        code("enclosure", "Which enclosure.", field="enclosure__code", term="locationID", is_required=True),
        code(
            "kind",
            "active: lived in and fed; brumation: winter rest; drained: emptied of water; resting: without animals.",
            is_required=True,
        ),
        day("from_on", "First day.", is_required=True, may_be_later=True),
        day("to_on", "Last day; empty: still so.", may_be_later=True),
        *entered_columns(),
        text("note", "Free text."),
    ),
)
