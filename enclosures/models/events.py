"""Power cuts and the like, health notes, permits."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from enclosures.models.animals import Animal
from enclosures.models.constraints import in_order, within
from enclosures.models.places import Enclosure
from enclosures.models.record import LoggedRecord


class Outage(LoggedRecord):
    """Begins at `occurred_at`; `ended_at` empty: not over yet. `enclosures` are codes parted by spaces; empty: all."""

    kind = models.CharField(
        max_length=8,
        choices=[(k, k) for k in ("power", "pump", "heat", "flood", "wifi", "other")],
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    enclosures = models.CharField(max_length=400, blank=True)
    done = models.TextField("what was done", blank=True)

    CONTENT = ("kind", "ended_at", "enclosures", "done")

    class Meta(LoggedRecord.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            in_order("occurred_at", "ended_at"),
        ]


class HealthNote(LoggedRecord):
    """About one animal, or about all in an enclosure. The tool does not diagnose."""

    animal = models.ForeignKey(Animal, null=True, blank=True, on_delete=models.PROTECT, related_name="health_notes")
    enclosure = models.ForeignKey(
        Enclosure, null=True, blank=True, on_delete=models.PROTECT, related_name="health_notes"
    )
    system = models.CharField(max_length=40, blank=True)
    severity = models.PositiveSmallIntegerField(null=True, blank=True)
    text = models.TextField()
    vet_seen = models.BooleanField(default=False)
    restricted = models.BooleanField(default=False)

    CONTENT = ("animal", "enclosure", "system", "severity", "text", "vet_seen", "restricted")

    class Meta(LoggedRecord.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("severity", 1, 3),
            models.CheckConstraint(
                condition=Q(animal__isnull=False) | Q(enclosure__isnull=False),
                name="healthnote_about_something",
                violation_error_message="Say which animal or which enclosure.",
            ),
        ]


class Permit(models.Model):
    number = models.CharField(max_length=60, unique=True)
    authority = models.CharField(max_length=120, blank=True)
    scope = models.TextField(blank=True)
    from_on = models.DateField()
    to_on = models.DateField(null=True, blank=True)
    conditions = models.TextField(blank=True)

    class Meta:
        ordering = ("number",)
        constraints: ClassVar[list[models.BaseConstraint]] = [in_order("from_on", "to_on")]

    def __str__(self) -> str:
        return self.number
