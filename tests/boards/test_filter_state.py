"""The sentence at the head of a filter's page."""

from __future__ import annotations

from typing import Any

import pytest

from enclosures.boards.filter_state import lead_words
from enclosures.boards.stored_outlook import outlook_words
from tests.boards.pond import answer, make_pond
from tests.conftest import TODAY

pytestmark = pytest.mark.django_db


def test_a_full_day_beyond_the_forecast_is_said_as_a_month_never_as_a_horizon(facility: Any) -> None:
    row = answer(
        make_pond(facility, "T1"), fill=(0.2, 0.25, 0.33), due="Between Mar 2026 and Jul 2027, most likely Dec."
    )
    row.detail["full_on"] = {"p10": "2026-06-01", "p50": "2027-11-01", "p90": None}
    row.save()
    words = outlook_words(row, today=TODAY, due_fill=0.7)
    said = lead_words(row, words, today=TODAY).replace("\u00a0", " ")
    assert said.endswith("Full to the grid between Jun 2026 and some day after Oct 2028, most likely Nov 2027.")
