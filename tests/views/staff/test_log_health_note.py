from __future__ import annotations

from typing import Any

from enclosures.models import HealthNote

PATH = "/enclosures/P1/health-notes/"


def test_a_note_about_one_animal_is_kept(animals: Any, veterinarian: Any, post: Any) -> None:
    data = {
        "animal": "BL-105",
        "system": "shell",
        "severity": "2",
        "text": "soft spot, left bridge",
        "vet_seen": "on",
        "restricted": "on",
    }
    assert post(veterinarian, PATH, data).status_code == 201
    note = HealthNote.objects.get()
    assert (note.animal.code, note.severity, note.vet_seen, note.restricted) == ("BL-105", 2, True, True)


def test_a_note_about_all_of_them_names_the_enclosure(animals: Any, keeper: Any, post: Any) -> None:
    assert post(keeper, PATH, {"animal": "", "text": "all restless"}).status_code == 201
    note = HealthNote.objects.get()
    assert (note.animal, note.enclosure.code) == (None, "P1")


def test_something_must_be_said_and_an_animal_must_live_here(animals: Any, keeper: Any, post: Any) -> None:
    assert "Say what was seen." in post(keeper, PATH, {"animal": "BL-105"}).content.decode()
    assert post(keeper, PATH, {"animal": "BL-999", "text": "odd"}).status_code == 422


def test_the_page_defers_to_the_veterinarian(animals: Any, keeper: Any, look: Any) -> None:
    assert "call the veterinarian" in look(keeper, PATH)
