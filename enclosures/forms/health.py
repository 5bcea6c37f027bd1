"""Something seen on an animal, or on all of an enclosure. The tool does not diagnose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from enclosures.forms.log_form import LogForm
from enclosures.forms.sludge import one_of
from enclosures.models import Animal, HealthNote

SYSTEMS = ("eyes", "shell", "skin", "breathing", "swimming", "droppings", "injury", "not eating", "other")
ALL = ""


class HealthNoteForm(LogForm):
    animal = forms.ChoiceField(label="Who", required=False, widget=forms.RadioSelect)
    system = forms.ChoiceField(
        label="What about", choices=[(text, text) for text in SYSTEMS], required=False, widget=forms.RadioSelect
    )
    severity = one_of("How bad", [(1, "keep an eye on it"), (2, "should be seen"), (3, "urgent")])
    text = forms.CharField(
        label="What was seen",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say what was seen."},
    )
    vet_seen = forms.BooleanField(label="The veterinarian has seen it", required=False)
    restricted = forms.BooleanField(label="Stays at home: leave it out of what goes to a program", required=False)

    def __init__(self, data: Any = None, *, animals: Sequence[Animal], **kwargs: Any) -> None:
        self.animals = animals
        super().__init__(data, **kwargs)
        choices = [(animal.code, animal.code) for animal in animals] + [(ALL, "all of them")]
        self.fields["animal"].choices = choices  # type: ignore[attr-defined]

    @property
    def about(self) -> Animal | None:
        return next((animal for animal in self.animals if animal.code == self.cleaned_data["animal"]), None)

    @classmethod
    def initial_of(cls, note: HealthNote) -> dict[str, Any]:
        return {
            "animal": note.animal.code if note.animal is not None else ALL,
            "system": note.system,
            "severity": note.severity,
            "text": note.text,
            "vet_seen": note.vet_seen,
            "restricted": note.restricted,
        }
