"""Clutches and eggs: thin, enough for births and for the program."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from enclosures.models.animals import Animal, Taxon
from enclosures.models.constraints import in_order, one_of, within


class EggOutcome(models.TextChoices):
    INCUBATING = "incubating", "incubating"
    HATCHED = "hatched", "hatched"
    INFERTILE = "infertile", "infertile"
    DIED_EARLY = "died_early", "died early"
    DIED_MID = "died_mid", "died half-way"
    DIED_LATE = "died_late", "died late, or in the shell"
    LOST = "lost", "lost"
    DIAPAUSE = "diapause", "in diapause"


class Clutch(models.Model):
    code = models.CharField(max_length=24, unique=True)
    taxon = models.ForeignKey(Taxon, null=True, blank=True, on_delete=models.PROTECT, related_name="clutches")
    dam_candidates = models.CharField(max_length=200, blank=True)
    sire_candidates = models.CharField(max_length=200, blank=True)
    laid_on = models.DateField(null=True, blank=True)
    found_on = models.DateField(null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    n_eggs = models.PositiveSmallIntegerField(null=True, blank=True)
    incubation_temp_c = models.FloatField(null=True, blank=True)
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "clutches"
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            within("n_eggs", 0, 250),
            within("incubation_temp_c", 10, 40),
            in_order("laid_on", "found_on"),
        ]

    def __str__(self) -> str:
        return self.code


class Egg(models.Model):
    clutch = models.ForeignKey(Clutch, on_delete=models.PROTECT, related_name="eggs")
    number = models.PositiveSmallIntegerField()
    mass_g = models.FloatField(null=True, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    width_mm = models.FloatField(null=True, blank=True)
    outcome = models.CharField(max_length=12, choices=EggOutcome, default=EggOutcome.INCUBATING)
    outcome_on = models.DateField(null=True, blank=True)
    animal = models.OneToOneField(Animal, null=True, blank=True, on_delete=models.PROTECT, related_name="egg")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("clutch", "number")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["clutch", "number"], name="one_egg_a_number"),
            within("mass_g", 0.5, 200),
            within("length_mm", 5, 150),
            within("width_mm", 5, 150),
            one_of("outcome", EggOutcome.values),
        ]

    def __str__(self) -> str:
        return f"{self.clutch_id} egg {self.number}"
