from __future__ import annotations

import pytest

from enclosures.estimates import media
from enclosures.estimates.checks import OutOfRange
from tests.worked_examples.bed import MEDIA
from tests.worked_examples.example import Example


@pytest.mark.parametrize("example", MEDIA, ids=str)
def test_specific_surface_agrees_with_its_source(example: Example) -> None:
    example.check()


@pytest.mark.parametrize("key", media.MEDIA)
def test_default_surface_lies_in_its_range(key: str) -> None:
    row = media.MEDIA[key]
    assert row.surface_low_m2_m3 <= row.surface_m2_m3 <= row.surface_high_m2_m3
    assert row.grain_low_mm <= row.grain_mm <= row.grain_high_mm


@pytest.mark.parametrize("key", [key for key in media.MEDIA if key.startswith(("lava", "gravel"))])
def test_stone_defaults_keep_between_round_grains_and_sharp_ones(key: str) -> None:
    row = media.MEDIA[key]
    round_grains = media.specific_surface_m2_m3(row.grain_mm, porosity=row.porosity)
    sharp_fine_grains = media.specific_surface_m2_m3(row.grain_low_mm, porosity=row.porosity, sphericity=0.6)
    assert round_grains * 0.99 <= row.surface_m2_m3 <= sharp_fine_grains


def test_layers_pores_and_weight() -> None:
    volume = media.layer_volume_m3(area_m2=0.45, depth_mm=400)
    assert volume == pytest.approx(0.18)
    assert media.pore_volume_l(volume_m3=volume, porosity=0.5) == pytest.approx(90)
    assert media.layer_surface_m2(volume_m3=volume, specific_surface=140, access_share=0.5) == pytest.approx(12.6)
    assert media.wet_bed_mass_kg(volume_m3=volume) == pytest.approx(270)


def test_a_bed_without_space_is_refused() -> None:
    with pytest.raises(OutOfRange, match="porosity"):
        media.specific_surface_m2_m3(20, porosity=1.0)
