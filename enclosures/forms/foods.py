"""A food with its units and a recipe, and the order of the round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, ClassVar

from django import forms

from enclosures.forms.fields import QuantityField
from enclosures.forms.plans import DATE, NO_DAY
from enclosures.forms.set_up import CODE, PERCENT, RangedForm
from enclosures.forms.typed import MASS, PLAIN, Quantity
from enclosures.models import Enclosure, FoodClass, FoodItem

NEW_UNITS = 3
RECIPE = ("moisture_percent", "protein_percent", "fat_percent", "ash_percent")


class FoodForm(RangedForm):
    """`food` with units prefetched; None for a new one. What is left empty of the recipe is not known."""

    code = forms.CharField(
        label="Code", max_length=40, help_text="Short, for example pellet-small.",
        error_messages={"required": "Give it a short code."},
    )  # fmt: skip
    name = forms.CharField(
        label="Name", max_length=120, required=False, help_text="As keepers say it: Bloodworm, frozen."
    )
    food_class = forms.ChoiceField(label="Kind", choices=FoodClass.choices)
    is_retired = forms.BooleanField(label="No longer used: not offered on forms", required=False)
    moisture_percent = QuantityField(PERCENT, label="Water")
    protein_percent = QuantityField(PERCENT, label="Protein, as fed")
    fat_percent = QuantityField(PERCENT, label="Fat")
    ash_percent = QuantityField(PERCENT, label="Ash")
    source = forms.CharField(
        label="Figures from", max_length=120, required=False, help_text="Label, table, or a guess."
    )
    valid_from = forms.DateField(
        label="This recipe from", widget=DATE, required=False, error_messages={"invalid": NO_DAY},
        help_text="Empty: from the beginning.",
    )  # fmt: skip

    RANGES: ClassVar = {
        "moisture_percent": (0, 99, "%"),
        "protein_percent": (0, 95, "%"),
        "fat_percent": (0, 95, "%"),
        "ash_percent": (0, 95, "%"),
    }

    def __init__(self, *args: Any, food: FoodItem | None = None, **kwargs: Any) -> None:
        self.food = food
        self.known = [unit.name for unit in food.units.all()] if food is not None else []
        super().__init__(*args, **kwargs)
        if food is not None:
            self.fields["code"].disabled = True
            for n, unit in enumerate(food.units.all()):
                self.fields[f"grams_{n}"] = QuantityField(
                    MASS, label=f"One {unit.name} weighs", initial=f"{unit.grams:g}"
                )
        for n in range(len(self.known), len(self.known) + NEW_UNITS):
            self.fields[f"unit_{n}"] = forms.CharField(label="Unit", max_length=20, required=False)
            self.fields[f"grams_{n}"] = QuantityField(MASS, label="One weighs")
        self._show_units()

    def known_units(self) -> Iterator[Any]:
        for n in range(len(self.known)):
            yield self[f"grams_{n}"]

    def new_units(self) -> Iterator[tuple[Any, Any]]:
        for n in range(len(self.known), len(self.known) + NEW_UNITS):
            yield self[f"unit_{n}"], self[f"grams_{n}"]

    def clean_code(self) -> str:
        code = self.cleaned_data["code"].strip()
        if not CODE.match(code):
            raise forms.ValidationError("A code has letters, figures, points and dashes, and no spaces.")
        if self.food is None and FoodItem.objects.filter(code__iexact=code).exists():
            raise forms.ValidationError(f"There is a food {code} already.")
        return code

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        water, protein = data.get("moisture_percent"), data.get("protein_percent")
        if (water is None) != (protein is None) and not {"moisture_percent", "protein_percent"} & set(self.errors):
            self.add_error(
                "moisture_percent" if water is None else "protein_percent", "A recipe needs water and protein."
            )
        elif water is None and any(data.get(name) is not None for name in RECIPE):
            self.add_error("moisture_percent", "A recipe needs water and protein.")
        elif water is not None and water + protein > 100:
            self.add_error("protein_percent", "Water and protein together are more than 100 per cent.")
        for n in range(len(self.known) + NEW_UNITS):
            self._clean_unit(n, data)
        return data

    def _clean_unit(self, n: int, data: dict[str, Any]) -> None:
        name = self.known[n] if n < len(self.known) else data.get(f"unit_{n}", "").strip()
        grams = data.get(f"grams_{n}")
        if name and grams is None and f"grams_{n}" not in self.errors:
            self.add_error(f"grams_{n}", f"What does one {name} weigh? A unit that was used stays.")
        elif isinstance(grams, Quantity) and not name:
            self.add_error(f"unit_{n}", "Which unit? Piece, cube, scoop …")
        elif isinstance(grams, Quantity) and not 0 < grams.value <= 100_000:
            self.add_error(f"grams_{n}", "More than nothing, and at most 100 kg.")
        elif name.lower() == "g":
            self.add_error(f"unit_{n}", "Grams are always there; name another unit.")

    def units(self) -> dict[str, float]:
        data = self.cleaned_data
        named = [*self.known, *(data[f"unit_{n}"].strip() for n in range(len(self.known), len(self.known) + NEW_UNITS))]
        return {
            name: data[f"grams_{n}"].value for n, name in enumerate(named) if name and data[f"grams_{n}"] is not None
        }

    def recipe(self) -> dict[str, Any]:
        data = self.cleaned_data
        if data["moisture_percent"] is None:
            return {}
        return {**{name: data[name] for name in RECIPE}, "source": data["source"]}


class RoundOrderForm(forms.Form):
    """A number for each place; 3.5 goes between 3 and 4."""

    def __init__(self, data: Any = None, *, places: Sequence[Enclosure], **kwargs: Any) -> None:
        self.places = places
        super().__init__(data, **kwargs)
        for n, place in enumerate(places, 1):
            self.fields[f"place_{place.pk}"] = QuantityField(
                PLAIN, label=place.code, initial=str(n), required=True, error_messages={"required": "Which place?"}
            )

    def rows(self) -> Iterator[tuple[Enclosure, Any]]:
        for place in self.places:
            yield place, self[f"place_{place.pk}"]

    def in_order(self) -> list[Enclosure]:
        return sorted(self.places, key=lambda place: self.cleaned_data[f"place_{place.pk}"].value)
