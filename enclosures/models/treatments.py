"""Courses a veterinarian ordered for an animal, and the doses that were given of them. The logbook judges neither."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q

from enclosures.models.animals import Animal
from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.places import Enclosure
from enclosures.models.plans import DAYS_WRITTEN
from enclosures.models.record import LoggedRecord


class DoseSlots(models.TextChoices):
    MORNING = "am", "morning"
    EVENING = "pm", "evening"
    BOTH = "am pm", "morning and evening"


class DoseOutcome(models.TextChoices):
    GIVEN = "given", "given"
    NOT_GIVEN = "not_given", "not given"


class Treatment(models.Model):
    """One course as prescribed. It is never changed: another dose or interval is another course, and the old one is stopped.

    Exactly one rhythm: `every_hours` from `first_time` of `from_on`, `every_days`, or `weekdays`; `slots` for the last two.
    It ends by itself after `to_on` or `n_doses`; with neither it goes on until it is stopped. `amount` and `unit` are what one
    dose measures, beside `dose` in the prescriber's words; `handling` is what to heed: gloves, waiting times, what not to eat.
    """

    code = models.CharField(max_length=40, unique=True)
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="treatments")
    what = models.CharField("what is given", max_length=120)
    dose = models.CharField("one dose, in the prescriber's words", max_length=200)
    amount = models.FloatField("one dose measures", null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    route = models.CharField("how it is given", max_length=80)
    every_hours = models.PositiveSmallIntegerField("every so many hours", null=True, blank=True)
    first_time = models.CharField(
        "first dose at", max_length=5, blank=True, validators=[RegexValidator(r"^([01]\d|2[0-3]):[0-5]\d$")]
    )
    every_days = models.PositiveSmallIntegerField("every so many days", null=True, blank=True)
    weekdays = models.CharField(max_length=27, blank=True, validators=[RegexValidator(DAYS_WRITTEN)])
    slots = models.CharField("on the round", max_length=5, blank=True, choices=DoseSlots)
    from_on = models.DateField("from")
    to_on = models.DateField("last day", null=True, blank=True)
    n_doses = models.PositiveSmallIntegerField("number of doses", null=True, blank=True)
    why = models.CharField("what for", max_length=200)
    handling = models.TextField("to heed", blank=True)
    prescribed_by = models.CharField("on whose order", max_length=80)
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    stopped_on = models.DateField("stopped", null=True, blank=True)
    stopped_by = models.CharField(max_length=40, blank=True)
    stop_reason = models.CharField("why it was stopped", max_length=200, blank=True)

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            in_order("from_on", "to_on"),
            within("every_hours", 1, 720),
            within("every_days", 1, 90),
            within("n_doses", 1, 1000),
            within("amount", 0, 100_000, above=True),
            models.CheckConstraint(
                condition=(
                    Q(every_hours__isnull=False, every_days__isnull=True, weekdays="", slots="") & ~Q(first_time="")
                )
                | (Q(every_hours__isnull=True, every_days__isnull=False, weekdays="", first_time="") & ~Q(slots=""))
                | (
                    Q(every_hours__isnull=True, every_days__isnull=True, first_time="") & ~Q(weekdays="") & ~Q(slots="")
                ),
                name="treatment_one_rhythm",
                violation_error_message="A course goes by hours from a first time, by days, or by weekdays: one of them.",
            ),
            models.CheckConstraint(
                condition=Q(stopped_on__isnull=True) | ~Q(stop_reason=""),
                name="treatment_says_why_stopped",
                violation_error_message="Say why it is stopped.",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Dose(LoggedRecord):
    """One dose given, or not given for a reason. `for_on` and `for_part` ("am", "pm", "08:00") say which planned one; both empty:
    one outside the plan. `amount` in `unit` is what was given."""

    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, related_name="doses")
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="doses")
    for_on = models.DateField("for the day", null=True, blank=True)
    for_part = models.CharField("for", max_length=5, blank=True)
    outcome = models.CharField(max_length=9, choices=DoseOutcome, default=DoseOutcome.GIVEN)
    why_not = models.CharField("why not", max_length=120, blank=True)
    amount = models.FloatField("how much", null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)

    CONTENT = ("treatment", "enclosure", "for_on", "for_part", "outcome", "why_not", "amount", "unit")

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["treatment", "-occurred_at"], name="dose_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("amount", 0, 100_000, above=True),
            one_of("outcome", DoseOutcome.values),
            models.CheckConstraint(
                condition=~Q(outcome="not_given") | ~Q(why_not=""),
                name="dose_says_why_not",
                violation_error_message="Say why it was not given.",
            ),
        ]
