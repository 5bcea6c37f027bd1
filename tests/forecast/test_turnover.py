"""Young animals move on and others follow; a plan on record takes the place of the custom."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from enclosures.forecast.future_feed import FutureLoad, future_load
from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import FeedPortion, FilterEvidence, Geometry, PlannedMove, StaySpan, WeightSeen
from enclosures.forecast.outlook import outlook_for
from enclosures.forecast.turnover import batches_of

FIRST = date(2022, 9, 1)
STAY_DAYS, EMPTY_DAYS = 270, 95


def day(n: float) -> date:
    return FIRST + timedelta(days=int(n))


def batch(number: int, *, came: int, left: int | None, n: int = 4) -> tuple[StaySpan, ...]:
    return tuple(
        StaySpan(
            animal=f"H{number}-{i}",
            from_on=day(came),
            to_on=None if left is None else day(left),
            hatched_on=day(came - 20),
        )
        for i in range(n)
    )


def tub(
    *,
    as_of_day: int,
    came: tuple[int, ...],
    stay: int = STAY_DAYS,
    moves: tuple[PlannedMove, ...] = (),
    is_indoor: bool = True,
    hatched: bool = True,
) -> FilterEvidence:
    """A starter tub with a batch of four in each autumn, fed in step with their growth."""
    stays, weights, feedings = [], [], []
    for number, begin in enumerate(came):
        end = begin + stay
        spans = batch(number, came=begin, left=end if end <= as_of_day else None)
        stays += [
            span if hatched else StaySpan(animal=span.animal, from_on=span.from_on, to_on=span.to_on) for span in spans
        ]
        for at in range(begin, min(end, as_of_day + 1)):
            grams = (4.0 if hatched else 400.0) * np.exp((at - begin) / 130 if hatched else 0.0)
            feedings.append(FeedPortion(on=day(at), dry_g=float(0.012 * 4 * grams), food_class="pellet", eaten="all"))
            if (at - begin) % 60 == 0:
                weights += [WeightSeen(animal=span.animal, on=day(at), mass_g=float(grams)) for span in spans]
    return FilterEvidence(
        filter="T", enclosure="T", commissioned_on=FIRST,
        builds=(Geometry(valid_from=FIRST, chamber_area_m2=0.06, void_height_mm=60),),
        feedings=tuple(feedings), stays=tuple(stays), weights=tuple(weights),
        planned_moves=moves, is_indoor=is_indoor, surface_m2=0.5,
    )  # fmt: skip


def ahead(evidence: FilterEvidence, as_of_day: int) -> FutureLoad:
    history = history_for(evidence, as_of=day(as_of_day))
    assert history is not None
    return future_load(history, horizon_days=1095)


def expected_kg(future: FutureLoad) -> np.ndarray:
    """Mean dry feed per block over shapes and scenarios."""
    feed = future.shape_weights @ future.feed_kg
    return feed if future.turnover is None else feed * (future.turnover_weights @ future.turnover)


def test_an_empty_tub_whose_batches_followed_each_other_is_not_due_never() -> None:
    as_of = 730 + STAY_DAYS + 20
    outlook = outlook_for(tub(as_of_day=as_of, came=(0, 365, 730)), as_of=day(as_of))
    assert outlook.due_on
    assert outlook.due_on.p50
    assert any("another like the last" in said for said in outlook.ahead)


def test_a_batch_in_its_second_spring_is_not_taken_to_grow_here_for_three_years() -> None:
    future = ahead(tub(as_of_day=200, came=(0,), stay=2000), 200)
    assert future.turnover is not None
    feed = future.shape_weights @ future.feed_kg
    assert expected_kg(future)[120:].sum() < 0.8 * feed[120:].sum()
    assert "taken to move on" in future.taken_for_granted


def test_batches_that_left_after_nine_months_say_when_this_one_will() -> None:
    """Three batches that stayed 270 days each: the feed gives way about then, not at the usual year or more."""
    future = ahead(tub(as_of_day=1095 + 200, came=(0, 365, 730, 1095)), 1095 + 200)
    alone = ahead(tub(as_of_day=200, came=(0,), stay=2000), 200)
    assert future.turnover is not None
    assert alone.turnover is not None
    after = slice(STAY_DAYS - 200 + 60 - 7, STAY_DAYS - 200 + 60)
    week = after.start // 7
    assert float(future.turnover_weights @ future.turnover[:, week]) < 0.75
    assert float(alone.turnover_weights @ alone.turnover[:, week]) > 0.8


def test_grown_animals_are_not_taken_to_move_on() -> None:
    assert ahead(tub(as_of_day=200, came=(0,), stay=2000, hatched=False), 200).turnover is None


def test_outdoors_they_are_at_home() -> None:
    assert ahead(tub(as_of_day=200, came=(0,), stay=2000, is_indoor=False), 200).turnover is None


def test_a_planned_move_takes_the_place_of_the_custom_and_the_tub_is_stocked_again_after_it() -> None:
    leaving = tuple(f"H0-{i}" for i in range(4))
    move = PlannedMove(on=day(300), text="four animals move to P3", leaving=leaving)
    future = ahead(tub(as_of_day=200, came=(0,), stay=2000, moves=(move,)), 200)
    assert future.turnover is not None
    week = (300 - 200) // 7
    assert future.turnover[:, : week - 1] == pytest.approx(1.0)
    assert float(future.turnover_weights @ future.turnover[:, week + 1]) < 0.3
    assert expected_kg(future)[-52:].sum() > 0


def test_a_planned_move_of_some_leaves_the_rest_as_planned() -> None:
    move = PlannedMove(on=day(300), text="one animal moves to P3", leaving=("H0-0",))
    assert ahead(tub(as_of_day=200, came=(0,), stay=2000, moves=(move,)), 200).turnover is None


def test_one_that_is_held_back_while_the_others_went_is_forecast_too() -> None:
    """A small one stays when its batch goes outdoors: the tub is neither empty nor has it a batch, and is fed for one."""
    told = tub(as_of_day=330, came=(0,), stay=600)
    stays = tuple(replace(stay, to_on=day(280)) if not stay.animal.endswith("-0") else stay for stay in told.stays)
    held_back = replace(told, stays=stays, feedings=tuple(f for f in told.feedings if f.on <= day(329)))
    outlook = outlook_for(held_back, as_of=day(330), n_particles=200)
    assert outlook.due_on is not None
    assert np.isfinite(expected_kg(ahead(held_back, 330))).all()


def test_arrivals_within_weeks_are_one_batch_and_it_has_left_when_fewer_than_half_are_here() -> None:
    stays = (
        StaySpan(animal="A", from_on=day(0), to_on=day(40), hatched_on=day(-10)),
        StaySpan(animal="B", from_on=day(20), hatched_on=day(-10)),
        StaySpan(animal="C", from_on=day(30), to_on=day(300), hatched_on=day(-10)),
        StaySpan(animal="D", from_on=day(365), hatched_on=day(340)),
    )
    evidence = FilterEvidence(filter="T", enclosure="T", commissioned_on=None, builds=(), stays=stays)
    first, second = batches_of(evidence, start=FIRST, as_of=day(400))
    assert (first.came, first.left, first.is_young) == (0, 300, True)
    assert (second.came, second.left) == (365, None)
    assert batches_of(evidence, start=FIRST, as_of=day(100))[0].left is None
