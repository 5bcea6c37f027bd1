from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enclosures.estimates import feed
from enclosures.estimates.checks import BadQuantity, OutOfRange
from tests.worked_examples.example import Example
from tests.worked_examples.feed_and_nitrogen import COMPOSITIONS, EXAMPLES


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.call.startswith("feed.")], ids=str)
def test_feed_agrees_with_its_source(example: Example) -> None:
    example.check()


@pytest.mark.parametrize("food", COMPOSITIONS)
def test_composition_is_the_published_one(food: str) -> None:
    source, where, (moisture, protein, fat, ash) = COMPOSITIONS[food]
    row = feed.FOODS[food]
    assert (row.moisture_percent, row.protein_percent, row.fat_percent, row.ash_percent) == (
        moisture,
        protein,
        fat,
        ash,
    ), f"{source}, {where} (read)"
    assert row.source == source


@pytest.mark.parametrize("row", feed.FOODS.values(), ids=lambda row: row.name)
def test_a_food_adds_up_to_no_more_than_itself(row: feed.Composition) -> None:
    parts = row.moisture_percent + row.protein_percent + row.fat_percent + row.ash_percent
    assert parts <= 101, "published analyses of one food may add up to a little over 100"
    assert row.food_class in feed.FOOD_CLASSES
    feed.check_composition(moisture_percent=row.moisture_percent, protein_percent=row.protein_percent)


@pytest.mark.parametrize("food_class", feed.FOOD_CLASSES)
def test_every_class_has_a_stand_in_of_that_class_a_faecal_share_and_an_offset(food_class: str) -> None:
    assert feed.composition_from_class(food_class).food_class == food_class
    assert 0 < feed.faecal_share_from_class(food_class) < 1
    assert -1 < feed.log_yield_offset_from_class(food_class) < 1


def test_plants_leave_more_behind_than_pellets_and_prey_less() -> None:
    shares = [feed.faecal_share_from_class(food_class) for food_class in ("fish", "insect", "pellet", "plant")]
    assert shares == [0.10, 0.20, 0.27, 0.35]
    offsets = [feed.log_yield_offset_from_class(food_class) for food_class in ("fish", "insect", "pellet", "plant")]
    assert offsets == [-0.5, -0.2, 0.0, 0.2]


def test_taps_for_what_was_left() -> None:
    """Common practice, no source."""
    assert [feed.left_share(tap) for tap in ("all", "most", "some", "none", "")] == [0, 0.15, 0.5, 1.0, 0.07]
    with pytest.raises(BadQuantity, match="half"):
        feed.left_share("half")


def test_worms_cubes_and_half_scoops_become_grams() -> None:
    assert feed.grams_from_pieces(10, grams_per_piece=1.2) == pytest.approx(12)
    assert feed.grams_from_pieces(0.5, grams_per_piece=26) == 13
    with pytest.raises(BadQuantity, match="grams_per_piece"):
        feed.grams_from_pieces(3, grams_per_piece=0)


@pytest.mark.parametrize(("moisture", "protein"), [(101, 5), (-1, 5), (80, 30), (10, 101)])
def test_impossible_compositions_are_refused(moisture: float, protein: float) -> None:
    with pytest.raises(BadQuantity, match="percent"):
        feed.check_composition(moisture_percent=moisture, protein_percent=protein)


def test_an_unknown_class_is_refused_with_the_choices() -> None:
    with pytest.raises(BadQuantity, match="pellet"):
        feed.composition_from_class("stick")


@given(grams=st.floats(0, 1e5), moisture=st.floats(0, 100))
def test_dry_matter_never_exceeds_what_was_offered(grams: float, moisture: float) -> None:
    assert 0 <= feed.dry_g(grams, moisture_percent=moisture) <= grams


def test_negative_grams_are_refused() -> None:
    with pytest.raises(OutOfRange, match="as_fed_g"):
        feed.dry_g(-1, moisture_percent=10)
