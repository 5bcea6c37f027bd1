from __future__ import annotations

from typing import Any

from django import forms

from husbandry.accounts.models import User

PIN_ATTRS = {"inputmode": "numeric", "autocomplete": "off", "maxlength": 6, "enterkeyhint": "done"}
TOO_EASY = {"0123", "1234", "12345", "123456", "4321", "54321", "654321", "2580", "1212", "1122"}


class PinField(forms.RegexField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            r"^\d{4,6}$",
            widget=forms.PasswordInput(attrs=PIN_ATTRS),
            error_messages={"invalid": "A PIN is four to six digits.", "required": "Type the PIN."},
            **kwargs,
        )


class EnrolForm(forms.Form):
    name = forms.CharField(
        label="What is this tablet called?",
        max_length=60,
        help_text="For example: tablet by the ponds. It stands in the list below.",
        error_messages={"required": "Give it a name, so that it can be told from the others."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class SetPinForm(forms.Form):
    pin = PinField(label="PIN, four to six digits")
    again = PinField(label="The same once more")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        pin, again = data.get("pin"), data.get("again")
        if pin and (len(set(pin)) == 1 or pin in TOO_EASY):
            self.add_error("pin", "This PIN is among the first that anybody would try; choose another.")
        elif pin and again and pin != again:
            self.add_error("again", "The two are not the same.")
        return data


class ChangePersonForm(forms.Form):
    person = forms.ModelChoiceField(
        queryset=User.objects.none(),
        label="Who are you?",
        empty_label=None,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose who you are.", "invalid_choice": "Choose who you are."},
    )
    pin = PinField(label="PIN")

    def __init__(self, *args: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = people  # type: ignore[attr-defined]
