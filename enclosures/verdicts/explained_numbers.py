"""The numbers behind a forecast, for whoever opens them: early, middle and late, what came in, chances, and what was taken for granted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from enclosures.estimates.units import quantity
from enclosures.forecast.daily_load import LEFT_SHARE
from enclosures.forecast.explained import Explained, Part
from enclosures.forecast.inputs import FilterEvidence, Outlook
from enclosures.verdicts.words import capital, day_words, percent_words

FOODS = {
    "pellet": "pellets",
    "insect": "insects",
    "worm": "worms",
    "fish": "fish",
    "crustacean": "crustaceans",
    "mollusc": "snails and mussels",
    "plant": "plants",
    "gel": "gel food",
    "other": "other food",
    "leftovers": "food left over",
    "gaps": "feed not logged, as assumed",
    "unlogged": "feed, guessed without a log",
}
SURROUNDINGS = {
    "none": "for a place without trees",
    "open": "for an open yard",
    "near": "for a place near trees",
    "canopy": "for a place under trees",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class NumberRow:
    """A row of the numbers: a term, and one value or three (early, middle, late)."""

    term: str
    values: tuple[str, ...]


def span_rows(explained: Explained, outlook: Outlook, today: date) -> tuple[NumberRow, ...]:
    """Early, middle and late: one in ten is before the first, one in ten after the last."""
    found = []
    if outlook.fill is not None:
        fill = (outlook.fill.p10, outlook.fill.p50, outlook.fill.p90)
        found.append(NumberRow(term="Fill today", values=tuple(percent_words(value) for value in fill)))
    for term, days in (("Due", outlook.due_on), ("Full to the grid", outlook.full_on)):
        if days is not None:
            three = (days.p10, days.p50, days.p90)
            found.append(NumberRow(term=term, values=tuple(_day_or_after(day, today) for day in three)))
    for term, litres in (
        ("Sludge per kg of dry feed after a year, here", explained.litres_per_kg),
        ("the same before any reading", explained.usual_litres_per_kg),
    ):
        if litres is not None:
            three_l = (litres.p10, litres.p50, litres.p90)
            found.append(NumberRow(term=term, values=tuple(quantity(value, "L") for value in three_l)))
    return tuple(found)


def _day_or_after(day: date | None, today: date) -> str:
    if day is None:
        return "later than three years"
    return "now" if day <= today else day_words(day, today - timedelta(days=365))  # with its year


def part_rows(explained: Explained, evidence: FilterEvidence) -> tuple[NumberRow, ...]:
    """What came in since it was emptied, by dry solids, largest first."""
    return tuple(
        NumberRow(term=capital(_part_name(part, evidence)), values=(_share(part.share),)) for part in explained.parts
    )


def number_rows(outlook: Outlook) -> tuple[NumberRow, ...]:
    found = [
        NumberRow(term=f"Chance to be due within {days} days", values=(_share(chance),))
        for days, chance in outlook.chance_due_within
    ]
    fed = f"{quantity(outlook.feed_g_per_day, 'g')} dry a day" if outlook.feed_g_per_day else "none on record"
    found.append(NumberRow(term="Feed of the last 28 days", values=(fed,)))
    if outlook.model_version:
        found.append(NumberRow(term="Model", values=(outlook.model_version,)))
    return tuple(found)


def _part_name(part: Part, evidence: FilterEvidence) -> str:
    if part.name == "litter":
        return "plants, dust, shed film" if evidence.is_indoor else "leaves and what blows in"
    return FOODS.get(part.name, part.name)


def _share(share: float) -> str:
    """Never quite nothing and never quite all."""
    if 0 < share < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < share < 1 else percent_words(share)


def assumed_words(explained: Explained, outlook: Outlook, evidence: FilterEvidence) -> tuple[str, ...]:
    """What was taken for granted where nothing is on record."""
    said = []
    if evidence.litter_g_m2_year is not None:
        said.append(
            f"Leaves as entered for this place: {quantity(evidence.litter_g_m2_year, 'g')} dry per m² and year."
        )
    elif not evidence.is_indoor:
        said.append(f"Leaves: the usual amount {SURROUNDINGS[evidence.litter_level]}.")
    if explained.feed.offered_kg:
        said.append("Feed goes on as in the last year, with the season and the animals’ growth.")
        said.append(f"Where nobody noted what was eaten, {percent_words(LEFT_SHARE[''])} is taken as left over.")
    if evidence.assumed_feed_share > 0:
        said.append(
            f"{_share(evidence.assumed_feed_share).capitalize()} of the last year’s feed has a usual recipe, not its own."
        )
    if evidence.feed_share < 1:
        said.append(
            f"The enclosure has other filters: {percent_words(evidence.feed_share)} of its feed and leaves is counted here."
        )
    if not evidence.temperatures:
        usual = f"{quantity(evidence.room_temp_c, '°C')} as in the room" if evidence.is_indoor else "the month’s usual"
        said.append(f"No water temperature is on record: {usual} is taken.")
    return tuple(said)
