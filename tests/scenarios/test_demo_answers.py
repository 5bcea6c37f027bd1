"""What the tool says of the invented station, against what its makers know to be in the voids.

The true fills are the station's own story (dry solids in, slow decay); the forecast never sees them. It may be fifteen points off, and
where a true fill lies near the edge of a band the neighbouring band is right too.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.scenarios.rows import AS_OF, ZONE

TRUE_FILL = {
    "P1-F": (0.85, 0.90), "B2-F": (0.75, 0.75), "P4-F": (0.64, 0.64), "T2-F": (0.36, 0.36), "P2-F": (0.40, 0.40),
    "B1-F": (0.24, 0.24), "P3-F": (0.10, 0.10), "T1-F": (0.08, 0.08),
}  # fmt: skip
BANDS = {
    "P1-F": {"due", "overdue"}, "B2-F": {"soon", "due"}, "P4-F": {"soon"}, "T2-F": {"fine"}, "P2-F": {"fine"},
    "B1-F": {"fine"}, "P3-F": {"fine"}, "T1-F": {"fine"},
}  # fmt: skip
MAY_MISS = 0.15


def answers(day: date, *codes: str) -> dict[str, Any]:
    """Judged by code, most urgent first."""
    from enclosures.actions.judging import judge_filters, most_urgent_first
    from enclosures.models import Filter

    chosen = Filter.objects.upflow()
    if codes:
        chosen = chosen.filter(code__in=codes)
    return {found.filter.code: found for found in most_urgent_first(judge_filters(chosen, as_of=day, zone=ZONE))}


@pytest.fixture(scope="module")
def now(loaded: Any) -> dict[str, Any]:
    return answers(AS_OF)


@pytest.mark.parametrize("code", TRUE_FILL)
def test_fill_is_near_the_truth(now: dict[str, Any], code: str) -> None:
    low, high = TRUE_FILL[code]
    assert low - MAY_MISS <= now[code].outlook.fill.p50 <= high + MAY_MISS


@pytest.mark.parametrize("code", BANDS)
def test_band_is_the_right_one(now: dict[str, Any], code: str) -> None:
    assert now[code].verdict.band.plain in BANDS[code]


def test_three_filters_need_somebody_in_this_order(now: dict[str, Any]) -> None:
    order = list(now)
    assert order[:3] == ["P1-F", "B2-F", "P4-F"]
    assert {now[code].verdict.band.plain for code in order[3:]} == {"fine"}


def test_it_says_why(now: dict[str, Any]) -> None:
    said = {code: found.verdict.sentence for code, found in now.items()}
    assert "79\u00a0% of baseline" in said["P1-F"] or "79 % of baseline" in said["P1-F"]
    assert "182 days" in said["B2-F"]
    assert "25" in said["B2-F"]
    assert "Oct" in said["B2-F"]
    assert "Never emptied" in said["P4-F"]
    assert "program" in said["P4-F"]
    assert now["P3-F"].verdict.is_recovering


def test_misleading_rod_is_pinned_as_a_disagreement(loaded: Any) -> None:
    found = answers(date(2025, 7, 26), "P3-F")["P3-F"].verdict
    assert found.pinned is not None
    assert found.pinned.replace("\u00a0", " ") == (
        "Signals disagree: rod says 13 %, but flow is 38 % of baseline, head difference 7 × and ammonia over the limit twice. "
        "Look at pump and bed."
    )


def test_the_overfed_pond_was_to_be_acted_on(loaded: Any) -> None:
    assert answers(date(2024, 6, 22), "P2-F")["P2-F"].verdict.band.plain == "act now"


def test_the_first_pond_was_due_in_its_april_window(loaded: Any) -> None:
    found = answers(date(2024, 4, 20), "P1-F")["P1-F"]
    assert found.verdict.band.plain in {"soon", "due"}
    assert found.verdict.window.is_open
    assert found.outlook.last_sounding_fill == pytest.approx(0.75, abs=0.01)


def test_nobody_is_asked_to_feed_ponds_in_january(loaded: Any) -> None:
    """P1, P2 and P4 rest on 15 January 2025."""
    from enclosures.models import Season

    resting = Season.objects.covering(date(2025, 1, 15)).filter(kind="brumation")
    assert set(resting.values_list("enclosure__code", flat=True)) == {"P1", "P2", "P4"}
