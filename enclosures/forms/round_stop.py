"""One stop of the round as it is sent: the foods as they were shown, how much of them was given, and what was seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from enclosures.forms.feeding import EATEN_CHOICES, GRAMS, NOT_FED_REASONS
from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.log_form import LogForm
from enclosures.forms.typed import TEMPERATURE
from enclosures.models import FoodItem, Slot

GIVEN_CHOICES = (("0", "none"), ("0.5", "½"), ("1", "plan"), ("1.5", "1½"))
SKIP_CAUSES = ("no time", "cannot get in", "under treatment", "left to somebody else", "not to be disturbed")
NOT_SAID = "reason not noted"
SEE_THE_PHOTO = "see the photo"


@dataclass(frozen=True, slots=True)
class FoodShown:
    """A food as the row showed it."""

    food: FoodItem
    amount: float
    unit: str

    def times(self, share: float) -> FoodShown:
        return FoodShown(self.food, round(self.amount * share, 6), self.unit)


class RoundStopForm(LogForm):
    """`what` says which button: feed, hold (no food, for the reason in `why`), or look. `another`: the meal already there is known.

    `has_photo`: one comes with it or after it, which alone says that something is odd.
    """

    again = ""  # the entry of the meal that is on record already, while that is asked about

    slot = forms.ChoiceField(choices=Slot.choices)
    what = forms.ChoiceField(choices=[("feed", "feed"), ("hold", "hold"), ("look", "look")])
    why = forms.CharField(max_length=80, required=False)
    given = forms.ChoiceField(label="Given", choices=GIVEN_CHOICES, required=False)
    why_none = forms.ChoiceField(choices=[(text, text) for text in NOT_FED_REASONS], required=False)
    eaten = forms.ChoiceField(label="Eaten", choices=EATEN_CHOICES, required=False)
    head_count = WholeNumberField(what="Count", high=2000, label="Count")
    water_temp = QuantityField(TEMPERATURE, label="Water", may_be_negative=True)
    odd = forms.CharField(label="Something odd", max_length=1000, required=False)
    skip = forms.CharField(label="Skip it", max_length=120, required=False)
    another = forms.UUIDField(required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        foods: Mapping[int, FoodItem],
        last_temp_c: float | None = None,
        has_photo: bool = False,
        **kwargs: Any,
    ) -> None:
        self.known_foods, self.last_temp_c, self.has_photo = foods, last_temp_c, has_photo
        self.foods: tuple[FoodShown, ...] = ()
        super().__init__(data, **kwargs)

    def clean(self) -> dict[str, Any]:
        self.foods = tuple(food for text in self._list("line") if (food := self._food(text)) is not None)
        data = self.cleaned_data
        if self.has_photo and not data.get("odd"):
            data["odd"] = SEE_THE_PHOTO
        if data.get("skip") and (data.get("odd") or data.get("head_count") is not None or data.get("water_temp")):
            self.add_error("skip", "Skipped, or looked at? Clear the reason, or what was seen.")
        self.look_at("water_temp", "water_temp_c", last=self.last_temp_c)
        return data

    def _food(self, text: str) -> FoodShown | None:
        pk, _, rest = text.partition("|")
        amount, _, unit = rest.partition("|")
        try:
            food, value = self.known_foods[int(pk)], float(amount)
        except (KeyError, ValueError):
            self.add_error(None, "This row is not up to date any more. Reload the page.")
            return None
        if not 0 < value <= 100_000:
            self.add_error(None, "The amounts of this row cannot be. Reload the page.")
            return None
        return FoodShown(food, value, unit or GRAMS)

    def _list(self, name: str) -> list[str]:
        return [str(value) for value in self.data.getlist(name)] if self.is_bound else []

    @property
    def refused_codes(self) -> list[str]:
        return list(dict.fromkeys(code for text in self._list("refused") for code in text.split()))

    @property
    def refused(self) -> str:
        return " ".join(self.refused_codes)[:200]

    @property
    def done_instructions(self) -> list[str]:
        return self._list("done")

    @property
    def share(self) -> float:
        return float(self.cleaned_data.get("given") or 1)

    @property
    def has_meal(self) -> bool:
        return not self.cleaned_data.get("skip") and self.cleaned_data["what"] != "look"

    @property
    def is_fed(self) -> bool:
        return self.has_meal and self.cleaned_data["what"] == "feed" and self.share > 0

    @property
    def outcome(self) -> str:
        """As planned: all of it was given, and nothing else was noted of how it went."""
        if not self.is_fed:
            return "not_fed"
        went_well = self.cleaned_data.get("eaten") in ("", "all") and not self.refused
        return "planned" if self.share == 1 and went_well else "changed"

    @property
    def not_fed_reason(self) -> str:
        if self.is_fed:
            return ""
        if self.cleaned_data["what"] == "hold":
            return self.cleaned_data.get("why") or NOT_SAID
        return self.cleaned_data.get("why_none") or NOT_SAID
