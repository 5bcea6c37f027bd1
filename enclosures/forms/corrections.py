"""Taking back what never was so."""

from __future__ import annotations

from django import forms


class WithdrawForm(forms.Form):
    reason = forms.CharField(
        label="Why is it withdrawn?",
        max_length=400,
        error_messages={"required": "Say why, in a few words."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
