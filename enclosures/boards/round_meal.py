"""The meal a stop of the round asks for: season first, then the plan, then what was usual; water may hold it back or make it less."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from enclosures.boards.entry_words import WEEKDAYS, food_words
from enclosures.boards.round_facts import PlaceFacts
from enclosures.estimates.units import recorded_quantity
from enclosures.models import FeedingPlan, FoodItem, SeasonKind, Slot
from enclosures.verdicts.rhythm import usual_on
from enclosures.verdicts.words import day_words

What = Literal["feed", "hold", "look"]
WATER_COUNTS_DAYS = 7
NO_FOOD = {SeasonKind.BRUMATION: "winter rest", SeasonKind.DRAINED: "drained", SeasonKind.RESTING: "resting"}
SLOT_WORDS = {Slot.MORNING: "this morning", Slot.EVENING: "this evening"}


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedFood:
    """One food to offer: an amount in the keeper's unit, or grams (`unit` empty)."""

    food_item: FoodItem
    amount: float | None
    unit: str
    offered_g: float

    @property
    def value(self) -> str:
        """As the form sends it back: food|amount|unit."""
        amount = self.amount if self.unit and self.amount is not None else self.offered_g
        return f"{self.food_item.pk}|{amount:.6g}|{self.unit}"


@dataclass(frozen=True, slots=True)
class RoundMeal:
    what: What
    plan: str
    foods: tuple[PlannedFood, ...] = ()
    why: str = ""
    remarks: tuple[str, ...] = ()


def meal_of(each: PlaceFacts, *, day: date, slot: str) -> RoundMeal:
    """Season first, then the plan, then what was usual; water may hold it back or make it less."""
    if each.season is not None and not any(not plan.pauses_in_winter for plan in each.plans):
        kind = NO_FOOD[SeasonKind(each.season.kind)]
        remark = "Look, temperature; leave them be" if kind == "winter rest" else "Look, count"
        return RoundMeal("look", f"No food: {kind}", remarks=(remark,))
    own = _in_force(each.own_plans, day=day, slot=slot)
    guests = [plan for plan in each.plans if plan.animal_id and plan.slot == slot and plan.is_for(day)]
    if own is not None or guests:
        return _planned(each, own, guests, day=day)
    if each.plans:
        return RoundMeal(
            "look", f"No food {SLOT_WORDS[Slot(slot)]}", remarks=(_next_meal(each.plans, day=day, slot=slot),)
        )
    return _usual(each, day=day, slot=slot)


def _in_force(plans: Sequence[FeedingPlan], *, day: date, slot: str) -> FeedingPlan | None:
    return next((plan for plan in plans if plan.slot == slot and plan.is_for(day)), None)


def _planned(each: PlaceFacts, own: FeedingPlan | None, guests: list[FeedingPlan], *, day: date) -> RoundMeal:
    first = own or guests[0]
    stop = first.not_below_c if first.not_below_c is not None else each.feeding_stops_below_c
    temp_c = _known_temp_c(each, day)
    if held := _held_back(stop, temp_c):
        return held
    is_less = temp_c is not None and first.less_below_c is not None and temp_c < first.less_below_c
    share = first.less_share if is_less else 1.0
    foods = tuple(_scaled(line, share) for line in own.lines.all()) if own is not None else ()
    words = [food_words(food) for food in foods]  # type: ignore[arg-type]
    for plan in guests:
        extra = tuple(_scaled(line, share) for line in plan.lines.all())
        foods += extra
        words.append(f"for {plan.animal.code}: {', '.join(food_words(food) for food in extra)}")  # type: ignore[arg-type,union-attr]
    remarks = [f"Less food: {_degrees(temp_c)}"] if is_less and temp_c is not None else []
    if first.less_below_c is not None and temp_c is None:
        remarks.append("Water not measured for a week: measure first")
    return RoundMeal("feed", ", ".join(words), foods=foods, remarks=tuple(remarks))


def _usual(each: PlaceFacts, *, day: date, slot: str) -> RoundMeal:
    fed_on = [meal.on for meal in each.meals if meal.slot == slot]
    if each.same_meal is None:
        return RoundMeal("look", "No plan yet")
    if not usual_on(fed_on, day):
        return RoundMeal("look", f"No food {SLOT_WORDS[Slot(slot)]}", remarks=("No plan; not usual on this day",))
    if held := _held_back(each.feeding_stops_below_c, _known_temp_c(each, day)):
        return held
    foods = tuple(
        PlannedFood(food_item=line.food_item, amount=line.amount, unit=line.unit, offered_g=line.offered_g)
        for line in each.same_meal.lines.all()
    )
    on = each.same_meal.occurred_on
    words = ", ".join(food_words(food) for food in foods)  # type: ignore[arg-type]
    return RoundMeal(
        "feed", words, foods=foods, remarks=(f"No plan: as on {WEEKDAYS[on.weekday()]} {day_words(on, day)}",)
    )


def _held_back(stop_c: float | None, temp_c: float | None) -> RoundMeal | None:
    if stop_c is None or temp_c is None or temp_c >= stop_c:
        return None
    words = f"No food: water under {recorded_quantity(stop_c, '°C')}"
    return RoundMeal("hold", words, why="water too cold", remarks=(f"Count, look: {_degrees(temp_c)}",))


def _known_temp_c(each: PlaceFacts, day: date) -> float | None:
    if each.water is None or (day - each.water[0]).days > WATER_COUNTS_DAYS:
        return None
    return each.water[1]


def _scaled(line: Any, share: float) -> PlannedFood:
    """Less of it in the steps a keeper can give: whole pieces where there are several, quarters of a scoop or cube."""
    if share == 1 or line.amount is None or not line.unit:
        grams = line.offered_g * share
        return PlannedFood(
            food_item=line.food_item,
            amount=line.amount if share == 1 else None,
            unit=line.unit if share == 1 else "",
            offered_g=line.offered_g if share == 1 else round(grams, 1 if grams < 10 else 0),
        )
    step = 1 if line.amount >= 3 and line.amount == int(line.amount) else 0.25
    amount = max(step, round(line.amount * share / step) * step)
    grams = line.offered_g / line.amount * amount
    return PlannedFood(food_item=line.food_item, amount=amount, unit=line.unit, offered_g=grams)


def _next_meal(plans: Iterable[FeedingPlan], *, day: date, slot: str) -> str:
    """'Evening meal today', 'Next on Mon'."""
    plans = list(plans)
    if slot == Slot.MORNING and any(plan.slot == Slot.EVENING and plan.is_for(day) for plan in plans):
        return "Evening meal today"
    following = [on for plan in plans if (on := plan.next_on(day + timedelta(days=1))) is not None]
    if not following:
        return ""
    ahead = (min(following) - day).days
    weekday = WEEKDAYS[min(following).weekday()]
    if ahead == 1:
        return "Next tomorrow"
    return f"Next on {weekday}" if ahead < 7 else f"Next on {weekday} {day_words(min(following), day)}"


def has_meal(each: PlaceFacts, *, day: date, slot: str) -> bool:
    if each.plans:
        return any(plan.slot == slot and plan.is_for(day) for plan in each.plans) and each.season is None
    return each.same_meal is not None and usual_on([meal.on for meal in each.meals if meal.slot == slot], day)


def _degrees(temp_c: float) -> str:
    return recorded_quantity(round(temp_c), "°C")
