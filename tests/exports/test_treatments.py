"""A program's package tells of its own animals' courses and doses, and of nobody else's."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from enclosures.exports.record_tables import BY_NAME
from enclosures.exports.scope import Scope
from enclosures.models import Animal
from tests.boards.courses import day, dosed, prescribed
from tests.boards.walk import lived_in
from tests.conftest import TODAY


def test_courses_and_doses_of_a_program_and_a_period(facility: Any) -> None:
    lived_in(facility, "P1", "BL-104", "BL-106")
    Animal.objects.filter(code="BL-104").update(program="SM")
    for code in ("BL-104", "BL-106"):
        course = prescribed(code, from_on=day(-20), n_doses=3)
        dosed(course, day(-20))
        dosed(course, day(-19))
    scope = Scope(program="SM", from_on=TODAY - timedelta(days=19), to_on=TODAY)

    def told(name: str) -> list[dict[str, str]]:
        table = BY_NAME[name]
        return [dict(zip(table.header, row, strict=True)) for row in table.rows(where=scope.where(table))]

    assert [row["treatment"] for row in told("treatments")] == ["BL-104-t1"]
    assert [(row["treatment"], row["for_on"]) for row in told("doses")] == [("BL-104-t1", day(-19).isoformat())]
