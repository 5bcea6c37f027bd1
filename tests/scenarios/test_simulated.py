"""Facilities of any size for measuring: as many filters and years as asked, believable, and the same each time."""

from __future__ import annotations

from datetime import date

import pytest

from enclosures.scenarios.simulated import simulated_tables

UNTIL = date(2025, 10, 4)


def test_as_many_filters_and_years_as_asked() -> None:
    made = simulated_tables(n_filters=3, n_years=2, until=UNTIL)
    assert len(made["filters"]) == len(made["enclosures"]) == 3
    days = [r["occurred_at"][:10] for r in made["feedings"]]
    assert min(days) <= "2023-10-10"
    assert max(days) <= UNTIL.isoformat()


def test_voids_fill_and_are_emptied() -> None:
    made = simulated_tables(n_filters=4, n_years=4, until=UNTIL)
    void = {r["filter"]: float(r["void_height_mm"]) for r in made["filter_builds"]}
    assert {r["filter"] for r in made["cleanouts"]} == set(void)
    for r in made["soundings"]:
        assert 0 <= float(r["depth_mm"]) <= void[r["filter"]]
    for r in made["cleanouts"]:
        assert float(r["depth_after_mm"]) < float(r["depth_before_mm"]) / 4


def test_one_seed_makes_one_facility() -> None:
    asked = {"n_filters": 2, "n_years": 1, "until": UNTIL}
    assert simulated_tables(**asked, seed=5) == simulated_tables(**asked, seed=5)
    assert simulated_tables(**asked, seed=5) != simulated_tables(**asked, seed=6)


def test_nothing_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one filter"):
        simulated_tables(n_filters=0, n_years=1, until=UNTIL)
