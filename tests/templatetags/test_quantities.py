from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.template import Context, Template

from tests.conftest import TODAY

NBSP = "\u00a0"


def shown(source: str, **values: object) -> str:
    return Template(source).render(Context({"today": TODAY, **values}))


@pytest.mark.parametrize(
    ("source", "value", "said"),
    [
        ('{{ x|amount:"mm" }}', 150.0, f"150{NBSP}mm"),
        ('{{ x|amount:"L" }}', 7800, f"7\u202f800{NBSP}L"),
        ('{{ x|amount:"g" }}', None, "–"),
        ('{{ x|about:"g" }}', 0.5123, f"0.51{NBSP}g"),
        ("{{ x|percent }}", 0.875, f"88{NBSP}%"),
        ("{{ x|percent }}", "", "–"),
        ("{{ x|times }}", 22 / 14, f"1.6{NBSP}×"),
        ("{{ x|day_words:today }}", date(2025, 8, 30), f"30{NBSP}Aug"),
        ("{{ x|ago:today }}", date(2025, 8, 30), f"30{NBSP}Aug, 35{NBSP}days ago"),
        ("{{ x|ago:today }}", None, "–"),
        ("{{ x|kept }}", "Water is 14 °C on 2 Oct.", f"Water is 14{NBSP}°C on 2{NBSP}Oct."),
    ],
)
def test_quantities_and_days_keep_together_and_say_when_nothing_is_known(source: str, value: object, said: str) -> None:
    assert shown(source, x=value) == said


def test_an_instant_is_said_by_its_day() -> None:
    assert shown("{{ x|day_words:today }}", x=datetime(2025, 10, 3, 7, 52, tzinfo=UTC)) == f"3{NBSP}Oct"


def test_what_is_typed_by_people_is_escaped() -> None:
    assert shown("{{ x|kept }}", x="<b>4 mm</b>") == f"&lt;b&gt;4{NBSP}mm&lt;/b&gt;"
