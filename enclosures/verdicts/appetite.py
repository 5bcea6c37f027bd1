"""Who is not eating, and who is losing mass: streaks by life stage that know about winter, gravid females and new arrivals.

Limits are common practice, no source: a hatchling 7 days, a juvenile 14, an adult 21. Days of winter rest, of being gravid and the first
week of quarantine do not count. A hatchling still on its yolk is not asked to eat for two weeks.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from enclosures.verdicts.signs import Span
from enclosures.verdicts.words import day_words, rounded

LifeStage = Literal["hatchling", "juvenile", "subadult", "adult"]
REFUSAL_DAYS: Mapping[str, int] = {"hatchling": 7, "juvenile": 14, "subadult": 21, "adult": 21}
QUARANTINE_GRACE_DAYS = 7
YOLK_DAYS = 14
SMALL_G = 50.0
LOSS_SMALL, LOSS_GROWN = 0.10, 0.07
LOSS_OVER_WINTER = 0.10
CALL_A_VET = "Call the veterinarian."


@dataclass(frozen=True, kw_only=True, slots=True)
class Meal:
    """One meal offered to an animal: did it eat?"""

    on: date
    was_refused: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Alert:
    animal: str
    sentence: str
    days: int = 0
    share: float = 0.0


def refusal_streak(
    animal: str,
    meals: Sequence[Meal],
    *,
    today: date,
    life_stage: LifeStage,
    paused: Iterable[Span] = (),
    quarantine_from: date | None = None,
    hatched_on: date | None = None,
    limit_days: int | None = None,
) -> Alert | None:
    """An alert when the animal has refused since before its limit. `meals` oldest first; `paused`: winter rest, gravid.

    The streak begins with the first refusal after it last ate. Nothing offered is not a refusal, so silence raises no alarm.
    """
    streak: list[Meal] = []
    for meal in meals:
        if meal.on <= today:
            streak = [*streak, meal] if meal.was_refused else []
    if not streak:
        return None
    spans = list(paused)
    if quarantine_from is not None:
        last = quarantine_from + timedelta(days=QUARANTINE_GRACE_DAYS - 1)
        spans.append(Span(from_on=quarantine_from, to_on=last))
    if hatched_on is not None:
        spans.append(Span(from_on=hatched_on, to_on=hatched_on + timedelta(days=YOLK_DAYS)))
    if any(span.covers(today) for span in spans):
        return None
    since = streak[0].on
    counted = [since + timedelta(days=i) for i in range((today - since).days)]
    days = sum(not any(span.covers(day) for span in spans) for day in counted)
    limit = limit_days if limit_days is not None else REFUSAL_DAYS[life_stage]
    if days < limit:
        return None
    sentence = (
        f"{animal} has refused food for {days} days, since {day_words(since, today)}; "
        f"the limit for {_article(life_stage)} is {limit}. {CALL_A_VET}"
    )
    return Alert(animal=animal, sentence=sentence, days=days)


def _article(life_stage: str) -> str:
    return f"an {life_stage}" if life_stage[0] in "aeiou" else f"a {life_stage}"


def mass_loss(
    animal: str,
    weights: Sequence[tuple[date, float]],
    *,
    today: date,
    winters: Iterable[Span] = (),
) -> Alert | None:
    """An alert when the last mass is 10 % (under 50 g) or 7 % (grown) under the best of the past year; over a winter 10 %.

    `weights` oldest first, in grams. A drop across a winter rest is set against the winter's own limit.
    """
    year = [(on, mass) for on, mass in weights if 0 <= (today - on).days <= 365 and mass > 0]
    if len(year) < 2:
        return None
    last_on, last_g = year[-1]
    best_on, best_g = max(year[:-1], key=lambda seen: seen[1])
    lost = 1 - last_g / best_g
    limit = LOSS_SMALL if best_g < SMALL_G else LOSS_GROWN
    is_over_winter = any(_overlaps(span, best_on, last_on) for span in winters)
    if is_over_winter:
        limit = max(limit, LOSS_OVER_WINTER)
    if lost < limit - 1e-9:
        return None
    over = " over the winter rest" if is_over_winter else ""
    sentence = (
        f"{animal} has lost {rounded(lost * 100)} %{over}: {best_g:g} g on {day_words(best_on, today)}, "
        f"{last_g:g} g on {day_words(last_on, today)}. Weigh it again. {CALL_A_VET}"
    )
    return Alert(animal=animal, sentence=sentence, share=lost)


def _overlaps(span: Span, first: date, last: date) -> bool:
    return span.from_on <= last and (span.to_on is None or span.to_on >= first)
