"""A meal as planned, and an instruction: the supervisor's two forms on one page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from django import forms

from enclosures.forms.feeding import GRAMS
from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.typed import PLAIN, TEMPERATURE, Quantity
from enclosures.models import WEEKDAY_CODES, Animal, FeedingPlan, FoodItem, Slot

N_LINES = 6
SHARES = (("0.75", "¾ of it"), ("0.5", "½ of it"), ("0.33", "a third"), ("0.25", "¼ of it"))
BY_DAYS = "days"
RHYTHMS = (
    ("1", "every week"), ("2", "every second week"), ("3", "every third"), ("4", "every fourth"),
    (BY_DAYS, "every so many days"),
)  # fmt: skip
NO_DAY = "That is not a date; write it as 2025-10-04."
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One food of the plan; `unit` is grams or one of the food's own."""

    food: FoodItem
    amount: float
    unit: str


class PlanForm(forms.Form):
    """`foods` with units prefetched; `animals` of the enclosure may have a meal of their own."""

    LIMITS: ClassVar = {"not_below_c": "No food under", "less_below_c": "Less food under"}

    slot = forms.ChoiceField(label="Meal", choices=Slot.choices, widget=forms.RadioSelect)
    weekdays = forms.MultipleChoiceField(
        label="On",
        choices=[(code, code.capitalize()) for code in WEEKDAY_CODES],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    rhythm = forms.ChoiceField(label="How often", choices=RHYTHMS, required=False, widget=forms.RadioSelect)
    every_days = WholeNumberField(what="Every so many days", low=1, high=60, label="Every so many days")
    animal = forms.ChoiceField(label="For", required=False)
    not_below_c = QuantityField(TEMPERATURE, label="No food under", may_be_negative=True)
    less_below_c = QuantityField(TEMPERATURE, label="Less food under", may_be_negative=True)
    less_share = forms.ChoiceField(label="Less is", choices=SHARES, initial="0.5")
    pauses_in_winter = forms.BooleanField(label="No food in the winter rest", required=False, initial=True)
    from_on = forms.DateField(
        label="From", widget=DATE, error_messages={"required": "Say from which day.", "invalid": NO_DAY}
    )
    to_on = forms.DateField(
        label="Last day, if it ends", widget=DATE, required=False, error_messages={"invalid": NO_DAY}
    )
    note = forms.CharField(
        label="Note", max_length=400, required=False, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def __init__(
        self, data: Any = None, *, foods: Sequence[FoodItem], animals: Sequence[Animal], today: date, **kwargs: Any
    ) -> None:
        self.foods = {food.pk: food for food in foods}
        self.animals = {animal.code: animal for animal in animals}
        super().__init__(data, **kwargs)
        self.fields["animal"].choices = [("", "all of them"), *((code, code) for code in self.animals)]  # type: ignore[attr-defined]
        self.fields["from_on"].initial = today
        for name in self.LIMITS:
            self.fields[name].unit = "°C"  # type: ignore[attr-defined]
        choices = [("", "–")]
        for food in foods:
            units = [*(unit.name for unit in food.units.all()), GRAMS]
            choices += [(f"{food.pk}|{unit}", f"{food}, {unit}") for unit in units]
        for n in range(1, N_LINES + 1):
            self.fields[f"amount_{n}"] = QuantityField(PLAIN, label=f"How much, food {n}")
            self.fields[f"food_{n}"] = forms.ChoiceField(label=f"Food {n}", choices=choices, required=False)

    def rows(self) -> Iterator[tuple[Any, Any]]:
        for n in range(1, N_LINES + 1):
            yield self[f"amount_{n}"], self[f"food_{n}"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name, label in self.LIMITS.items():
            if isinstance(data.get(name), Quantity):
                data[name] = data[name].value
                if not -2 <= data[name] <= 45:
                    self.add_error(name, f"{label}: from −2 to 45 °C.")
        self._clean_days(data)
        low, less = data.get("not_below_c"), data.get("less_below_c")
        if isinstance(low, float | int) and isinstance(less, float | int) and less < low:
            self.add_error("less_below_c", "Less food begins at a higher temperature than no food.")
        for n in range(1, N_LINES + 1):
            amount, food = data.get(f"amount_{n}"), data.get(f"food_{n}")
            if food and amount is None and f"amount_{n}" not in self.errors:
                self.add_error(f"amount_{n}", "How much?")
            elif isinstance(amount, Quantity) and not food:
                self.add_error(f"food_{n}", "Of which food?")
            elif isinstance(amount, Quantity) and not 0 < amount.value <= 100_000:
                self.add_error(f"amount_{n}", "More than nothing, please.")
        if not self.errors and not self.lines():
            self.add_error("food_1", "Say how much of which food.")
        return data

    def _clean_days(self, data: dict[str, Any]) -> None:
        if data.get("rhythm") == BY_DAYS:
            if data.get("every_days") is None and "every_days" not in self.errors:
                self.add_error("every_days", "Every how many days?")
        elif not data.get("weekdays") and "weekdays" not in self.errors:
            self.add_error("weekdays", "Choose at least one day.")
        if data.get("from_on") and data.get("to_on") and data["to_on"] < data["from_on"]:
            self.add_error("to_on", "It ends before it begins.")

    def lines(self) -> list[PlanLine]:
        given = []
        for n in range(1, N_LINES + 1):
            amount, food = self.cleaned_data.get(f"amount_{n}"), self.cleaned_data.get(f"food_{n}")
            if isinstance(amount, Quantity) and food:
                pk, _, unit = food.partition("|")
                given.append(PlanLine(self.foods[int(pk)], amount.value, unit))
        return given

    @property
    def rhythm_of_days(self) -> dict[str, Any]:
        """As models.FeedingPlan keeps it: by weekdays in every week or every so many, or every so many days."""
        if self.cleaned_data["rhythm"] == BY_DAYS:
            return {"weekdays": "", "every_weeks": 1, "every_days": self.cleaned_data["every_days"]}
        return {"weekdays": self._weekdays, "every_weeks": int(self.cleaned_data["rhythm"] or 1), "every_days": None}

    @property
    def _weekdays(self) -> str:
        chosen = self.cleaned_data["weekdays"]
        return "" if len(chosen) == len(WEEKDAY_CODES) else " ".join(code for code in WEEKDAY_CODES if code in chosen)

    @classmethod
    def initial_of(cls, plan: FeedingPlan, *, today: date) -> dict[str, Any]:
        initial: dict[str, Any] = {
            "slot": plan.slot,
            "weekdays": [] if plan.every_days else plan.weekdays.split() or list(WEEKDAY_CODES),
            "rhythm": BY_DAYS if plan.every_days else str(plan.every_weeks),
            "every_days": plan.every_days or "",
            "animal": plan.animal.code if plan.animal is not None else "",
            "less_share": next((text for text, _ in SHARES if float(text) == plan.less_share), "0.5"),
            "pauses_in_winter": plan.pauses_in_winter,
            "from_on": _first_day_of_change(plan, today=today),
            "to_on": plan.to_on,
            "note": plan.note,
        }
        for name in ("not_below_c", "less_below_c"):
            value = getattr(plan, name)
            initial[name] = "" if value is None else f"{value:g}"
        for n, line in enumerate(plan.lines.all()[:N_LINES], 1):
            in_unit = line.amount is not None and bool(line.unit)
            initial[f"amount_{n}"] = f"{line.amount if in_unit else line.offered_g:g}"
            initial[f"food_{n}"] = f"{line.food_item_id}|{line.unit if in_unit else GRAMS}"
        return initial


def _first_day_of_change(plan: FeedingPlan, *, today: date) -> date:
    """Today; for a rhythm counted from its first day, the next day that keeps step with it."""
    first = max(today, plan.from_on)
    is_counted = plan.every_weeks > 1 or plan.every_days is not None
    return (plan.next_on(first) or first) if is_counted else first


class InstructionForm(forms.Form):
    text = forms.CharField(
        label="Please …", max_length=300, error_messages={"required": "Say what to do."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    shown_from = forms.DateField(
        label="Shown from", widget=DATE, error_messages={"required": "Say from which day.", "invalid": NO_DAY}
    )
    shown_to = forms.DateField(
        label="To, if it ends by itself", widget=DATE, required=False, error_messages={"invalid": NO_DAY}
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("shown_from") and data.get("shown_to") and data["shown_to"] < data["shown_from"]:
            self.add_error("shown_to", "It ends before it begins.")
        return data
