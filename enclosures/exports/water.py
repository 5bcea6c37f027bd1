"""Tables of water tests, their kits, and water changes."""

from __future__ import annotations

from enclosures.exports.columns import code, entry, log_columns, number, numbers, occurred_at, text, whole, yes_no
from enclosures.exports.table import Table
from enclosures.models import TestKit, WaterChange, WaterTest

TEST_KITS = Table(
    name="test_kits",
    title="Test kits, and what their figures are expressed as",
    model=TestKit,
    key=("kit",),
    columns=(
        code("kit", "Its code.", field="code", is_required=True),
        text("name", "Its name."),
        code("analyte", "What it tests.", is_required=True),
        code("reports_as", "What its figure is expressed as: N, NH3, NH4, NO2, NO3, CaCO3, dKH."),
        code("unit", "Its unit."),
        numbers("steps", "", "The colour steps of a drops kit, parted by blanks."),
        number("lower", "", "The least it can tell."),
        number("upper", "", "The most it can tell."),
        yes_no("is_retired", "True: no longer used."),
    ),
)

WATER_TESTS = Table(
    name="water_tests",
    title="Water tests, one row a reading",
    model=WaterTest,
    key=("entry", "reading"),
    part="readings",
    number="reading",
    columns=(
        entry(),
        code("enclosure", "Which water.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        code("place", "Where the sample was taken."),
        code(
            "analyte", "What was read.", field="readings__analyte", term="measurementType", is_required=True
        ),
        number("value", "", "As read.", field="readings__value", term="measurementValue", is_required=True),
        code("qualifier", "Empty: as read; < less than; > more than.", field="readings__qualifier"),
        code("unit", "Unit of the value as read.", field="readings__unit", term="measurementUnit", is_required=True),
        code("expressed_as", "What the value is expressed as: N, NH3, NH4, NO2, NO3, CaCO3 …", field="readings__expressed_as"),
        code("kit", "The kit it was read with.", field="readings__kit", term="measurementMethod"),
        whole("reading", "", "1 for the first reading; 0: the entry has none.", field="readings__position", is_said=False),
        number(
            "canonical",
            "",
            "degC, pH, mg/L as N (TAN, nitrite), mg/L as NO3 (nitrate), mg/L as CaCO3 (kh), mg/L, g/L; "
            "empty: it is not known what the value is expressed as.",
            field="readings__canonical",
            is_said=False,
        ),
        *log_columns(),
    ),
)  # fmt: skip

WATER_CHANGES = Table(
    name="water_changes",
    title="Water changes",
    model=WaterChange,
    key=("entry",),
    columns=(
        entry(),
        code("enclosure", "Which water.", field="enclosure__code", term="locationID", is_required=True),
        occurred_at(),
        number("volume_l", "L", "Changed.", is_required=True),
        text("source", "Where the new water came from."),
        text("conditioner", "What was added to it."),
        number("temp_difference_c", "degC", "New water minus old."),
        text("cause", "Why it was changed."),
        *log_columns(),
    ),
)
