"""The plans and instructions of one enclosure, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from enclosures.boards.entry_words import WEEKDAYS, food_words
from enclosures.estimates.units import recorded_quantity
from enclosures.models import WEEKDAY_CODES, Enclosure, FeedingPlan, FeedingPlanLine, Instruction
from enclosures.verdicts.words import capital, day_words, kept_together, listed, ordinal_words

EARLIER_SHOWN = 12
FULL_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SHARE_WORDS = {0.75: "¾", 0.5: "½", 0.33: "a third", 0.25: "¼"}


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanWords:
    code: str
    when: str
    foods: str
    rule: str
    span: str
    is_ahead: bool
    note: str = ""
    next: str = ""  # its next day, where the weekdays alone do not tell


@dataclass(frozen=True, kw_only=True, slots=True)
class InstructionWords:
    entry: str
    text: str
    span: str
    by: str


def plans_of(enclosure: Enclosure, *, today: date) -> list[FeedingPlan]:
    """Plans in force and to come, of the enclosure and of the animals that live in it, first first."""
    plans = _plans_of(enclosure).filter(Q(to_on__isnull=True) | Q(to_on__gte=today))
    return list(plans.order_by("slot", "from_on", "pk").distinct())


def earlier_plans_of(enclosure: Enclosure, *, today: date) -> list[FeedingPlan]:
    """Over, newest first."""
    return list(_plans_of(enclosure).filter(to_on__lt=today).order_by("-from_on", "-pk").distinct()[:EARLIER_SHOWN])


def _plans_of(enclosure: Enclosure) -> QuerySet[FeedingPlan]:
    lines = Prefetch("lines", FeedingPlanLine.objects.select_related("food_item").order_by("position"))
    lives_here = Q(animal__stays__enclosure=enclosure, animal__stays__to_at__isnull=True)
    plans = FeedingPlan.objects.filter(Q(enclosure=enclosure) | lives_here)
    return plans.select_related("animal").prefetch_related(lines)


def plan_words(plan: FeedingPlan, *, today: date) -> PlanWords:
    meal = f"{plan.get_slot_display()}, {rhythm_words(plan)}"
    meal += f", for {plan.animal.code}" if plan.animal is not None else ""
    next_on = plan.next_on(today)
    since = f"from {day_words(plan.from_on, today)}" + (f" to {day_words(plan.to_on, today)}" if plan.to_on else "")
    return PlanWords(
        code=plan.code,
        when=capital(meal),
        foods=kept_together(capital(", ".join(food_words(line) for line in plan.lines.all()))),  # type: ignore[arg-type]
        rule=kept_together(_rule_words(plan)),
        note=plan.note,
        next=kept_together(f"{WEEKDAYS[next_on.weekday()]} {day_words(next_on, today)}")
        if next_on is not None and not _is_plain(plan)
        else "",
        span=kept_together(since),
        is_ahead=plan.from_on > today,
    )


def rhythm_words(plan: FeedingPlan) -> str:
    """'every day', 'Mon and Thu', 'every second Monday and Thursday', 'every third day'."""
    if plan.every_days is not None:
        return "every day" if plan.every_days == 1 else f"every {ordinal_words(plan.every_days)} day"
    whole_week = len(plan.days) == len(WEEKDAY_CODES)
    if plan.every_weeks == 1:
        return "every day" if whole_week else listed(WEEKDAY_CODES[n].capitalize() for n in sorted(plan.days))
    nth = ordinal_words(plan.every_weeks)
    return (
        f"every {nth} week, all days"
        if whole_week
        else f"every {nth} {listed(FULL_DAYS[n] for n in sorted(plan.days))}"
    )


def _is_plain(plan: FeedingPlan) -> bool:
    return plan.every_weeks == 1 and plan.every_days in (None, 1)


def instructions_of(enclosure: Enclosure, *, today: date) -> list[InstructionWords]:
    """Not done, and not past their last day."""
    rows = Instruction.objects.filter(enclosure=enclosure, is_done=False).filter(
        Q(to_on__isnull=True) | Q(to_on__gte=today)
    )
    return [
        InstructionWords(
            entry=str(each.entry),
            text=each.text,
            span=kept_together(
                f"from {day_words(each.from_on, today)}" + (f" to {day_words(each.to_on, today)}" if each.to_on else "")
            ),
            by=each.entered_by or "somebody",
        )
        for each in rows.order_by("from_on", "pk")
    ]


def _rule_words(plan: FeedingPlan) -> str:
    """'No food under 14 °C, ½ of it under 19 °C; none in the winter rest'."""
    parts = []
    if plan.not_below_c is not None:
        parts.append(f"no food under {_degrees(plan.not_below_c)}")
    if plan.less_below_c is not None:
        share = SHARE_WORDS.get(plan.less_share, f"{plan.less_share:.0%}")
        parts.append(f"{share} of it under {_degrees(plan.less_below_c)}")
    rule = ", ".join(parts)
    winter = "none in the winter rest" if plan.pauses_in_winter else "fed through the winter rest"
    return capital("; ".join(filter(None, [rule, winter])))


def _degrees(temp_c: float) -> str:
    return recorded_quantity(round(temp_c, 1), "°C")
