from __future__ import annotations

from typing import get_args

import pytest

from enclosures.verdicts.cautions import ALWAYS, CAUTIONS, Situation, cautions_for


def keys(situation, **more) -> list[str]:
    return [caution.key for caution in cautions_for(situation, **more)]


@pytest.mark.parametrize("situation", get_args(Situation))
def test_every_situation_has_its_cautions(situation):
    assert situation in ALWAYS
    assert all(caution.title and caution.sentence.endswith(".") for caution in cautions_for(situation))


def test_a_cleanout_begins_with_the_plug_and_ends_with_the_sludge():
    found = keys("cleanout")
    assert found[0] == "electric"
    assert found[-1] == "disposal"
    assert {"wet vac", "germs", "bed"} <= set(found)


def test_what_concerns_electricity_law_or_health_defers_to_who_knows():
    assert "electrician" in CAUTIONS["electric"].defers_to
    assert "Local rules" in CAUTIONS["disposal"].defers_to
    assert "doctor" in CAUTIONS["germs"].defers_to
    assert "veterinarian" in CAUTIONS["vet"].defers_to
    assert "confined space" in CAUTIONS["gas"].defers_to


def test_sludge_gas_is_said_from_a_musty_smell_on_or_in_a_deep_vault():
    assert "gas" not in keys("sounding", odour=1)
    assert "gas" in keys("sounding", odour=2)
    assert "gas" in keys("cleanout", has_deep_vault=True)


def test_season_heat_and_depth_change_what_is_said():
    assert "cold" in keys("booking", water_temp_c=11.9)
    assert "heat" in keys("booking", water_temp_c=28.1)
    assert keys("booking", water_temp_c=20) == []
    assert "two people" in keys("cleanout", water_depth_mm=900)
    assert "two people" not in keys("cleanout", water_depth_mm=600)
    assert "nesting" in keys("cleanout", is_nesting_season=True)


def test_a_long_stop_of_the_pump_sends_the_first_water_to_waste():
    assert "first flush" in keys("cleanout", pump_off_h=2.5)
    assert "first flush" not in keys("cleanout", pump_off_h=1)
    assert keys("outage", pump_off_h=9).count("first flush") == 1


def test_four_inches_is_said_for_small_turtles_that_leave():
    """102 mm: 4 in x 25.4; 21 CFR 1240.62 (US Food and Drug Administration)."""
    assert "size" in keys("transfer", smallest_scl_mm=101.5)
    assert "size" not in keys("transfer", smallest_scl_mm=101.7)
    assert "1240.62" in CAUTIONS["size"].sentence


def test_a_big_water_change_speaks_of_chlorine():
    assert "chemicals" in keys("water change", change_share=0.2)
    assert "chemicals" not in keys("water change", change_share=0.05)
