"""Arrivals, departures, loans and deaths."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from enclosures.models.animals import Animal
from enclosures.models.constraints import one_of, within
from enclosures.models.record import LoggedRecord


class TransferKind(models.TextChoices):
    GIFT = "gift", "gift"
    LOAN_IN = "loan_in", "loan in"
    LOAN_OUT = "loan_out", "loan out"
    RETURN = "return", "returned"
    SALE = "sale", "sale"
    EXCHANGE = "exchange", "exchange"
    CONFISCATION = "confiscation", "confiscation"


class Transfer(LoggedRecord):
    """One animal coming (direction in) or going (out). `counterpart` is a code or plain name for the other party."""

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="transfers")
    direction = models.CharField(max_length=3, choices=[("in", "arrived"), ("out", "left")])
    kind = models.CharField(max_length=14, choices=TransferKind)
    counterpart = models.CharField(max_length=80, blank=True)
    permit = models.CharField(max_length=60, blank=True)
    due_back_on = models.DateField(null=True, blank=True)
    terms = models.TextField(blank=True)

    CONTENT = ("animal", "direction", "kind", "counterpart", "permit", "due_back_on", "terms")

    class Meta(LoggedRecord.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            one_of("direction", ["in", "out"]),
            one_of("kind", TransferKind.values),
        ]


class Death(LoggedRecord):
    """`occurred_at` is when it was found; the day it died may be earlier."""

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="deaths")
    last_alive_on = models.DateField(null=True, blank=True)
    circumstances = models.TextField(blank=True)
    mass_g = models.FloatField(null=True, blank=True)
    necropsy = models.BooleanField(null=True, blank=True)
    result = models.TextField(blank=True)
    carcass_to = models.CharField(max_length=80, blank=True)
    cause_class = models.CharField(max_length=40, blank=True)

    CONTENT = (
        "animal", "last_alive_on", "circumstances", "mass_g", "necropsy", "result", "carcass_to", "cause_class",
    )  # fmt: skip

    class Meta(LoggedRecord.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("mass_g", 0.3, 200_000),
        ]
