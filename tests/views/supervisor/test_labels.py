"""Labels to hang on enclosures: the square says where the round's row is, and no style is in it."""

from __future__ import annotations

import re
from typing import Any

from tests.actions.station import make_enclosure
from tests.views.pages import on_the_day, signed_in


def labels_page(user: Any) -> str:
    with on_the_day():
        answer = signed_in(user).get("/labels/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_each_enclosure_in_use_has_a_label(facility: Any, keeper: Any) -> None:
    make_enclosure(facility, "P1", name="Pond turtles")
    make_enclosure(facility, "P9", closed_on="2025-01-01")
    html = labels_page(keeper)
    assert re.findall(r'label-code">([^<]+)', html) == ["P1"]
    assert "Opens P1 on the round" in html


def test_the_squares_carry_no_style_and_differ(facility: Any, keeper: Any) -> None:
    for code in ("P1", "P2"):
        make_enclosure(facility, code)
    squares = re.findall(r"<svg.*?class=\"qr\".*?</svg>", labels_page(keeper), re.S)
    assert len(squares) == 2
    assert squares[0].replace("P1", "") != squares[1].replace("P2", "")
    assert "style" not in "".join(squares)


def test_without_enclosures_it_says_so(facility: Any, keeper: Any) -> None:
    assert "No enclosures yet" in labels_page(keeper)
