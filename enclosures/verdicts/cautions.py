"""Cautions beside work that can hurt someone: one line each, seen once an event, no scolding. Data; a facility edits the words.

They are the usual cautions of the trade and no more: local electrical and building codes, licensed practice, and a
veterinarian come first, and each says so where it applies.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Situation = Literal[
    "sounding", "flow check", "cleanout", "upkeep", "build", "water change", "cycling", "outage", "booking", "round",
    "welcome", "move", "clutch", "transfer", "alert", "health note", "forecast", "limits", "quarantine",
    "treatment",
]  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Caution:
    """`title` is what to do, `sentence` the line under it; `defers_to` names who knows better, empty where nobody does."""

    key: str
    title: str
    sentence: str
    defers_to: str = ""

    @property
    def text(self) -> str:
        return f"{self.sentence} {self.defers_to}".strip()


CODES = "Local electrical code and a licensed electrician come first."
RULES = "Local rules come first."
VET = "A veterinarian decides, not this page."
DOCTOR = "See a doctor about it, and say “aquatic animals”."
AUTHORITY = "The authority that gave the permit decides."

CAUTIONS: Mapping[str, Caution] = {
    c.key: c
    for c in (
        Caution(
            key="electric", title="Unplug first",
            sentence="Pump, heater and lights, before hands or hose go in. RCD/GFCI outlet only, its button tried monthly; "
            "plugs higher than the water, no joints on wet ground, dry shoes.",
            defers_to=CODES,
        ),
        Caution(
            key="wet vac", title="The wet vac",
            sentence="Rated for liquids, paper filter out, float working, standing where it cannot fall in. Stop at three "
            "quarters: 20 L of slurry is over 20 kg plus the machine. Empty it downwind, with mask and eye cover.",
        ),
        Caution(
            key="germs", title="Gloves; soap after",
            sentence="Every turtle, tank, tool and bucket can carry Salmonella with no sign. Cover cuts, no food or drink, "
            "never a kitchen sink. Under-fives, and pregnant or immune-weak people, stay out of this job.",
            defers_to=f"A cut that turns red: {DOCTOR[0].lower()}{DOCTOR[1:]}",
        ),
        Caution(
            key="gas", title="Rotten-egg smell?",
            sentence="Step back and air it. Do not lean into the vault; the nose goes numb before the danger is over.",
            defers_to="A pit you can climb into is a confined space: not alone, and only with trained people and a gas meter.",
        ),
        Caution(
            key="first flush", title="First water to waste",
            sentence="After more than two hours without flow the void has no oxygen: send the first water to waste before "
            "it reaches animals. No food for a day, test TAN and nitrite on the next two.",
        ),
        Caution(
            key="bed", title="Keep the bed wet",
            sentence="No drying out, no tap water over it, pump off less than an hour. Do not empty the void and wash the "
            "bed on one day.",
        ),
        Caution(
            key="heat", title="Over 28 °C",
            sentence="Aerate first, work at dawn, pump off no more than half an hour.",
        ),
        Caution(
            key="chemicals", title="Chemicals",
            sentence="Dechlorinate top-ups. Never mix bleach and acid; rinse and neutralise. No copper, salt or algae killer "
            "with turtles; ammonium chloride only where no animal lives. Label every bottle.",
            defers_to="The label and safety sheet come first.",
        ),
        Caution(
            key="disposal", title="Where the sludge goes",
            sentence="Not into storm drains, streams or ponds: it spreads plants, snails and disease. On soil, away from "
            "wells, water and salad beds; quarantine sludge disinfected or binned.",
            defers_to=RULES,
        ),
        Caution(
            key="biosecurity", title="Quarantine last",
            sentence="Its own tools, its own vac. Seed media only from cleared filters. Bleach needs its contact time, and "
            "dirt spoils it.",
            defers_to=VET,
        ),
        Caution(
            key="cold", title="Under 12 °C",
            sentence="Leave them be until April: they are settling for winter or resting.",
        ),
        Caution(key="nesting", title="Nesting", sentence="Leave ponds with nesting females be until the middle of July."),
        Caution(key="eggs", title="Eggs", sentence="Keep the mark up; no turning."),
        Caution(
            key="handling", title="Count before closing",
            sentence="Musk turtles bite and climb. Look for hatchlings in bucket and hose basket.",
        ),
        Caution(
            key="size", title="Under four inches",
            sentence="In the USA eggs and turtles under 4 in (102 mm) may not be sold or commercially distributed, with "
            "exceptions (21 CFR 1240.62); other places differ.",
            defers_to=AUTHORITY,
        ),
        Caution(
            key="permit", title="Permits",
            sentence="Look at permit dates and the destination before animals leave.",
            defers_to=AUTHORITY,
        ),
        Caution(
            key="vet", title="When to call",
            sentence="No food past the limit, a tenth of its mass lost, a change of shell or eye, swimming tilted, straining, "
            "injury, two deaths in thirty days.",
            defers_to="This page does not diagnose: call the veterinarian.",
        ),
        Caution(
            key="medicine", title="As it was ordered",
            sentence="The page keeps what was ordered and what was given; it knows no medicine, dose or interval and checks "
            "none. Read the label, gloves where it says so, wash hands after; a slip or an odd reaction: stop and call.",
            defers_to=VET,
        ),
        Caution(
            key="numbers", title="Estimates",
            sentence="Forecasts are estimates; a rod is better.",
        ),
        Caution(
            key="limits", title="Husbandry limits",
            sentence="Water limits here are husbandry limits, not toxicity limits.",
            defers_to=VET,
        ),
        Caution(
            key="two people", title="Two people",
            sentence="The pond is deeper than 0.6 m, and 20 L of slurry weighs over 20 kg. Tell someone where you are.",
        ),
        Caution(
            key="heavy", title="Stone and glass are heavy",
            sentence="A wet bed weighs about 1.5 kg a litre, water 1 kg. Lift with two, and put nothing on a stand or shelf "
            "that was not made for it.",
            defers_to="A builder or engineer decides what a floor or roof can carry.",
        ),
    )
}  # fmt: skip

ALWAYS: Mapping[Situation, tuple[str, ...]] = {
    "sounding": ("electric", "germs"),
    "flow check": ("electric", "germs"),
    "cleanout": ("electric", "wet vac", "germs", "bed", "handling", "disposal"),
    "upkeep": ("electric", "germs", "bed"),
    "build": ("electric", "heavy"),
    "water change": ("germs",),
    "cycling": ("chemicals", "biosecurity"),
    "outage": ("electric", "first flush"),
    "booking": (),
    "round": ("germs",),
    "welcome": ("electric", "germs", "numbers"),
    "move": ("handling", "germs"),
    "clutch": ("eggs", "germs"),
    "transfer": ("permit",),
    "alert": ("vet",),
    "health note": ("vet",),
    "forecast": ("numbers",),
    "limits": ("limits",),
    "quarantine": ("biosecurity", "chemicals"),
    "treatment": ("medicine",),
}
POND_WORK: frozenset[Situation] = frozenset({"cleanout", "upkeep", "build", "booking"})
AT_THE_PIPE: frozenset[Situation] = frozenset({"sounding", "flow check", "cleanout", "upkeep", "outage"})
DEEP_MM = 600.0
FOUR_INCHES_MM = 4 * 25.4
BIG_CHANGE_SHARE = 0.10


def cautions_for(
    situation: Situation,
    *,
    odour: int | None = None,
    has_deep_vault: bool = False,
    water_depth_mm: float | None = None,
    water_temp_c: float | None = None,
    is_quarantine: bool = False,
    is_nesting_season: bool = False,
    pump_off_h: float | None = None,
    change_share: float | None = None,
    smallest_scl_mm: float | None = None,
) -> tuple[Caution, ...]:
    """What to say for one piece of work, in the order of doing it. What is not known is taken as not there."""
    keys = list(ALWAYS[situation])
    if situation in AT_THE_PIPE and (has_deep_vault or (odour is not None and odour >= 2)):
        keys.insert(1, "gas")
    if situation in POND_WORK and water_depth_mm is not None and water_depth_mm > DEEP_MM:
        keys.insert(1, "two people")
    if pump_off_h is not None and pump_off_h > 2 and "first flush" not in keys:
        keys.append("first flush")
    if situation in ("cleanout", "booking") and water_temp_c is not None:
        keys += ["cold"] if water_temp_c < 12 else ["heat"] if water_temp_c > 28 else []
    if situation in ("cleanout", "booking") and is_nesting_season:
        keys.append("nesting")
    if situation == "water change" and change_share is not None and change_share > BIG_CHANGE_SHARE:
        keys.append("chemicals")
    if is_quarantine and "biosecurity" not in keys:
        keys.append("biosecurity")
    if situation == "transfer" and smallest_scl_mm is not None and smallest_scl_mm < FOUR_INCHES_MM:
        keys.append("size")
    return tuple(CAUTIONS[key] for key in keys)
