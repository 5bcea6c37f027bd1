"""The head-start batches: counts, weights and places the coordinator's package must show."""

from __future__ import annotations

from datetime import date
from statistics import mean

import pytest

from enclosures.scenarios.rows import Row, Tables

from .reading import live

PROGRAM = "SM-PA-23"


@pytest.fixture(scope="module")
def musk(tables: Tables) -> list[str]:
    return [r["animal"] for r in tables["animals"] if r.get("program") == PROGRAM]


def weighed(tables: Tables, animals: list[str], day: date) -> list[float]:
    return [
        float(r["mass_g"])
        for r in live(tables["measurements"])
        if r["animal"] in animals and r["occurred_at"].startswith(day.isoformat())
    ]


def test_nine_arrived_one_died_eight_are_alive(tables: Tables, musk: list[str]) -> None:
    arrived = [r["animal"] for r in tables["transfers"] if r["animal"] in musk and r["direction"] == "in"]
    died = [r["animal"] for r in tables["deaths"] if r["animal"] in musk]
    assert (len(arrived), len(set(arrived)), died) == (9, 9, ["BL-123"])


def test_first_batch_weighs_what_the_program_sent(tables: Tables, musk: list[str]) -> None:
    masses = weighed(tables, musk, date(2023, 9, 16))
    assert len(masses) == 6
    assert mean(masses) == pytest.approx(3.35, abs=0.005)


def test_first_batch_on_the_day_four_moved_out(tables: Tables, musk: list[str]) -> None:
    """Four that moved and the one held back."""
    masses = weighed(tables, musk, date(2024, 6, 22))
    assert len(masses) == 5
    assert mean(masses) == pytest.approx(22.7, abs=0.05)


def test_they_lived_in_four_places_only(tables: Tables, musk: list[str]) -> None:
    assert {r["enclosure"] for r in tables["stays"] if r["animal"] in musk} == {"Q1", "T1", "T2", "P4"}


def test_quarantine_of_the_first_batch_took_95_days(tables: Tables) -> None:
    stay = next(r for r in tables["stays"] if r["animal"] == "BL-120" and r["enclosure"] == "Q1")
    assert (date.fromisoformat(stay["to_at"][:10]) - date.fromisoformat(stay["from_at"][:10])).days == 95


def test_hatchlings_are_the_size_their_species_hatches_at(tables: Tables, musk: list[str]) -> None:
    """Loggerhead musk hatchlings: 23-31 mm long (species pages), about 2.5-4.5 g (common practice, no source)."""
    first: dict[str, Row] = {}
    for r in sorted(tables["measurements"], key=lambda r: r["occurred_at"]):
        if r["animal"] in musk:
            first.setdefault(r["animal"], r)
    assert len(first) == 9
    for r in first.values():
        assert 2.5 <= float(r["mass_g"]) <= 4.5
        assert 23 <= float(r["scl_mm"]) <= 31
