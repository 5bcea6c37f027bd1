"""Planning a move, an arrival or a season: who, where, about when."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.db.models import Q

from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.typed import MASS, Quantity
from enclosures.models import Animal, Death, Enclosure, PlannedMove, PlannedSeason, Stay, Taxon, Transfer

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
OUTSIDE = "outside"
LONGEST_AHEAD_DAYS = 3650
TOO_FAR = "That is more than ten years ahead. Check the year."
NO_DATE = "That is not a date; write it as 2026-05-01."


class AnimalTicks(forms.ModelMultipleChoiceField):
    def label_from_instance(self, animal: Animal) -> str:
        return str(animal.code)


class _Planning(forms.Form):
    """Days ahead, within reason."""

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        self.today = today
        super().__init__(*args, **kwargs)

    def _within_reason(self, data: dict[str, Any], *names: str) -> None:
        for name in names:
            if data.get(name) and (data[name] - self.today).days > LONGEST_AHEAD_DAYS:
                self.add_error(name, TOO_FAR)


class PlanMoveForm(_Planning):
    """From one place (`start`; None: from outside) to another, or away. Those who live there are ticked, or only counted."""

    animals = AnimalTicks(
        queryset=Animal.objects.none(), widget=forms.CheckboxSelectMultiple, label="Who", required=False
    )
    n_animals = WholeNumberField(what="How many", low=1, high=10_000, label="Or only how many")
    taxon = forms.ModelChoiceField(
        queryset=Taxon.objects.none(), label="Of what kind", required=False, empty_label="not said"
    )
    mass_g = QuantityField(MASS, label="Each then weighs about")
    to = forms.ChoiceField(label="Where to", error_messages={"required": "Choose where they go."})
    planned_on = forms.DateField(
        label="On about", widget=DATE, error_messages={"required": "Say about when.", "invalid": NO_DATE}
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}), max_length=1000)
    why = forms.CharField(label="Why it is changed", required=False, max_length=200)

    def __init__(self, *args: Any, start: Enclosure | None, changed: PlannedMove | None = None, **kwargs: Any) -> None:
        self.start, self.changed = start, changed
        super().__init__(*args, **kwargs)
        if start is not None:
            who = Animal.objects.filter(pk__in=start.stays.open_now().values("animal_id"))
        else:  # those who are in the books and live nowhere: out on loan, or not here yet
            on_loan = Transfer.objects.filter(direction="out", kind="loan_out").values("animal_id")
            who = Animal.objects.filter(Q(pk__in=on_loan) | Q(stays=None), merged_into=None)
            who = who.exclude(pk__in=Stay.objects.open_now().values("animal_id"))
            who = who.exclude(pk__in=Death.objects.values("animal_id"))
        if changed is not None:
            named = [mover.animal_id for mover in changed.movers.all()]
            who = Animal.objects.filter(Q(pk__in=who.values("pk")) | Q(pk__in=named))
        self.fields["animals"].queryset = Animal.objects.filter(pk__in=who.values("pk")).order_by("code")  # type: ignore[attr-defined]
        self.fields["taxon"].queryset = Taxon.objects.order_by("common_name", "scientific_name")  # type: ignore[attr-defined]
        self.fields["mass_g"].unit = "g"  # type: ignore[attr-defined]
        self.places = {place.code: place for place in Enclosure.objects.in_use_on(self.today).in_walking_order()}
        others = [(code, str(place)) for code, place in self.places.items() if start is None or place.pk != start.pk]
        away = [(OUTSIDE, "away from here")] if start is not None else []
        self.fields["to"].choices = [("", "choose"), *others, *away]  # type: ignore[attr-defined]
        if changed is None:
            del self.fields["why"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self._within_reason(data, "planned_on")
        mass = data.get("mass_g")
        if isinstance(mass, Quantity):
            data["mass_g"] = mass.value
            if not 0.3 <= mass.value <= 200_000:
                self.add_error("mass_g", "An animal weighs from 0.3 g to 200 kg.")
        if not self.errors and not data.get("animals") and not data.get("n_animals"):
            self.add_error("n_animals", "Say who is to move: tick them, or say how many.")
        return data

    @property
    def end(self) -> Enclosure | None:
        return self.places.get(self.cleaned_data["to"])

    @staticmethod
    def initial_of(move: PlannedMove) -> dict[str, Any]:
        return {
            "animals": [mover.animal_id for mover in move.movers.all()],
            "n_animals": move.n_animals,
            "taxon": move.taxon_id,
            "mass_g": "" if move.mass_g is None else f"{move.mass_g:g}",
            "to": move.to_enclosure.code if move.to_enclosure is not None else OUTSIDE,
            "planned_on": move.planned_on,
            "note": move.note,
        }


class PlanSeasonForm(_Planning):
    enclosure = forms.ModelChoiceField(
        queryset=Enclosure.objects.none(), label="Where", empty_label="choose", error_messages={"required": "Choose where."}
    )  # fmt: skip
    kind = forms.ChoiceField(
        label="What",
        choices=[("brumation", "winter rest"), ("drained", "drained"), ("resting", "rest without animals")],
    )
    from_on = forms.DateField(
        label="From about", widget=DATE, error_messages={"required": "Say from about when.", "invalid": NO_DATE}
    )
    to_on = forms.DateField(
        label="To about, if it ends", widget=DATE, required=False,
        error_messages={"invalid": NO_DATE},
    )  # fmt: skip
    season_note = forms.CharField(label="Note", required=False, max_length=1000)
    why = forms.CharField(label="Why it is changed", required=False, max_length=200)

    def __init__(self, *args: Any, changed: PlannedSeason | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["enclosure"].queryset = Enclosure.objects.in_use_on(self.today).in_walking_order()  # type: ignore[attr-defined]
        if changed is None:
            del self.fields["why"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self._within_reason(data, "from_on", "to_on")
        return data

    @staticmethod
    def initial_of(season: PlannedSeason) -> dict[str, Any]:
        return {
            "enclosure": season.enclosure_id,
            "kind": season.kind,
            "from_on": season.from_on,
            "to_on": season.to_on,
            "season_note": season.note,
        }
