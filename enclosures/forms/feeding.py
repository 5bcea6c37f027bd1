"""A meal: amounts in the keeper's own units, what was left, who would not eat, or why nothing was given."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from enclosures.estimates.units import as_recorded, recorded_quantity, with_unit
from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.log_form import LogForm
from enclosures.forms.typed import MASS, PLAIN, Choice, Quantity
from enclosures.models import Animal, Eaten, Enclosure, Feeding, FoodItem, Moment
from enclosures.verdicts.sanity import checked

GRAMS = "g"
MOST_TIMES_LAST = 2.5
MOST_OF_BIOMASS = 0.06  # dry food of one meal, as a share of what lives there
EATEN_CHOICES = [(Eaten.ALL, "all"), (Eaten.MOST, "most"), (Eaten.SOME, "some"), (Eaten.NONE, "none")]
NOT_FED_REASONS = (
    "water too cold", "winter rest", "first days here", "gravid", "before the vet", "tank treated", "fasting day",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MealLine:
    """One food given: an amount in `unit` ("g" or one of the food's own)."""

    food: FoodItem
    amount: float
    unit: str
    eaten: str

    @property
    def offered_g(self) -> float:
        if self.unit == GRAMS:
            return self.amount
        return self.amount * next(unit.grams for unit in self.food.units.all() if unit.name == self.unit)


EIGHTHS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}


def in_unit(amount: float, unit: str) -> str:
    """An amount as it is said: 12 g, 2 cubes, 1½ scoops."""
    plural = "" if unit == GRAMS or amount <= 1 else "es" if unit.endswith(("s", "ch")) else "s"
    whole, eighths = divmod(round(amount * 8, 6), 8)
    fraction = EIGHTHS.get(eighths, "") if unit != GRAMS else ""
    number = f"{whole:.0f}{fraction}".removeprefix("0") if fraction else as_recorded(amount)
    return with_unit(number, f"{unit}{plural}")


@dataclass(frozen=True, slots=True)
class FoodRow:
    """One food on the form, for the template."""

    food: FoodItem
    amount: Any
    unit: Any
    eaten: Any
    is_usual: bool
    last: tuple[float, str] | None
    same: tuple[float, str] | None

    @property
    def last_words(self) -> str:
        return in_unit(*self.last) if self.last is not None else ""


class AmountField(QuantityField):
    """An amount in the unit of its chip, or with a unit of mass written behind it ("3 oz"), which then counts."""

    def clean(self, value: Any) -> Quantity | None:
        written_unit = str(value or "").strip()[-1:].isalpha()
        self.unit_set = MASS if written_unit else PLAIN
        return super().clean(value)


class FeedingForm(LogForm):
    """`foods` with units prefetched, the usual ones of this enclosure first; `last` maps a food's pk to its last
    (amount, unit), `same` does so for the whole last meal. `also_refused`: animals of an old entry that live elsewhere now."""

    fed = forms.ChoiceField(
        label="Fed?",
        choices=[("yes", "Fed"), ("no", "Not fed")],
        initial="yes",
        required=False,
        widget=forms.RadioSelect,
    )
    not_fed_reason = forms.ChoiceField(
        label="Why not", choices=[(text, text) for text in NOT_FED_REASONS], required=False, widget=forms.RadioSelect
    )
    other_reason = forms.CharField(label="Another reason", max_length=80, required=False)
    eaten = forms.ChoiceField(
        label="Eaten", choices=EATEN_CHOICES, required=False, widget=forms.RadioSelect, initial=""
    )
    refused = forms.MultipleChoiceField(label="Refused by", required=False, widget=forms.CheckboxSelectMultiple)
    leftovers_removed = forms.BooleanField(label="Leftovers taken out", required=False)
    slot = forms.ChoiceField(
        label="Meal",
        choices=[("am", "morning"), ("pm", "evening"), ("", "neither")],
        required=False,
        widget=forms.RadioSelect,
    )
    head_count = WholeNumberField(what="Head count", high=2000, label="Head count")

    def __init__(
        self,
        data: Any = None,
        *,
        enclosure: Enclosure,
        foods: Sequence[FoodItem],
        animals: Sequence[Animal],
        also_refused: Sequence[str] = (),
        usual: frozenset[int] = frozenset(),
        last: dict[int, tuple[float, str]] | None = None,
        same: dict[int, tuple[float, str]] | None = None,
        biomass_g: float | None = None,
        **kwargs: Any,
    ) -> None:
        self.enclosure, self.foods, self.usual = enclosure, foods, usual
        self.last, self.same, self.biomass_g = last or {}, same or {}, biomass_g
        super().__init__(data, **kwargs)
        codes = dict.fromkeys([*(animal.code for animal in animals), *also_refused])
        self.fields["refused"].choices = [(code, code) for code in codes]  # type: ignore[attr-defined]
        for food in foods:
            self._add_food(food)

    def _add_food(self, food: FoodItem) -> None:
        names = [unit.name for unit in food.units.all()] + [GRAMS]
        last_unit = self.last.get(food.pk, (0, names[0]))[1]
        self.fields[f"amount_{food.pk}"] = AmountField(label=f"{food}, how much")
        self.fields[f"unit_{food.pk}"] = forms.ChoiceField(
            label=f"{food}, unit",
            choices=[(name, name) for name in names],
            initial=last_unit if last_unit in names else names[0],
            required=False,
            widget=forms.RadioSelect,
        )
        self.fields[f"eaten_{food.pk}"] = forms.ChoiceField(
            label=f"{food}, eaten",
            choices=[("", "as above"), *EATEN_CHOICES],
            required=False,
            widget=forms.RadioSelect,
        )

    # For the template --------------------------------------------------------------------------------------------------

    def rows(self) -> Iterator[FoodRow]:
        for food in self.foods:
            yield FoodRow(
                food=food,
                amount=self[f"amount_{food.pk}"],
                unit=self[f"unit_{food.pk}"],
                eaten=self[f"eaten_{food.pk}"],
                is_usual=food.pk in self.usual or bool(self[f"amount_{food.pk}"].value()),
                last=self.last.get(food.pk),
                same=self.same.get(food.pk),
            )

    def usual_rows(self) -> list[FoodRow]:
        return [row for row in self.rows() if row.is_usual]

    def other_rows(self) -> list[FoodRow]:
        return [row for row in self.rows() if not row.is_usual]

    # Cleaning ----------------------------------------------------------------------------------------------------------

    def clean(self) -> dict[str, Any]:
        for food in self.foods:
            self._check_amount(food)
        has_amounts = any((self.number(f"amount_{food.pk}") or 0) > 0 for food in self.foods)
        if self.cleaned_data.get("fed") == "no":
            if has_amounts:
                self.add_error("fed", "Amounts are filled in below. Choose Fed, or clear them.")
            elif not self.reason_given and "other_reason" not in self.errors:
                self.add_error("not_fed_reason", "Say why nothing was given.")
        elif not has_amounts and not any(self.errors.get(f"amount_{food.pk}") for food in self.foods):
            self.add_error("fed", "Say how much of which food, or choose Not fed.")
        if not self.errors:
            self._look_at_meal()
        return self.cleaned_data

    def _check_amount(self, food: FoodItem) -> None:
        name = f"amount_{food.pk}"
        amount = self.number(name)
        if amount is None:
            return
        if amount < 0:
            self.add_error(name, "An amount cannot be less than nothing.")
            return
        unit = self._unit_of(food)
        last_amount, last_unit = self.last.get(food.pk, (0.0, ""))
        if unit == last_unit and last_amount > 0 and amount > MOST_TIMES_LAST * last_amount:
            said, was = in_unit(amount, unit), in_unit(last_amount, last_unit)
            tenth = Choice(f"Use {in_unit(amount / 10, unit)}", f"{amount / 10:g}")
            is_point_slip = 0.6 < amount / 10 / last_amount < 1.6
            text = f"{said} of {food}? Last time it was {was}."
            self.ask(name, text, use=(tenth,) if is_point_slip else (), keep=f"Yes, {said}")
        else:
            self.look_at(name, "offered_g", value=self._grams(food, amount, unit), can_convert=False)

    def _look_at_meal(self) -> None:
        """Dry food of the whole meal against what lives there, where both are known."""
        moment, lines = self.cleaned_data.get("when"), self.lines()
        if not self.biomass_g or not isinstance(moment, Moment) or not lines:
            return
        recipes = [(line, line.food.composition_on(moment.on)) for line in lines]
        dry_g = round(sum(line.offered_g * (1 - r.moisture_percent / 100) for line, r in recipes if r is not None), 1)
        finding = checked("offered_dry_g", dry_g, limit=round(MOST_OF_BIOMASS * self.biomass_g, 1))
        if not finding.is_ok:
            keep = f"Yes, {recorded_quantity(dry_g, 'g')} dry"
            self.ask("fed", f"Dry food: {finding.sentence}", keep=keep, about=f"{dry_g:g}")

    def _unit_of(self, food: FoodItem) -> str:
        quantity = self.cleaned_data.get(f"amount_{food.pk}")
        written = isinstance(quantity, Quantity) and quantity.unit
        return GRAMS if written else self.cleaned_data.get(f"unit_{food.pk}") or GRAMS

    def _grams(self, food: FoodItem, amount: float, unit: str) -> float:
        return MealLine(food, amount, unit, "").offered_g

    @property
    def reason_given(self) -> str:
        return self.cleaned_data.get("other_reason", "").strip() or self.cleaned_data.get("not_fed_reason", "")

    @property
    def is_fed(self) -> bool:
        return self.cleaned_data.get("fed") != "no"

    def lines(self) -> list[MealLine]:
        """Foods with an amount over zero, in the order of the form."""
        given = []
        for food in self.foods:
            quantity = self.cleaned_data.get(f"amount_{food.pk}")
            if not isinstance(quantity, Quantity) or quantity.value <= 0:
                continue
            eaten = self.cleaned_data.get(f"eaten_{food.pk}") or self.cleaned_data.get("eaten", "")
            given.append(MealLine(food, quantity.value, self._unit_of(food), eaten))
        return given

    @classmethod
    def initial_of(cls, feeding: Feeding) -> dict[str, Any]:
        """What a correction starts from."""
        lines = list(feeding.lines.all())
        eaten = {line.eaten for line in lines}
        common = eaten.pop() if len(eaten) == 1 else ""
        initial: dict[str, Any] = {
            "fed": "no" if feeding.not_fed_reason and not lines else "yes",
            "not_fed_reason": feeding.not_fed_reason if feeding.not_fed_reason in NOT_FED_REASONS else "",
            "other_reason": "" if feeding.not_fed_reason in NOT_FED_REASONS else feeding.not_fed_reason,
            "eaten": common,
            "refused": feeding.refused.split(),
            "leftovers_removed": bool(feeding.leftovers_removed),
            "slot": feeding.slot,
            "head_count": feeding.head_count,
        }
        for line in lines:
            in_unit = line.amount is not None and line.unit
            initial[f"amount_{line.food_item_id}"] = f"{line.amount if in_unit else line.offered_g:g}"
            initial[f"unit_{line.food_item_id}"] = line.unit if in_unit else GRAMS
            initial[f"eaten_{line.food_item_id}"] = "" if common else line.eaten
        return initial
