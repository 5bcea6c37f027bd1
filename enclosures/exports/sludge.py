"""Tables of what is learnt of the void and done to it."""

from __future__ import annotations

from enclosures.exports.columns import code, entry, log_columns, number, occurred_at, text, whole, yes_no
from enclosures.exports.table import Column, Table
from enclosures.models import Cleanout, FlowCheck, Sounding, Upkeep


def _filter() -> Column:
    return code("filter", "Which filter.", field="filter__code", is_required=True)


SOUNDINGS = Table(
    name="soundings",
    title="Soundings of the void, one row a reading",
    model=Sounding,
    key=("entry", "reading"),
    part="readings",
    number="reading",
    columns=(
        entry(),
        _filter(),
        occurred_at(),
        number("depth_mm", "mm", "Depth of the sludge.", field="readings__depth_mm", is_required=True),
        code("qualifier", "Empty: as read; >= rod at the grid; <= below the mark.", field="readings__qualifier"),
        whole("reading", "", "1 for the first reading; 0: the entry has none.", field="readings__position", is_said=False),
        text("point", "Where it was sounded."),
        code("method", "How it was sounded."),
        number("pump_off_min", "min", "How long the pump had been off."),
        whole("first_draw", "", "First draw: 0 clear, 1 tea, 2 brown, 3 black soup, 4 black with gas."),
        whole("odour", "", "Smell at the pipe: 0 none, 1 earthy, 2 musty, 3 rotten egg."),
        *log_columns(),
    ),
)  # fmt: skip

FLOW_CHECKS = Table(
    name="flow_checks",
    title="Flow checks",
    model=FlowCheck,
    key=("entry",),
    columns=(
        entry(),
        _filter(),
        occurred_at(),
        number("flow_l_per_h", "L/h", "Flow at the return."),
        number("head_difference_mm", "mm", "Head difference over the bed."),
        number("level_over_media_mm", "mm", "Level, plus or minus from the painted mark."),
        whole("odour", "", "Smell at the pipe: 0 none, 1 earthy, 2 musty, 3 rotten egg."),
        number("litres", "L", "The bucket."),
        number("seconds", "s", "Time to fill the bucket."),
        code("return_water", "How the returning water looked."),
        *log_columns(),
    ),
)

CLEANOUTS = Table(
    name="cleanouts",
    title="Cleanouts: sludge taken out of the void",
    model=Cleanout,
    key=("entry",),
    columns=(
        entry(),
        _filter(),
        occurred_at(),
        code("outcome", "How far it got.", is_required=True),
        number("depth_before_mm", "mm", "Depth before."),
        number("depth_after_mm", "mm", "Depth after; empty: not measured."),
        number("slurry_l", "L", "Slurry taken out; empty: not measured."),
        code("depth_before_qualifier", "Empty: as read; >= rod at the grid; <= below the mark."),
        code("stage", "Begun, or finished; until it is finished the sludge counts as still there."),
        text("cause", "Why now."),
        code("slurry_known_by", "How the slurry was measured."),
        number("minutes", "min", "How long it took."),
        text("people", "Who did it."),
        number("pump_off_min", "min", "How long the pump was off."),
        number("flow_before_l_per_h", "L/h", "Flow before."),
        number("flow_after_l_per_h", "L/h", "Flow after."),
        number("head_before_mm", "mm", "Head difference before."),
        number("head_after_mm", "mm", "Head difference after."),
        number("water_replaced_l", "L", "Water replaced."),
        whole("first_draw", "", "First draw: 0 clear, 1 tea, 2 brown, 3 black soup, 4 black with gas."),
        whole("odour", "", "Smell: 0 none, 1 earthy, 2 musty, 3 rotten egg."),
        text("colour", "Colour of the sludge."),
        text("consistency", "How thick it was."),
        yes_no("media_disturbed", "True: the media were moved."),
        text("sludge_to", "Where the sludge went."),
        text("found", "What was found in it."),
        yes_no("safety_ticked", "True: hygiene and electric checks were done."),
        *log_columns(),
    ),
)

UPKEEP = Table(
    name="upkeep",
    title="Upkeep around the void",
    model=Upkeep,
    key=("entry",),
    columns=(
        entry(),
        _filter(),
        occurred_at(),
        code("kind", "What was done.", is_required=True),
        whole("fullness", "", "How full or dirty it was, 0 to 4."),
        number("minutes", "min", "How long it took."),
        text("parts", "Parts used."),
        *log_columns(),
    ),
)
