"""Moving animals: who, where to, when, why."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from enclosures.forms.fields import OccurredAtField
from enclosures.models import Animal, Enclosure

REASONS = [
    ("routine", "routine"),
    ("outdoors", "outdoors"),
    ("winter", "winter quarters"),
    ("quarantine", "quarantine"),
    ("hospital", "hospital"),
    ("breeding", "breeding"),
    ("missing", "missing: not found where it should be"),
]


class MoveForm(forms.Form):
    animals = forms.ModelMultipleChoiceField(
        queryset=Animal.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label="Who",
        error_messages={"required": "Tick at least one animal."},
    )
    to = forms.ModelChoiceField(
        queryset=Enclosure.objects.none(),
        label="Where to",
        empty_label="choose",
        error_messages={"required": "Choose where they go."},
    )
    occurred_at = OccurredAtField()
    reason = forms.ChoiceField(choices=REASONS, label="Why", initial="routine")
    note = forms.CharField(required=False, label="Note", widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(
        self, *args: Any, enclosure: Enclosure, now: datetime, today: date, zone: ZoneInfo, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        here = enclosure.stays.open_now().values("animal_id")
        self.fields["animals"].queryset = Animal.objects.filter(pk__in=here).with_taxon().order_by("code")
        others = Enclosure.objects.in_use_on(today).exclude(pk=enclosure.pk)
        self.fields["to"].queryset = others.in_walking_order()
        self.fields["occurred_at"].set_clock(now=now, zone=zone, today=today)
