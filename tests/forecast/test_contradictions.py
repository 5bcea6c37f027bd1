"""Readings that contradict each other, and silence: neither may end in a calm answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from enclosures.forecast.history import history_for
from enclosures.forecast.inputs import CleanoutDone, FeedPortion, FilterEvidence, Geometry, SoundingSeen
from enclosures.forecast.outlook import outlook_for
from enclosures.forecast.posterior import _older_of_two, _Stages
from enclosures.forecast.priors import Prior
from enclosures.forecast.run import run_history, unpack

TANK = Geometry(valid_from=date(2023, 10, 1), chamber_area_m2=0.12, void_height_mm=100)
AS_OF = date(2024, 6, 2)


def evidence(*soundings: tuple[date, float], fed: bool = True, **more: object) -> FilterEvidence:
    days = range(0, (AS_OF - TANK.valid_from).days, 2)
    return FilterEvidence(
        filter="A1-F",
        enclosure="A1",
        commissioned_on=TANK.valid_from,
        builds=(TANK,),
        feedings=tuple(
            FeedPortion(on=TANK.valid_from + timedelta(days=day), dry_g=6, food_class="pellet", eaten="all")
            for day in days
        )
        if fed
        else (),
        soundings=tuple(
            SoundingSeen(entry=str(number), on=on, depths_mm=(depth,)) for number, (on, depth) in enumerate(soundings)
        ),
    )


def test_of_two_soundings_that_contradict_each_other_the_newer_tells_of_today() -> None:
    both = outlook_for(evidence((date(2024, 3, 1), 6.0), (date(2024, 6, 1), 30.0)), as_of=AS_OF)
    newer = outlook_for(evidence((date(2024, 6, 1), 30.0)), as_of=AS_OF)
    assert both.fill
    assert newer.fill
    assert abs(both.fill.p50 - newer.fill.p50) < 0.08
    if both.unexplained:  # left out, and said: then a person is asked to read again
        assert both.sureness == "rough"
        assert both.next_reading.startswith("Repeat the sounding")


def test_one_reading_against_several_that_agree_is_named_and_asked_again() -> None:
    steady = [(date(2023, 12, 1), 8.0), (date(2024, 2, 1), 14.0), (date(2024, 4, 1), 20.0)]
    outlook = outlook_for(evidence(*steady, (date(2024, 6, 1), 96.0)), as_of=AS_OF)
    assert outlook.fill
    assert outlook.fill.p50 < 0.6 or not outlook.unexplained
    if outlook.unexplained:
        assert "1 Jun 2024" in outlook.unexplained[0]
        assert outlook.next_reading.startswith("Repeat the sounding")


def test_silence_is_never_called_empty() -> None:
    silent = outlook_for(evidence(fed=False), as_of=AS_OF)
    assert silent.sureness == "none"
    assert "One sounding now" in silent.next_reading
    assert any("No feed on record" in note for note in silent.notes)


def test_a_filter_that_just_began_is_not_silent() -> None:
    begun = outlook_for(evidence(fed=False), as_of=TANK.valid_from + timedelta(days=10))
    assert begun.sureness == "rough"


def test_the_newest_sounding_need_not_be_the_last_thing_that_happened() -> None:
    """Two soundings that contradict each other, then a cleanout: the older is the one to leave out."""
    emptied = CleanoutDone(entry="c", on=date(2024, 5, 25), outcome="full")
    found = replace(evidence((date(2024, 3, 1), 6.0), (date(2024, 5, 20), 90.0)), cleanouts=(emptied,))
    history = history_for(found, as_of=AS_OF)
    assert history is not None
    drawn = unpack(Prior.standard(history.names).draw(np.random.default_rng(1), 50), history)
    _, volumes = run_history(history, drawn)
    stages = _Stages(history, frozenset())
    assert _older_of_two(history, stages, drawn, volumes, entry="1", event=1) == "0"


def test_a_rod_far_from_what_all_else_says_makes_the_forecast_rough_and_is_asked_for_again() -> None:
    """Read four times as it filled, then at a tenth of it: whichever is wrong, nobody can be sure."""
    steady = [(date(2023, 12, 1), 20.0), (date(2024, 2, 1), 38.0), (date(2024, 4, 1), 56.0), (date(2024, 5, 20), 68.0)]
    outlook = outlook_for(evidence(*steady, (date(2024, 6, 1), 7.0)), as_of=AS_OF)
    assert outlook.sureness == "rough"
    assert outlook.next_reading.startswith("Repeat the sounding now")
    assert outlook_for(evidence(*steady, (date(2024, 6, 1), 71.0)), as_of=AS_OF).sureness == "good"
