"""The facility, and what each person may do there. One database holds one facility."""

from __future__ import annotations

from datetime import date
from typing import ClassVar
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models

from enclosures.models.constraints import in_order, within


def known_time_zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError) as unknown:
        raise ValidationError(f"“{name}” is not a time zone; write one like Europe/Paris.") from unknown


def default_climate() -> list[float]:
    """Monthly outdoor water temperatures, degC, of a temperate place; the facility puts in its own."""
    return [4, 5, 8, 13, 18, 23, 26, 25, 21, 15, 9, 5]


class Role(models.TextChoices):
    KEEPER = "keeper", "keeper"
    SUPERVISOR = "supervisor", "supervisor"
    BUILDER = "builder", "builder"
    VETERINARIAN = "veterinarian", "veterinarian"
    ADMINISTRATOR = "administrator", "administrator"
    COORDINATOR = "coordinator", "outside coordinator"
    READER = "reader", "reader"


class Facility(models.Model):
    code = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[known_time_zone])
    default_due_fill = models.FloatField(default=0.7)
    public_region = models.CharField(max_length=120, blank=True, help_text="Safe to publish; never the address.")
    address = models.TextField(blank=True, help_text="Stays at home: it is left out of what goes to a program.")
    is_southern = models.BooleanField("southern hemisphere", default=False)
    room_temp_c = models.FloatField("usual indoor water, °C", default=24.0)
    monthly_temp_c = models.JSONField("outdoor water by month, °C", default=default_climate)
    temperature_unit = models.CharField(max_length=1, choices=[("C", "°C"), ("F", "°F")], default="C")

    class Meta:
        verbose_name_plural = "facilities"
        constraints: ClassVar[list[models.BaseConstraint]] = [within("default_due_fill", 0.3, 1.0)]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)


class MembershipQuerySet(models.QuerySet):
    def in_force_on(self, day: date) -> MembershipQuerySet:
        return self.filter(
            models.Q(active_from__isnull=True) | models.Q(active_from__lte=day),
            models.Q(active_to__isnull=True) | models.Q(active_to__gte=day),
        )


class Membership(models.Model):
    """One person's role at the facility. `program` limits an outside coordinator to that program's animals."""

    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=16, choices=Role)
    program = models.CharField(max_length=40, blank=True)
    active_from = models.DateField(null=True, blank=True)
    active_to = models.DateField(null=True, blank=True)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["facility", "user"], name="one_role_per_person"),
            in_order("active_from", "active_to"),
        ]

    def __str__(self) -> str:
        return f"{self.user}: {self.get_role_display()}"
