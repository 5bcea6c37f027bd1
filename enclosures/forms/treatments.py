"""A dose as it is noted, a course as it is prescribed, and a course stopped. No medicine, dose or interval is offered anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms

from enclosures.estimates.units import as_recorded, with_unit
from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.log_form import LogForm
from enclosures.forms.plans import DATE, NO_DAY
from enclosures.forms.typed import PLAIN, Quantity
from enclosures.models import WEEKDAY_CODES, Dose, DoseOutcome, DoseSlots, Treatment
from enclosures.verdicts.doses import PlannedDose

WHY_NOT = (
    "would not take it",
    "could not be caught",
    "veterinarian said to wait",
    "none left",
    "no time",
    "see the note",
)
OUTCOMES = [(DoseOutcome.GIVEN.value, "given"), (DoseOutcome.NOT_GIVEN.value, "not given")]
EXTRA = ""  # a dose outside the plan
FAR_FROM_ORDERED = 2.0  # so many times more or less than ordered is asked about
HOURS, DAYS, WEEKDAYS = "hours", "days", "weekdays"
_PLANNED = re.compile(r"^(\d{4}-\d{2}-\d{2})\.(am|pm|(?:[01]\d|2[0-3]):[0-5]\d)$")
_TEXT = {"autocomplete": "off"}


class DoseForm(LogForm):
    """One dose of `treatment`. `planned` is "2025-10-04.am" or empty. No amount: as ordered. A reason alone means not given.

    `must_say`: opened because something was different, so that silence does not mean given as ordered.
    """

    planned = forms.CharField(label="Which dose", required=False, max_length=20)
    outcome = forms.ChoiceField(label="Was it given?", choices=OUTCOMES, required=False, widget=forms.RadioSelect)
    why_not = forms.ChoiceField(
        label="Why not", choices=[(text, text) for text in WHY_NOT], required=False, widget=forms.RadioSelect
    )
    amount = QuantityField(PLAIN, label="How much, if not as ordered")
    slot = forms.CharField(required=False, max_length=2)

    def __init__(
        self,
        data: Any = None,
        *,
        treatment: Treatment,
        choices: Iterable[tuple[str, str]] = (),
        must_say: bool = False,
        **kwargs: Any,
    ) -> None:
        self.treatment = treatment
        self.must_say = must_say
        self.says_nothing = False
        super().__init__(data, **kwargs)
        self.fields["planned"].widget = forms.RadioSelect(choices=[*choices, (EXTRA, "one outside the plan")])

    def clean_planned(self) -> PlannedDose | None:
        text = self.cleaned_data["planned"]
        if not text:
            return None
        found = _PLANNED.match(text)
        try:
            return PlannedDose(date.fromisoformat(found[1]), found[2]) if found else self._unknown_dose()
        except ValueError:
            return self._unknown_dose()

    def _unknown_dose(self) -> None:
        raise forms.ValidationError("This page is not up to date any more. Reload it.")

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        said = any(data.get(name) for name in ("outcome", "why_not", "amount")) or "amount" in self.errors
        self.says_nothing = (
            self.must_say and not said and not self.data.get("answer")
        )  # an answer is about a dose given
        if self.says_nothing:
            self.add_error("why_not", "Was it given? Say why not, or how much.")
        if not self.is_given and not data.get("why_not"):
            self.add_error("why_not", "Say why it was not given.")
        if data.get("why_not") == "see the note" and not data.get("note"):
            self.add_error("note", "Say in the note why it was not given.")
        self._look_at_amount()
        return data

    def _look_at_amount(self) -> None:
        quantity = self.cleaned_data.get("amount")
        if not isinstance(quantity, Quantity) or not self.is_given:
            return
        if not 0 < quantity.value <= 100_000:
            self.add_error("amount", "More than nothing; if nothing was given, say why.")
            return
        ordered = self.treatment.amount
        if ordered and not ordered / FAR_FROM_ORDERED < quantity.value < ordered * FAR_FROM_ORDERED:
            said = with_unit(as_recorded(quantity.value), self.treatment.unit)
            text = f"Ordered are {with_unit(as_recorded(ordered), self.treatment.unit)}. Were {said} given?"
            self.ask("amount", text, keep=f"Yes, {said} were given")

    @property
    def is_given(self) -> bool:
        """Without a word of it a reason says it was not."""
        said = self.cleaned_data.get("outcome")
        return said != DoseOutcome.NOT_GIVEN if said else not self.cleaned_data.get("why_not")

    @property
    def outcome_value(self) -> str:
        return DoseOutcome.GIVEN if self.is_given else DoseOutcome.NOT_GIVEN

    @property
    def amount_given(self) -> float | None:
        return self.number("amount") if self.number("amount") is not None else self.treatment.amount

    @classmethod
    def initial_of(cls, dose: Dose) -> dict[str, Any]:
        is_as_ordered = dose.amount is None or dose.amount == dose.treatment.amount
        return {
            "planned": f"{dose.for_on.isoformat()}.{dose.for_part}" if dose.for_on is not None else EXTRA,
            "outcome": dose.outcome,
            "why_not": dose.why_not,
            "amount": "" if is_as_ordered else f"{dose.amount:g}",
        }


def _line(label: str, longest: int, *, said: str = "", area: bool = False) -> forms.CharField:
    widget: Any = forms.Textarea(attrs={"rows": 2, **_TEXT}) if area else forms.TextInput(attrs=_TEXT)
    messages = {"required": said} if said else {}
    return forms.CharField(label=label, max_length=longest, required=bool(said), widget=widget, error_messages=messages)


class PrescribeForm(forms.Form):
    """All of it is written out by whoever prescribes; nothing is suggested and nothing is filled in."""

    what = _line("What is given", 120, said="Say what is given.")
    dose = _line("One dose, in words", 200, said="Say what one dose is.")
    amount = QuantityField(PLAIN, label="One dose measures")
    unit = _line("in (mL, mg, drops …)", 20)
    route = _line("How it is given", 80, said="Say how it is given.")
    rhythm = forms.ChoiceField(
        label="How often", widget=forms.RadioSelect, error_messages={"required": "Say how often."},
        choices=[(HOURS, "every so many hours"), (DAYS, "every so many days"), (WEEKDAYS, "on weekdays")],
    )  # fmt: skip
    every_hours = WholeNumberField(what="Every so many hours", low=1, high=720, label="Every so many hours")
    first_time = forms.TimeField(
        label="First dose at", required=False, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "That is not a time; write it as 08:00."},
    )  # fmt: skip
    every_days = WholeNumberField(what="Every so many days", low=1, high=90, label="Every so many days")
    weekdays = forms.MultipleChoiceField(
        label="On", required=False, widget=forms.CheckboxSelectMultiple,
        choices=[(code, code.capitalize()) for code in WEEKDAY_CODES],
    )  # fmt: skip
    slots = forms.ChoiceField(label="On the round", choices=DoseSlots.choices, required=False, widget=forms.RadioSelect)
    from_on = forms.DateField(
        label="First day", widget=DATE, error_messages={"required": "Say from which day.", "invalid": NO_DAY}
    )
    to_on = forms.DateField(label="Last day", widget=DATE, required=False, error_messages={"invalid": NO_DAY})
    n_doses = WholeNumberField(what="Number of doses", low=1, high=1000, label="or number of doses")
    why = _line("What for", 200, said="Say what for.")
    handling = _line("To heed: handling, waiting times", 1000, area=True)
    prescribed_by = _line("On whose order", 80, said="Say which veterinarian ordered it.")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        rhythm = data.get("rhythm")
        if rhythm == HOURS:
            self._need("every_hours", "Every how many hours?")
            self._need("first_time", "At what time is the first dose?")
        elif rhythm == DAYS:
            self._need("every_days", "Every how many days?")
        elif rhythm == WEEKDAYS:
            self._need("weekdays", "Choose at least one day.")
        if rhythm in (DAYS, WEEKDAYS):
            self._need("slots", "On which round of the day?")
        if data.get("from_on") and data.get("to_on") and data["to_on"] < data["from_on"]:
            self.add_error("to_on", "It ends before it begins.")
        amount = data.get("amount")
        if isinstance(amount, Quantity) and not 0 < amount.value <= 100_000:
            self.add_error("amount", "More than nothing, please.")
        elif isinstance(amount, Quantity) and not data.get("unit"):
            self.add_error("unit", "In which unit?")
        return data

    def _need(self, name: str, sentence: str) -> None:
        if not self.cleaned_data.get(name) and name not in self.errors:
            self.add_error(name, sentence)

    def course(self) -> dict[str, Any]:
        """As models.Treatment keeps it; what does not belong to the chosen rhythm stays empty."""
        data = self.cleaned_data
        rhythm = data["rhythm"]
        amount = data["amount"]
        plain = ("what", "dose", "route", "from_on", "to_on", "n_doses", "why", "handling", "prescribed_by")
        chosen = [code for code in WEEKDAY_CODES if code in data["weekdays"]]
        return {
            **{name: data[name] for name in plain},
            "amount": amount.value if isinstance(amount, Quantity) else None,
            "unit": data["unit"] if isinstance(amount, Quantity) else "",
            "every_hours": data["every_hours"] if rhythm == HOURS else None,
            "first_time": f"{data['first_time']:%H:%M}" if rhythm == HOURS else "",
            "every_days": data["every_days"] if rhythm == DAYS else None,
            "weekdays": " ".join(chosen) if rhythm == WEEKDAYS else "",
            "slots": "" if rhythm == HOURS else data["slots"],
        }


class StopForm(forms.Form):
    stop_reason = _line("Why is it stopped?", 200, said="Say why it is stopped.")
