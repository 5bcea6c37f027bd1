"""Who is on site on five days, counted from stays alone, against the station's written story."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from enclosures.scenarios.rows import AS_OF, Tables

from .reading import inventory

KB, EO, PR, GO, SM = "Kinosternon", "Emys", "Pseudemys", "Graptemys", "Sternotherus"


@pytest.mark.parametrize(
    ("day", "by_genus", "total", "missing"),
    [
        (date(2023, 5, 1), {KB: "1.3.0", EO: "2.3.0", PR: "1.2.0", GO: "2.2.0"}, 16, 0),
        (date(2023, 12, 31), {KB: "1.3.3", EO: "2.3.0", PR: "1.2.0", GO: "2.2.0", SM: "0.0.5"}, 24, 0),
        (date(2024, 7, 19), {KB: "1.3.1", EO: "2.3.0", PR: "1.2.0", GO: "1.2.0", SM: "0.0.5"}, 21, 1),
        (date(2024, 12, 31), {KB: "1.3.1", EO: "2.3.3", PR: "1.2.0", GO: "2.2.0", SM: "0.0.8"}, 28, 0),
        (AS_OF, {KB: "1.3.1", EO: "2.3.1", PR: "1.2.4", GO: "2.2.0", SM: "0.0.8"}, 30, 0),
    ],
)
def test_animals_on_site(tables: Tables, day: date, by_genus: dict[str, str], total: int, missing: int) -> None:
    assert inventory(tables, day) == (by_genus, total, missing)


def test_of_the_males_on_site_one_is_a_guest_and_one_of_ours_is_away(tables: Tables) -> None:
    books = {r["animal"]: r for r in tables["animals"]}
    assert books["BL-139"]["owner"] == "Partner D"
    assert books["BL-139"]["held_by"] == "Brackenlode"
    assert books["BL-104"]["owner"] == "Brackenlode"
    assert books["BL-104"]["held_by"] == "Partner A"


def test_the_year_adds_up(tables: Tables) -> None:
    """28 + 5 hatched + 1 arrived − 2 left − 1 on loan − 1 died = 30."""
    hatched = sum(r.get("hatched_from", "").startswith("2025") and r["origin"] == "here" for r in tables["animals"])
    moves = [(r["direction"], r["kind"]) for r in tables["transfers"] if r["occurred_at"].startswith("2025")]
    died = sum(r["occurred_at"].startswith("2025") for r in tables["deaths"])
    assert (hatched, moves.count(("in", "loan_in")), moves.count(("out", "gift"))) == (5, 1, 2)
    assert (moves.count(("out", "loan_out")), died) == (1, 1)
    assert 28 + hatched + 1 - 2 - 1 - died == inventory(tables, AS_OF)[1]


def test_three_eggs_are_incubating(tables: Tables) -> None:
    assert sum(r["outcome"] == "incubating" for r in tables["eggs"]) == 3


def test_an_animal_is_in_one_place_at_a_time(tables: Tables) -> None:
    by_animal: dict[str, list[tuple[str, str]]] = {}
    for r in tables["stays"]:
        by_animal.setdefault(r["animal"], []).append((r["from_at"], r["to_at"]))
    for animal, spans in by_animal.items():
        spans.sort()
        for (_, end), (start, _) in pairwise(spans):
            assert end, animal
            assert end <= start, animal
