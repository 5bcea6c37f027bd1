"""Where animals live, and what state the place is in."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Self

from django.db import models
from django.db.models import Q

from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.facilities import Facility


class EnclosureKind(models.TextChoices):
    TUB = "tub", "tub"
    TANK = "tank", "tank"
    POND = "pond", "pond"
    QUARANTINE = "quarantine", "quarantine"
    NURSERY = "nursery", "nursery"
    HOSPITAL = "hospital", "hospital"


class LitterLevel(models.TextChoices):
    NONE = "none", "none"
    OPEN = "open", "open ground"
    NEAR = "near", "near trees"
    CANOPY = "canopy", "under trees"


class SeasonKind(models.TextChoices):
    ACTIVE = "active", "active"
    BRUMATION = "brumation", "brumation"
    DRAINED = "drained", "drained"
    RESTING = "resting", "resting, no animals"


class EnclosureQuerySet(models.QuerySet):
    def in_walking_order(self) -> Self:
        """Quarantine last: its germs must not be carried on."""
        return self.order_by(
            models.Case(models.When(kind=EnclosureKind.QUARANTINE, then=1), default=0), "round_order", "code"
        )

    def in_use_on(self, day: date) -> Self:
        return self.filter(Q(closed_on__isnull=True) | Q(closed_on__gt=day))


class Enclosure(models.Model):
    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="enclosures")
    code = models.CharField(max_length=20, unique=True, help_text="What the label on it says.")
    name = models.CharField(max_length=120, blank=True)
    kind = models.CharField(max_length=12, choices=EnclosureKind)
    indoor = models.BooleanField(default=True)
    water_volume_l = models.FloatField("water, L")
    surface_m2 = models.FloatField("water surface, m²", null=True, blank=True)
    depth_mm = models.FloatField("water depth, mm", null=True, blank=True)
    round_order = models.PositiveSmallIntegerField("place on the round", default=100)
    litter_level = models.CharField("trees", max_length=8, choices=LitterLevel, default=LitterLevel.NONE)
    litter_g_m2_year = models.FloatField("leaf litter, g dry per m² and year", null=True, blank=True)
    target_low_c = models.FloatField("water from, °C", null=True, blank=True)
    target_high_c = models.FloatField("water to, °C", null=True, blank=True)
    has_deep_vault = models.BooleanField("pump vault deeper than 1.2 m", default=False)
    closed_on = models.DateField("out of use from", null=True, blank=True)
    note = models.TextField(blank=True)

    objects = EnclosureQuerySet.as_manager()

    class Meta:
        ordering = ("round_order", "code")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            within("water_volume_l", 1, 2_000_000),
            within("surface_m2", 0.01, 50_000),
            within("depth_mm", 10, 20_000),
            within("litter_g_m2_year", 0, 10_000),
            within("target_low_c", -2, 45),
            within("target_high_c", -2, 45),
            in_order("target_low_c", "target_high_c"),
            one_of("kind", EnclosureKind.values),
            one_of("litter_level", LitterLevel.values),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}".strip()


class SeasonQuerySet(models.QuerySet):
    def covering(self, day: date) -> Self:
        return self.filter(from_on__lte=day).filter(Q(to_on__isnull=True) | Q(to_on__gte=day))


class Season(models.Model):
    """A spell in which an enclosure is different: winter rest, drained, resting. Both days included; `to_on` empty: still so."""

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="seasons")
    kind = models.CharField(max_length=10, choices=SeasonKind)
    from_on = models.DateField()
    to_on = models.DateField(null=True, blank=True)
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    objects = SeasonQuerySet.as_manager()

    class Meta:
        ordering = ("enclosure", "from_on")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["enclosure", "kind", "from_on"], name="one_season_start_a_day"),
            in_order("from_on", "to_on"),
            one_of("kind", SeasonKind.values),
        ]

    def __str__(self) -> str:
        return f"{self.enclosure_id}: {self.get_kind_display()} from {self.from_on}"
