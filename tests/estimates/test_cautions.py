from __future__ import annotations

from enclosures.estimates.cautions import H2S_LIMITS, H2S_SMELL_FAILS_PPM


def test_hydrogen_sulphide_limits_are_the_published_ones() -> None:
    """NIOSH pocket guide and OSHA tables (read-2nd): ceiling 20, peak 50 for ten minutes; NIOSH 10 for ten minutes; IDLH 100."""
    assert [(limit.body, limit.ppm, limit.minutes) for limit in H2S_LIMITS] == [
        ("OSHA general industry", 20, None),
        ("OSHA general industry", 50, 10),
        ("NIOSH", 10, 10),
        ("NIOSH", 100, None),
    ]


def test_smell_fails_only_where_it_is_already_immediately_dangerous() -> None:
    assert max(limit.ppm for limit in H2S_LIMITS) == H2S_SMELL_FAILS_PPM
