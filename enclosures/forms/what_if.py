"""A change to try out on a filter: every field may stay empty, which leaves that thing as it is. Read from an address, so nothing is sent."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any, ClassVar

from django import forms

from enclosures.estimates.media import MEDIA
from enclosures.forms.fields import QuantityField, WholeNumberField
from enclosures.forms.set_up import NO_DATE, PERCENT, RangedForm
from enclosures.forms.typed import FLOW, LENGTH, MASS
from enclosures.models import FoodClass
from enclosures.verdicts.words import count_words, kept_together

HORIZON_DAYS = 1095
MOST_ANIMALS = 200
AS_NOW = ("", "as now")


def media_words(name: str) -> str:
    """A medium of the estimates' list as a page writes it."""
    return kept_together(name.replace("-", "–"))


def _date() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class WhatIfForm(RangedForm):
    """`n_here` animals live here; `hints` says beside a field what stands now."""

    RANGES: ClassVar = {
        "leave_g": (0.3, 200_000, "g"),
        "come_g": (0.3, 200_000, "g"),
        "ration_percent": (0, 500, "%"),
        "void_height_mm": (10, 2000, "mm"),
        "flow_now_l_per_h": (1, 200_000, "L/h"),
        "flow_then_l_per_h": (1, 200_000, "L/h"),
    }
    DAYS: ClassVar = ("from_on", "empty_on")

    leave_n = WholeNumberField(what="How many leave", high=MOST_ANIMALS, label="Animals that leave")
    leave_g = QuantityField(MASS, label="Each of them weighs")
    come_n = WholeNumberField(what="How many come", high=MOST_ANIMALS, label="More of the same that come")
    come_g = QuantityField(MASS, label="Each of these weighs")
    ration_percent = QuantityField(PERCENT, label="Ration")
    food_class = forms.ChoiceField(label="All food of one kind", choices=[AS_NOW, *FoodClass.choices], required=False)
    void_height_mm = QuantityField(LENGTH, label="Height of the void")
    media = forms.ChoiceField(label="Media", required=False)
    flow_now_l_per_h = QuantityField(FLOW, label="The pump gives now")
    flow_then_l_per_h = QuantityField(FLOW, label="Another pump gives")
    from_on = forms.DateField(
        label="All this from",
        required=False,
        widget=_date(),
        help_text="Empty: from today.",
        error_messages={"invalid": NO_DATE},
    )
    empty_on = forms.DateField(
        label="Emptied on", required=False, widget=_date(), help_text="Empty: not.", error_messages={"invalid": NO_DATE}
    )

    GROUPS: ClassVar = (
        ("Animals", ("leave_n", "leave_g", "come_n", "come_g")),
        ("Food", ("ration_percent", "food_class")),
        ("Filter", ("void_height_mm", "media", "flow_now_l_per_h", "flow_then_l_per_h")),
        ("When", ("from_on", "empty_on")),
    )

    def __init__(self, data: Any = None, *, today: date, n_here: int, hints: Mapping[str, str], **kwargs: Any) -> None:
        self.today, self.n_here = today, n_here
        super().__init__(data, **kwargs)
        self.fields["media"].choices = [AS_NOW, *((key, media_words(each.name)) for key, each in MEDIA.items())]  # type: ignore[attr-defined]
        for name, hint in hints.items():
            self.fields[name].help_text = hint

    @classmethod
    def asked_in(cls, query: Mapping[str, Any]) -> Mapping[str, Any] | None:
        """The query as the form's data when it names a field of the form; None on a plain visit."""
        return query if any(name in query for name in cls.base_fields) else None

    def groups(self) -> list[tuple[str, list[Any]]]:
        return [(legend, [self[name] for name in names]) for legend, names in self.GROUPS]

    @property
    def is_any(self) -> bool:
        """Something is to be tried out; a flow of now or a day alone changes nothing."""
        idle = {"flow_now_l_per_h", "from_on", "leave_g", "come_g"}
        return any(
            value not in (None, "", 0) or (name == "ration_percent" and value == 0)
            for name, value in self.cleaned_data.items()
            if name not in idle
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if (n := data.get("leave_n")) and n > self.n_here:
            here = "none is on record here" if not self.n_here else f"only {count_words(self.n_here)} live here"
            self.add_error("leave_n", f"{n} cannot leave: {here} today.")
        for name, other, said in (("leave_g", "leave_n", "leave"), ("come_g", "come_n", "come")):
            if data.get(name) is not None and not data.get(other) and other not in self.errors:
                self.add_error(other, f"How many {said}?")
        if (
            data.get("flow_now_l_per_h") is not None
            and data.get("flow_then_l_per_h") is None
            and "flow_then_l_per_h" not in self.errors
        ):
            self.add_error("flow_then_l_per_h", "What would the other pump give?")
        last_on = self.today + timedelta(days=HORIZON_DAYS)
        for name in self.DAYS:
            day = data.get(name)
            if day is None:
                continue
            if day < self.today:
                self.add_error(name, "That day has passed. Choose today or a day ahead.")
            elif day > last_on:
                self.add_error(name, "The forecast looks three years ahead, no further.")
        return data
