"""Moving animals: who, where to, when, why."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django import forms

from enclosures.forms.fields import OccurredAtField
from enclosures.models import Animal, Enclosure, PlannedMove

REASONS = [
    ("routine", "routine"),
    ("outdoors", "outdoors"),
    ("winter", "winter quarters"),
    ("quarantine", "quarantine"),
    ("hospital", "hospital"),
    ("breeding", "breeding"),
    ("missing", "missing: not found where it should be"),
]


class PlannedTicks(forms.ModelMultipleChoiceField):
    """Planned moves, each in the words given for it."""

    words: ClassVar[dict[int, str]] = {}

    def label_from_instance(self, move: PlannedMove) -> str:
        return self.words.get(move.pk, str(move))


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
    planned = PlannedTicks(
        queryset=PlannedMove.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label="Planned, and done with this",
        required=False,
        error_messages={"invalid_choice": "That plan is settled already; look at the list again."},
    )

    def __init__(
        self,
        *args: Any,
        enclosure: Enclosure,
        now: datetime,
        today: date,
        zone: ZoneInfo,
        planned: dict[int, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """`planned` are the moves planned from here, words by id."""
        super().__init__(*args, **kwargs)
        if planned:
            self.fields["planned"].queryset = PlannedMove.objects.filter(pk__in=list(planned)).order_by("planned_on")
            self.fields["planned"].words = planned
        else:
            del self.fields["planned"]
        here = enclosure.stays.open_now().values("animal_id")
        self.fields["animals"].queryset = Animal.objects.filter(pk__in=here).with_taxon().order_by("code")
        others = Enclosure.objects.in_use_on(today).exclude(pk=enclosure.pk)
        self.fields["to"].queryset = others.in_walking_order()
        self.fields["occurred_at"].set_clock(now=now, zone=zone, today=today)
