from __future__ import annotations

from datetime import date, timedelta

import pytest

from enclosures.verdicts.appetite import Meal, mass_loss, refusal_streak
from enclosures.verdicts.signs import Span
from tests.verdicts.outlooks import TODAY


def meals(*, ate_days_ago: int | None, refused_days_ago: list[int]) -> list[Meal]:
    ate = [] if ate_days_ago is None else [Meal(on=TODAY - timedelta(days=ate_days_ago), was_refused=False)]
    return ate + [Meal(on=TODAY - timedelta(days=n), was_refused=True) for n in refused_days_ago]


@pytest.mark.parametrize(("life_stage", "limit"), [("hatchling", 7), ("juvenile", 14), ("subadult", 21), ("adult", 21)])
def test_streak_alerts_at_the_limit_of_the_life_stage_and_not_a_day_before(life_stage, limit):
    def alert(days):
        seen = meals(ate_days_ago=days + 1, refused_days_ago=[days, 1])
        return refusal_streak("BL-124", seen, today=TODAY, life_stage=life_stage)

    assert alert(limit - 1) is None
    assert alert(limit).days == limit


def test_streak_says_since_when_and_whom_to_call():
    seen = meals(ate_days_ago=10, refused_days_ago=[8, 5, 2])
    found = refusal_streak("BL-124", seen, today=TODAY, life_stage="hatchling")
    assert found.sentence == (
        "BL-124 has refused food for 8 days, since 26 Sep; the limit for a hatchling is 7. Call the veterinarian."
    )


def test_streak_ends_with_the_first_meal_eaten():
    seen = [*meals(ate_days_ago=None, refused_days_ago=[30, 20]), Meal(on=TODAY, was_refused=False)]
    assert refusal_streak("X", seen, today=TODAY, life_stage="hatchling") is None


def test_silence_is_no_refusal():
    assert refusal_streak("X", meals(ate_days_ago=90, refused_days_ago=[]), today=TODAY, life_stage="adult") is None


def test_winter_rest_raises_no_alarm_and_its_days_do_not_count():
    winter = Span(from_on=date(2024, 11, 2), to_on=date(2025, 3, 20))
    refused = [Meal(on=date(2024, 10, 25), was_refused=True)]
    asleep = refusal_streak("X", refused, today=date(2025, 1, 15), life_stage="adult", paused=[winter])
    assert asleep is None
    awake = refusal_streak("X", refused, today=date(2025, 3, 25), life_stage="adult", paused=[winter])
    assert awake is None  # 8 days before, 4 days after
    later = refusal_streak("X", refused, today=date(2025, 4, 4), life_stage="adult", paused=[winter])
    assert later.days == 22


def test_first_week_of_quarantine_does_not_count():
    arrived = TODAY - timedelta(days=10)
    seen = [Meal(on=arrived, was_refused=True), Meal(on=TODAY, was_refused=True)]
    assert refusal_streak("X", seen, today=TODAY, life_stage="hatchling", quarantine_from=arrived) is None
    later = TODAY + timedelta(days=4)
    assert refusal_streak("X", seen, today=later, life_stage="hatchling", quarantine_from=arrived).days == 7


def test_a_hatchling_on_its_yolk_is_not_asked_to_eat_for_two_weeks():
    hatched = TODAY - timedelta(days=14)
    seen = meals(ate_days_ago=None, refused_days_ago=[12, 6, 1])
    assert refusal_streak("X", seen, today=TODAY, life_stage="hatchling", hatched_on=hatched) is None


def test_mass_loss_is_stricter_for_the_grown_than_for_the_small():
    def lost(first, last):
        return mass_loss("X", [(date(2025, 7, 1), first), (date(2025, 9, 27), last)], today=TODAY)

    assert lost(30, 27.1) is None
    assert lost(30, 26.9) is not None
    assert lost(800, 745) is None
    assert lost(800, 743).sentence.startswith("X has lost 7 %: 800 g on 1 Jul, 743 g on 27 Sep.")


def test_mass_loss_over_winter_is_ordinary_up_to_a_tenth():
    winter = [Span(from_on=date(2024, 11, 2), to_on=date(2025, 3, 20))]
    spring = date(2025, 4, 12)

    def lost(last):
        return mass_loss("X", [(date(2024, 10, 20), 742.0), (spring, last)], today=spring, winters=winter)

    assert lost(690.0) is None  # 7 %
    assert "over the winter rest" in lost(660.0).sentence


def test_mass_loss_of_a_dying_hatchling_is_seen():
    """BL-123 of the invented station: 3.0 g on arrival, 2.7 g five weeks later."""
    found = mass_loss("BL-123", [(date(2023, 9, 16), 3.0), (date(2023, 10, 21), 2.7)], today=date(2023, 10, 21))
    assert found.share == pytest.approx(0.1)
