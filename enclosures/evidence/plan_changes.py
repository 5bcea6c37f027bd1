"""Feeding plans that change the feed ahead.

The forecast goes by what was fed, never by what was planned: a plan nobody follows must not move it. Only a *change* decided for days ahead
is news the log cannot have yet. So a plan counts when it begins after the day, as a factor on the feed that is logged:

- the change is from the plan in force the day before it begins to the one that begins, in dry grams a day; seasons, rest days and
  refusals then cancel out. Set against what was really fed (indoors the last four weeks; outdoors the best four weeks of the last year,
  for in autumn everybody is fed less than planned) it may say less, and then the smaller change counts: a plan brought into line with
  what is fed anyway changes nothing. Where the two point apart, nothing is counted. Without a plan before, only the feed itself is
  there to compare with, and only indoors.
- up to a quarter more or less is the ordinary setting anew of amounts for animals that grow, which the forecast expects anyway.
- a plan that begins within a fortnight of a move here, made or planned, is that move's consequence, which is counted by mass.
- from the day it begins the log speaks for itself, but the forecast hears it only slowly. So for four weeks the change goes on counting,
  less each day; after a week only if the log has gone at least half the way.

As known on the day as far as plans tell: a plan not yet begun is rewritten in place, and one ended keeps no day of having been ended.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from math import exp, log

from django.db.models import Prefetch, Q

from enclosures.estimates.feed import composition_from_class, dry_g
from enclosures.evidence.known import AsOf
from enclosures.evidence.meals import Meals
from enclosures.evidence.planned import Ahead
from enclosures.evidence.stock import Residents
from enclosures.forecast.inputs import FeedPortion, PlannedChange
from enclosures.forecast.sureness import day_words
from enclosures.models import Enclosure, FeedingPlan, FeedingPlanLine

FED_DAYS = 28
LEAST_MEALS = 4  # within FED_DAYS, to say what is fed
ORDINARY = log(1.25)  # a setting anew within this is growth: common practice, no source
STOCK_DAYS = 14
FOLLOWED_AFTER_DAYS, FOLLOWED_SHARE = 7, 0.5
YEAR_DAYS = 365


def load_plan_changes(
    places: Collection[Enclosure],
    *,
    meals: Mapping[int, Meals],
    residents: Mapping[int, Residents],
    ahead: Mapping[int, Ahead],
    as_of: AsOf,
) -> dict[int, tuple[PlannedChange, ...]]:
    """By enclosure id; nothing for those whose plans stay as they are. Three queries where there are plans."""
    at_home = {animal.pk: place.pk for place in places for animal in residents[place.pk].present}
    since = as_of.day - timedelta(days=FED_DAYS)
    lines = Prefetch(
        "lines", FeedingPlanLine.objects.select_related("food_item").prefetch_related("food_item__compositions")
    )
    plans = (
        FeedingPlan.objects.filter(Q(enclosure__in=[place.pk for place in places]) | Q(animal__in=list(at_home)))
        .filter(Q(to_on__isnull=True) | Q(to_on__gte=since - timedelta(days=1)))
        .prefetch_related(lines)
        .newest_first()
    )
    by_place: dict[int, list[FeedingPlan]] = defaultdict(list)
    for plan in plans:
        if as_of.had_been_entered(plan.entered_at):
            by_place[plan.enclosure_id or at_home[plan.animal_id]].append(plan)  # type: ignore[index]
    return {
        place.pk: tuple(
            _changes(
                by_place[place.pk], meals[place.pk].portions, place, residents[place.pk], ahead[place.pk], as_of=as_of
            )
        )
        for place in places
        if by_place[place.pk]
    }


def _changes(
    plans: Sequence[FeedingPlan],
    portions: Sequence[FeedPortion],
    place: Enclosure,
    residents: Residents,
    ahead: Ahead,
    *,
    as_of: AsOf,
) -> list[PlannedChange]:
    today = as_of.day
    fed = _usual_feed_g(portions, today=today, is_indoor=place.indoor)
    found = []
    for begins in sorted({plan.from_on for plan in plans if plan.from_on > today - timedelta(days=FED_DAYS)}):
        change = _log_change(plans, begins, fed=fed, is_indoor=place.indoor)
        if abs(change) <= ORDINARY or _stock_changes_near(begins, residents, ahead):
            continue
        if begins <= today:
            weight = _still_to_learn(change, portions, begins=begins, today=today)
            if weight > 0:
                found.append(_change(change * weight, on=today + timedelta(days=1), note=_begun_words(change, begins)))
            continue
        found.append(_change(change, on=begins, note=_ahead_words(change, begins)))
        fed = None if fed is None else fed * exp(change)
    return found


def _log_change(plans: Sequence[FeedingPlan], begins: date, *, fed: float | None, is_indoor: bool) -> float:
    """Log of the new plan over what went before; 0 where that says nothing, or where plan and log point apart."""
    before, after = _planned_g(plans, begins - timedelta(days=1)), _planned_g(plans, begins)
    if after <= 0:
        return 0.0
    against_fed = log(after / fed) if fed else None
    if before <= 0:
        return against_fed if against_fed is not None and is_indoor else 0.0
    change = log(after / before)
    if against_fed is None:
        return change
    if change * against_fed <= 0:
        return 0.0
    return min(change, against_fed, key=abs)


def _planned_g(plans: Sequence[FeedingPlan], day: date) -> float:
    """Dry grams a day, on the average of its rhythm; of two plans for one meal the one that began later counts. `plans`: newest first."""
    total, counted = 0.0, set()
    for plan in plans:
        meal = (plan.enclosure_id, plan.animal_id, plan.slot)
        if plan.from_on <= day and (plan.to_on is None or plan.to_on >= day) and meal not in counted:
            counted.add(meal)
            total += _share_of_days(plan) * sum(_dry_g(line, day) for line in plan.lines.all())
    return total


def _share_of_days(plan: FeedingPlan) -> float:
    return 1.0 / plan.every_days if plan.every_days else len(plan.days) / 7.0 / plan.every_weeks


def _dry_g(line: FeedingPlanLine, day: date) -> float:
    recipe = line.food_item.composition_on(day)
    moisture = recipe.moisture_percent if recipe else composition_from_class(line.food_item.food_class).moisture_percent
    return dry_g(line.offered_g, moisture_percent=moisture)


def _usual_feed_g(portions: Sequence[FeedPortion], *, today: date, is_indoor: bool) -> float | None:
    """Dry grams a day as fed: of the last four weeks, outdoors of the best four weeks of the last year. None: too little is logged."""
    by_day: dict[date, float] = defaultdict(float)
    for portion in portions:
        if (today - portion.on).days < (FED_DAYS if is_indoor else YEAR_DAYS):
            by_day[portion.on] += portion.dry_g
    if len(by_day) < LEAST_MEALS:
        return None
    ends = [today] if is_indoor else sorted(by_day)
    sums = [sum(g for day, g in by_day.items() if 0 <= (end - day).days < FED_DAYS) for end in ends]
    return max(sums) / FED_DAYS or None


def _stock_changes_near(begins: date, residents: Residents, ahead: Ahead) -> bool:
    turns = [day for stay in residents.stays for day in (stay.from_on, stay.to_on) if day is not None]
    turns += [move.planned_for or move.on for move in ahead.moves]
    return any(abs((day - begins).days) <= STOCK_DAYS for day in turns)


def _still_to_learn(change: float, portions: Sequence[FeedPortion], *, begins: date, today: date) -> float:
    """Share of the change that goes on counting: all on the first day, none after four weeks; none once the log does not follow."""
    n_days = (today - begins).days + 1
    if n_days > FOLLOWED_AFTER_DAYS:
        since = sum(p.dry_g for p in portions if p.on >= begins) / n_days
        before = sum(p.dry_g for p in portions if 0 < (begins - p.on).days <= FED_DAYS) / FED_DAYS
        if since <= 0 or before <= 0 or log(since / before) / change < FOLLOWED_SHARE:
            return 0.0
    return max(1.0 - n_days / FED_DAYS, 0.0)


def _change(change: float, *, on: date, note: str) -> PlannedChange:
    return PlannedChange(on=on, feed_factor=exp(change), note=note)


def _ahead_words(change: float, begins: date) -> str:
    return f"From about {day_words(begins)} the feeding plan gives {_much(change)}: it is counted from then on."


def _begun_words(change: float, begins: date) -> str:
    return f"Since {day_words(begins)} the feeding plan gives {_much(change)}: until the log has shown it for four weeks, the plan counts too."


def _much(change: float) -> str:
    factor = exp(change)
    if factor >= 2:
        return f"about {factor:.1f} times as much"
    return f"about {abs(factor - 1) * 100:.0f} % {'more' if factor > 1 else 'less'}"
