"""Weighing the animals of one enclosure, one after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from enclosures.forms.fields import QuantityField
from enclosures.forms.log_form import LogForm
from enclosures.forms.typed import LENGTH, MASS
from enclosures.models import Animal, Measurement, Moment
from enclosures.verdicts.sanity import allowed_mass_change

HATCHLING_DAYS = 365


@dataclass(frozen=True, slots=True)
class WeighRow:
    """One animal on the form, for the template."""

    animal: Animal
    mass: Any
    scl: Any
    last: Measurement | None


@dataclass(frozen=True, slots=True)
class Weighed:
    animal: Animal
    mass_g: float | None
    scl_mm: float | None


class WeighForm(LogForm):
    """One row per animal; rows left empty are not weighed. `lasts` maps an animal's pk to its last weighing."""

    fed_state = forms.ChoiceField(
        label="Fed or fasted",
        choices=[("fed", "fed today"), ("fasted", "fasted")],
        required=False,
        widget=forms.RadioSelect,
    )
    method = forms.CharField(label="Scale", max_length=40, required=False)

    def __init__(
        self, data: Any = None, *, animals: Sequence[Animal], lasts: Mapping[int, Measurement], **kwargs: Any
    ) -> None:
        self.animals, self.lasts = animals, lasts
        super().__init__(data, **kwargs)
        for animal in animals:
            self.fields[f"mass_{animal.pk}"] = QuantityField(MASS, label=f"{animal.code}, mass", is_keyed=True)
            self.fields[f"scl_{animal.pk}"] = QuantityField(LENGTH, label=f"{animal.code}, SCL")

    def rows(self) -> Iterator[WeighRow]:
        for animal in self.animals:
            mass, scl = self[f"mass_{animal.pk}"], self[f"scl_{animal.pk}"]
            yield WeighRow(animal, mass, scl, self.lasts.get(animal.pk))

    def clean(self) -> dict[str, Any]:
        for animal in self.animals:
            self._check(animal)
        if not self.errors and not self.weighed():
            raise forms.ValidationError("Nothing is filled in yet: weigh at least one.")
        return self.cleaned_data

    def _check(self, animal: Animal) -> None:
        last, moment = self.lasts.get(animal.pk), self.cleaned_data.get("when")
        allowed = None
        if last is not None and isinstance(moment, Moment):
            young = animal.hatched_to is not None and (moment.on - animal.hatched_to).days <= HATCHLING_DAYS
            allowed = allowed_mass_change((moment.on - last.occurred_on).days, is_hatchling=young)
        last_g, last_mm = (last.mass_g, last.scl_mm) if last is not None else (None, None)
        self.look_at(f"mass_{animal.pk}", "mass_g", last=last_g, allowed_change=allowed)
        self.look_at(f"scl_{animal.pk}", "scl_mm", last=last_mm)

    def weighed(self) -> list[Weighed]:
        rows = []
        for animal in self.animals:
            mass_g, scl_mm = self.number(f"mass_{animal.pk}"), self.number(f"scl_{animal.pk}")
            if mass_g is not None or scl_mm is not None:
                rows.append(Weighed(animal, mass_g, scl_mm))
        return rows

    @classmethod
    def initial_of(cls, measurement: Measurement) -> dict[str, Any]:
        pk = measurement.animal_id
        return {
            f"mass_{pk}": "" if measurement.mass_g is None else f"{measurement.mass_g:.10g}",
            f"scl_{pk}": "" if measurement.scl_mm is None else f"{measurement.scl_mm:.10g}",
            "fed_state": measurement.fed_state,
            "method": measurement.method,
        }
