"""Meals as they truly were, day by day, and what a crew writes down of them. All grams are dry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enclosures.forecast.inputs import Eaten, FeedPortion, FoodClass

from .calendar_and_climate import Days, Floats
from .places import Place

Integers = NDArray[np.int64]

FOOD_CLASSES: tuple[FoodClass, ...] = (
    "pellet", "insect", "worm", "fish", "crustacean", "mollusc", "plant", "gel", "other",
)  # fmt: skip
PROTEIN_SHARES = (0.43, 0.65, 0.62, 0.72, 0.68, 0.6, 0.22, 0.46, 0.4)  # of dry feed, in the order of FOOD_CLASSES
EATEN_WORDS: tuple[Eaten, ...] = ("all", "most", "some", "none", "")
EATEN_SHARES = np.array([0.985, 0.84, 0.42, 0.03])  # what is truly eaten where the word is all, most, some, none
NOT_JUDGED = 4  # the empty word
USUAL_WORDS = (0.72, 0.18, 0.07, 0.03)
WARM_ENOUGH_C = 20.0  # outdoors appetite is whole from here on


@dataclass(frozen=True, kw_only=True)
class Meals:
    """One element a line of a meal: its day, what was offered, of which class (index), the word written for it (index), the share eaten."""

    day: Integers
    dry_g: Floats
    food: Integers
    word: Integers
    eaten_share: Floats
    removed_g: Floats  # leftovers taken out again

    def eaten_g_per_day(self, days: Days) -> Floats:
        return np.bincount(self.day, self.dry_g * self.eaten_share, minlength=days.count)

    def faeces_g_per_day(self, days: Days, faeces_shares: Sequence[float]) -> Floats:
        """`faeces_shares`: grams of faeces a gram eaten, in the order of FOOD_CLASSES."""
        shares = np.array(faeces_shares)[self.food]
        return np.bincount(self.day, self.dry_g * self.eaten_share * shares, minlength=days.count)

    def left_g_per_day(self, days: Days) -> Floats:
        left_g = np.maximum(self.dry_g * (1 - self.eaten_share) - self.removed_g, 0)
        return np.bincount(self.day, left_g, minlength=days.count)


@dataclass(frozen=True, kw_only=True)
class Menu:
    """How a filter's animals are fed. `mix`: weights of the classes. `spread`: log-normal, meal to meal. `words`: chances of all, most, some,
    none. `second_line`: chance of a second class in a meal. `removes`: chance that leftovers are taken out. `scoop_g`: measured by the half
    scoop. `misses`: chance of no meal on a feeding day. `judges`: chance that a word is written. `stops_below_c`: no meal outdoors below."""

    meals_per_week: int = 4
    mix: Mapping[FoodClass, float]
    spread: float = 0.15
    words: tuple[float, float, float, float] = USUAL_WORDS
    second_line: float = 0.0
    removes: float = 0.0
    scoop_g: float | None = None
    misses: float = 0.04
    judges: float = 0.92
    stops_below_c: float = 13.0

    def appetite(self, place: Place) -> Floats:
        """Share of a warm day's feed: whole indoors; outdoors a third where feeding stops, rising to the whole."""
        if place.is_indoor:
            return np.ones(len(place.temp_c))
        above_c = place.temp_c - self.stops_below_c
        rising = np.clip(0.35 + 0.65 * above_c / (WARM_ENOUGH_C - self.stops_below_c), 0, 1.05)
        return np.where(place.temp_c < self.stops_below_c, 0.0, rising)


def meals_served(
    rng: np.random.Generator, days: Days, *, wanted_g: Floats, place: Place, menu: Menu, appetite: Floats | None = None
) -> Meals:
    """Meals of the whole timeline from the place's first day. `wanted_g`: dry grams a day; `appetite` in the menu's stead where given."""
    weekdays = rng.permutation(7)[: min(menu.meals_per_week, 7)]
    is_meal = np.isin(days.weekday, weekdays) & place.is_feeding & (wanted_g > 0)
    is_meal &= rng.random(days.count) > menu.misses
    is_meal[: place.start_day] = False
    if appetite is None:
        appetite = menu.appetite(place)
    day = np.nonzero(is_meal & (appetite > 0.02))[0]
    dry_g = wanted_g[day] * 7.0 / menu.meals_per_week * appetite[day] * rng.lognormal(0, menu.spread, len(day))
    if menu.scoop_g:
        dry_g = np.maximum(np.round(dry_g / menu.scoop_g * 2) / 2, 0.5) * menu.scoop_g
    foods = np.array([FOOD_CLASSES.index(food) for food in menu.mix])
    weights = np.array(list(menu.mix.values()))
    chances = weights / weights.sum()
    food = rng.choice(foods, len(day), p=chances)
    if menu.second_line > 0:
        split = np.nonzero(rng.random(len(day)) < menu.second_line)[0]
        second_g = dry_g[split] * rng.uniform(0.15, 0.5, len(split))
        dry_g[split] -= second_g
        order = np.argsort(np.concatenate([day, day[split]]), kind="stable")
        food = np.concatenate([food, rng.choice(foods, len(split), p=chances)])[order]
        dry_g = np.concatenate([dry_g, second_g])[order]
        day = np.concatenate([day, day[split]])[order]
    return _as_eaten(rng, menu, day=day, dry_g=dry_g, food=food)


def _as_eaten(rng: np.random.Generator, menu: Menu, *, day: Integers, dry_g: Floats, food: Integers) -> Meals:
    word = rng.choice(4, len(day), p=menu.words)
    has_leftovers = word > 0
    eaten_share = np.clip(EATEN_SHARES[word] + rng.normal(0, 0.03, len(day)) * has_leftovers, 0, 1)
    is_removed = (rng.random(len(day)) < menu.removes) & has_leftovers
    removed_g = np.where(is_removed, dry_g * (1 - eaten_share) * rng.uniform(0.5, 0.95, len(day)), 0.0)
    is_judged = rng.random(len(day)) < menu.judges
    return Meals(
        day=day,
        dry_g=dry_g,
        food=food,
        word=np.where(is_judged, word, NOT_JUDGED),
        eaten_share=eaten_share,
        removed_g=removed_g,
    )


@dataclass(frozen=True, kw_only=True)
class FeedLog:
    """How meals are written down: the share that is (`written`), chances of a line twice and of a slipped decimal, the constant factor and
    the log-normal spread of the weight, and spans of days without any entry."""

    written: float = 0.99
    twice: float = 0.0
    slipped_decimal: float = 0.0
    bias: float = 1.0
    spread: float = 0.03
    gaps: tuple[tuple[int, int], ...] = ()

    def portions(
        self, rng: np.random.Generator, days: Days, *, meals: Meals, start_day: int
    ) -> tuple[FeedPortion, ...]:
        """What stands in the log at the end of as_of."""
        is_written = (meals.day <= days.today) & (meals.day >= start_day) & (rng.random(len(meals.day)) < self.written)
        for begin, end in self.gaps:
            is_written &= ~((meals.day >= begin) & (meals.day < end))
        lines = np.nonzero(is_written)[0]
        if self.twice:
            lines = np.sort(np.concatenate([lines, lines[rng.random(len(lines)) < self.twice]]))
        dry_g = meals.dry_g[lines] * self.bias * rng.lognormal(0, self.spread, len(lines))
        if self.slipped_decimal:
            has_slipped = rng.random(len(lines)) < self.slipped_decimal
            dry_g = np.where(has_slipped, dry_g * rng.choice([10.0, 0.1], len(lines)), dry_g)
        weighed_g = [round(grams, 3) for grams in dry_g.tolist()]
        return tuple(
            _portion(days, meals, line=line, dry_g=grams)
            for line, grams in zip(lines.tolist(), weighed_g, strict=True)
            if grams > 0
        )


def _portion(days: Days, meals: Meals, *, line: int, dry_g: float) -> FeedPortion:
    food = meals.food[line]
    return FeedPortion(
        on=days.dates[meals.day[line]],
        dry_g=dry_g,
        food_class=FOOD_CLASSES[food],
        eaten=EATEN_WORDS[meals.word[line]],
        protein_g=round(dry_g * PROTEIN_SHARES[food], 4),
        removed_dry_g=round(min(float(meals.removed_g[line]), dry_g), 3),
    )
