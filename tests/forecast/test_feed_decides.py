"""Feed and stone decide when a void is due, not the calendar: an overfed filter must not be believed to last a year or two."""

from __future__ import annotations

from datetime import date, timedelta

from enclosures.forecast.inputs import FeedPortion, FilterEvidence, Geometry
from enclosures.forecast.outlook import outlook_for

STARTER = Geometry(valid_from=date(2024, 1, 1), chamber_area_m2=0.069, void_height_mm=50)


def due_days(dry_g: float, *, fed_days: int) -> tuple[int | None, int | None]:
    first = STARTER.valid_from
    fed = tuple(
        FeedPortion(on=first + timedelta(days=day), dry_g=dry_g, food_class="pellet", eaten="all")
        for day in range(fed_days)
        if day % 7
    )
    evidence = FilterEvidence(
        filter="X", enclosure="X", commissioned_on=first, builds=(STARTER,), feedings=fed, surface_m2=0.42
    )
    due = outlook_for(evidence, as_of=first + timedelta(days=fed_days)).due_on
    assert due is not None
    return tuple((day - first).days if day else None for day in (due.p10, due.p50))  # type: ignore[return-value]


def test_ten_times_the_feed_is_due_several_times_sooner_on_feed_alone() -> None:
    lightly, heavily = due_days(0.8, fed_days=120), due_days(8.0, fed_days=120)
    assert lightly[0]
    assert heavily[1]
    assert lightly[0] > 2 * heavily[1]  # the light one is doubted beyond two years, the heavy one is not touched
    assert heavily[1] < 200
