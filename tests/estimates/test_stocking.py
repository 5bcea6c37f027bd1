from __future__ import annotations

import pytest

from enclosures.estimates import stocking


def test_turtle_per_water_and_per_bed() -> None:
    assert stocking.biomass_kg_per_m3(mass_g=5600, water_volume_l=5200) == pytest.approx(1.077, abs=0.001)
    assert stocking.biomass_kg_per_m2_bed(mass_g=5600, chamber_area_m2=0.48) == pytest.approx(11.67, abs=0.01)


def test_ten_small_animals_need_more_than_one_of_their_weight() -> None:
    ten_small = 10 * stocking.allometric_share(100, reference_g=1000)
    assert ten_small == pytest.approx(10**0.15)
    assert stocking.allometric_share(1000, reference_g=1000) == 1


@pytest.mark.parametrize(("q10", "ratio"), [(4.6, 4.6), (2.0, 2.0)], ids=["Pseudemydura", "doubling"])
def test_ten_degrees_multiply_need_by_q10(q10: float, ratio: float) -> None:
    """Read: Q10 4.6 from 20 to 30 degC in Pseudemydura, doubling in box turtles."""
    assert stocking.temperature_share(30, q10=q10) / stocking.temperature_share(20, q10=q10) == pytest.approx(ratio)


def test_measured_metabolism_rises_within_the_stated_range_of_q10() -> None:
    """Pseudemydura, 15 to 30 degC: 0.002, 0.007, 0.018, 0.030 mL O2/g/h (read); 18-fold at worst from 20 to 30 it is 4.3."""
    q10 = 0.030 / 0.007
    assert 2 <= q10 <= 5


def test_ration_is_dry_feed_over_body_mass() -> None:
    assert stocking.ration_share_of_mass(34, mass_g=3350) == pytest.approx(0.0101, abs=1e-4)
