"""One animal's page: its masses as they were read, what is decided for it, its photos; and what an outside coordinator does not see."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from enclosures.actions.events import log_health_note
from enclosures.actions.measurements import log_measurement
from enclosures.actions.photos import attach_photo
from enclosures.actions.planned import plan_move
from enclosures.models import Animal, Enclosure
from tests.actions.station import entered_on, make_enclosure, on, stamp
from tests.boards.walk import lived_in
from tests.conftest import TODAY
from tests.helpers import assert_reads_well, words_of
from tests.pictures import jpeg
from tests.views.pages import on_the_day, signed_in

WEIGHED = {date(2025, 8, 2): (2089.0, 178.4), date(2025, 9, 6): (2121.0, None)}


@pytest.fixture(autouse=True)
def pond(facility: Any) -> Enclosure:
    """BL-1 of the coordinator's program and BL-2 of none hatched together."""
    place = lived_in(facility, "P1", "BL-1", "BL-2")
    Animal.objects.update(hatched_from=date(2024, 8, 20), hatched_to=date(2024, 8, 28))
    Animal.objects.filter(code="BL-1").update(program="SM-PA-23")
    for animal in Animal.objects.all():
        for day, (mass_g, scl_mm) in WEIGHED.items():
            log_measurement(
                animal=animal, moment=on(day, facility), stamp=entered_on(day), mass_g=mass_g, scl_mm=scl_mm
            )
    return place


def look(user: Any, path: str = "/animals/BL-1/") -> str:
    with on_the_day():
        html = signed_in(user).get(path).content.decode()
    assert_reads_well(html)
    return html


def test_a_mass_and_a_length_are_shown_as_they_were_read(keeper: Any) -> None:
    said = words_of(look(keeper))
    assert "2\u202f089\u00a0g" in said
    assert "178.4\u00a0mm" in said
    assert "2\u202f121\u00a0g" in words_of(look(keeper, "/animals/"))


def test_the_chart_says_what_its_grey_lines_are(keeper: Any) -> None:
    html = look(keeper)
    assert "BL-2, " in html
    assert "Thin grey lines: those that hatched with it." in html


def test_an_outside_coordinator_sees_no_other_programs_animal_in_the_chart(coordinator: Any) -> None:
    html = look(coordinator)
    assert "BL-1, 2 Aug" in html
    assert "BL-2" not in html
    assert "grey lines" not in html


def test_what_is_decided_for_an_animal_stands_on_its_page(facility: Any, keeper: Any, coordinator: Any) -> None:
    plan_move(
        animals=[Animal.objects.get(code="BL-1")],
        from_enclosure=Enclosure.objects.get(code="P1"),
        to_enclosure=make_enclosure(facility, "B2"),
        planned_on=date(2025, 10, 24),
        moment=on(TODAY, facility),
        stamp=stamp(by="SUP", note="empty the void first"),
    )
    said = words_of(look(keeper))
    assert "It is to move to B2 , about 24\u00a0Oct" in said
    assert "by SUP: “empty the void first”" in said
    assert "It is to move" not in words_of(look(keeper, "/animals/BL-2/"))
    outside = words_of(look(coordinator))
    assert "It is to move to B2 , about 24\u00a0Oct" in outside
    assert "empty the void first" not in outside


def test_a_photo_of_a_health_note_is_on_the_animals_page_and_not_for_outsiders(
    facility: Any, keeper: Any, coordinator: Any
) -> None:
    note = log_health_note(
        moment=on(TODAY, facility), text="Soft spot", animal=Animal.objects.get(code="BL-1"), stamp=stamp()
    ).record
    photo = attach_photo(note, data=jpeg(), moment=note.moment, stamp=stamp()).record
    assert f"/photos/{photo.entry}/small/" in look(keeper)
    outside = look(coordinator)
    assert "Soft spot" in outside
    assert "/photos/" not in outside


def test_an_outside_coordinator_is_told_what_is_open_to_them(coordinator: Any, keeper: Any) -> None:
    assert "Those of the program SM-PA-23, which is what is open to you here." in words_of(
        look(coordinator, "/animals/")
    )
    assert "open to you" not in words_of(look(keeper, "/animals/"))
