from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from enclosures.boards.bed_load import bed_ability_g, build_bed_load, share_words, surface_m2_m3, what_tests_show
from enclosures.evidence.waters import Waters
from enclosures.models import MediaLayer
from enclosures.verdicts.signs import WaterSign
from tests.actions.station import make_enclosure
from tests.boards.pond import log_some_days, make_pond, make_turtles
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def facts(board: Any) -> dict[str, str]:
    return {fact.term: fact.value.replace("\u00a0", " ") for fact in board.facts}


def test_feed_and_ammonia_of_ten_days_are_spread_over_twenty_eight(facility: Any) -> None:
    """Half a scoop of 26 g a day: 13 g x 92 % dry = 11.96 g, protein 13 g x 40 % = 5.2 g; ten days of 28 at k 0.125 (adults)."""
    pond = make_pond(facility)
    make_turtles(pond.enclosure)
    log_some_days(pond, n=10)
    load = build_bed_load(enclosure=pond.enclosure, builds=(pond.builds.get(),), today=TODAY)
    said = facts(load)
    assert said["Feed, 28 days"] == "4.3 g dry a day"  # 119.6 / 28
    assert said["Ammonia from it"] == "0.23 g N a day"  # 52 x 0.125 / 28
    assert said["Turtles"] == "2.8 kg"
    assert load.share is not None


def test_the_bed_can_take_what_its_stones_surface_allows(facility: Any) -> None:
    """0.0675 m3 x 65 + 0.1125 m3 x 140 m2/m3 at 0.45 x 0.5 / (1.5 + 0.5) g/m2/day at 25 °C, nothing learnt yet (own defaults)."""
    from enclosures.estimates.coefficients import default

    build = make_pond(facility).builds.get()
    surface = 0.45 * 0.150 * 65 + 0.45 * 0.250 * 140
    rate = default("areal_rate_max") * 0.5 / (default("half_saturation_tan") + 0.5)
    assert bed_ability_g((build,), temp_c=25) == pytest.approx(surface * rate * default("access_share"))


def test_a_layer_has_the_surface_of_its_nearest_grade_unless_it_has_its_own() -> None:
    assert surface_m2_m3(MediaLayer(material="lava", grade_min_mm=40, grade_max_mm=80, depth_mm=1)) == 65
    assert surface_m2_m3(MediaLayer(material="lava", area_m2_per_m3=222, depth_mm=1)) == 222
    assert surface_m2_m3(MediaLayer(material="plastic", depth_mm=1)) is None


def test_without_media_or_animals_it_says_what_is_not_known(facility: Any) -> None:
    load = build_bed_load(enclosure=make_enclosure(facility, "G1", kind="tub"), builds=(), today=TODAY)
    assert facts(load) == {
        "Turtles": "none here now",
        "Feed, 28 days": "none on record",
        "Ammonia from it": "none",
        "Bed can take": "not known",
    }
    assert load.share is None


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.1, "a little: easy"), (0.49, "about half: easy"), (0.5, "about half: watch"), (0.95, "nearly all: watch"),
     (1.2, "more than it can take: likely to show"), (3.2, "3 times what it can take: likely to show")],
)  # fmt: skip
def test_the_share_is_said_with_its_verdict(share: float, said: str) -> None:
    """Under half easy, to all watch, over it likely to show: common practice, no source."""
    assert share_words(share) == said


@pytest.mark.parametrize(
    ("share", "tan", "days_ago", "is_told"),
    [(1.2, 0.1, 3, True), (1.2, 0.6, 3, False), (1.2, 0.1, 40, False), (0.8, 0.1, 3, False)],
)
def test_a_bed_past_its_figures_with_good_tests_says_both(
    share: float, tan: float, days_ago: int, is_told: bool
) -> None:
    waters = Waters(signs=(WaterSign(on=TODAY - timedelta(days=days_ago), analyte="tan", value=tan),))
    said = what_tests_show(share, waters, TODAY)
    assert said == ("the water tests of these four weeks show none of it" if is_told else "")
