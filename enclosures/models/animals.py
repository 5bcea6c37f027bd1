"""Animals and what they are known by. Codes are unique for ever and never used again."""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar, Self

from django.db import models
from django.db.models import Q

from enclosures.models.constraints import in_order, one_of, within
from enclosures.models.places import Enclosure
from enclosures.models.record import LoggedRecord


class Sex(models.TextChoices):
    MALE = "male", "male"
    FEMALE = "female", "female"
    UNKNOWN = "unknown", "not known"


class Origin(models.TextChoices):
    HERE = "here", "hatched here"
    ELSEWHERE = "elsewhere", "hatched elsewhere"
    WILD = "wild", "from the wild"
    UNKNOWN = "unknown", "not known"


class Taxon(models.Model):
    scientific_name = models.CharField(max_length=120, unique=True)
    author = models.CharField(max_length=120, blank=True)
    common_name = models.CharField(max_length=120, blank=True)
    feeding_stops_below_c = models.FloatField("no food below, °C", null=True, blank=True)
    is_skin_sensitive = models.BooleanField("prone to skin and shell trouble", default=False)
    brumates = models.BooleanField("rests in winter", default=False)
    refusal_days = models.PositiveSmallIntegerField("days without food before a call", null=True, blank=True)
    list_source = models.CharField("name after", max_length=120, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "taxa"
        ordering = ("scientific_name",)
        constraints: ClassVar[list[models.BaseConstraint]] = [within("feeding_stops_below_c", -2, 45)]

    def __str__(self) -> str:
        return self.common_name or self.scientific_name


class AnimalQuerySet(models.QuerySet):
    def of_program(self, program: str) -> Self:
        return self.filter(program=program)

    def with_taxon(self) -> Self:
        return self.select_related("taxon")

    def here_on(self, day: date) -> Self:
        """Animals with a stay covering the day."""
        stays = Stay.objects.covering(day)
        return self.filter(pk__in=stays.values("animal_id"))


class Animal(models.Model):
    """`hatched_from` and `hatched_to` bound the day it hatched; equal when known to the day; one may be empty."""

    code = models.CharField(max_length=24, unique=True)
    taxon = models.ForeignKey(Taxon, on_delete=models.PROTECT, related_name="animals")
    sex = models.CharField(max_length=8, choices=Sex, default=Sex.UNKNOWN)
    sex_basis = models.CharField(max_length=40, blank=True)
    hatched_from = models.DateField(null=True, blank=True)
    hatched_to = models.DateField(null=True, blank=True)
    origin = models.CharField(max_length=10, choices=Origin, default=Origin.UNKNOWN)
    dam_candidates = models.CharField(max_length=200, blank=True, help_text="Codes, parted by spaces.")
    sire_candidates = models.CharField(max_length=200, blank=True, help_text="Codes, parted by spaces.")
    parent_certainty = models.CharField(max_length=40, blank=True)
    clutch = models.ForeignKey("Clutch", null=True, blank=True, on_delete=models.PROTECT, related_name="hatchlings")
    program = models.CharField(max_length=40, blank=True)
    program_number = models.CharField(max_length=40, blank=True)
    owner = models.CharField(max_length=80, blank=True)
    held_by = models.CharField(max_length=80, blank=True)
    merged_into = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged_from")
    note = models.TextField(blank=True)

    objects = AnimalQuerySet.as_manager()

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            in_order("hatched_from", "hatched_to"),
            one_of("sex", Sex.values),
            one_of("origin", Origin.values),
        ]

    def __str__(self) -> str:
        return self.code


class Mark(models.Model):
    """One way to know an animal. A shell notch without its scheme is unreadable later, so the scheme is kept beside it."""

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="marks")
    kind = models.CharField(max_length=24, help_text="shell notch, microchip, paint, photo set, ring, program number")
    scheme = models.CharField(max_length=80, blank=True)
    value = models.CharField(max_length=80)
    applied_on = models.DateField(null=True, blank=True)
    removed_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ("animal", "kind", "value")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["animal", "kind", "value"], name="one_mark_of_a_kind"),
            in_order("applied_on", "removed_on"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.value}"


class StayQuerySet(models.QuerySet):
    def covering(self, day: date) -> Self:
        """Stays that touch the day (by the facility's calendar)."""
        return self.filter(from_on__lte=day).filter(Q(to_on__isnull=True) | Q(to_on__gte=day))

    def open_now(self) -> Self:
        return self.filter(to_at__isnull=True)

    def known_at(self, end: datetime) -> Self:
        return self.filter(from_at__lt=end).filter(Q(entered_at__isnull=True) | Q(entered_at__lt=end))


class Stay(models.Model):
    """Who was where, and when. `to_at` empty: still there. `from_on` and `to_on` are the same days by the facility's calendar."""

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="stays")
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="stays")
    from_at = models.DateTimeField()
    from_on = models.DateField()
    from_offset_min = models.SmallIntegerField(default=0)
    from_precision = models.CharField(max_length=8, default="minute")
    to_at = models.DateTimeField(null=True, blank=True)
    to_on = models.DateField(null=True, blank=True)
    to_offset_min = models.SmallIntegerField(null=True, blank=True)
    to_precision = models.CharField(max_length=8, blank=True)
    reason = models.CharField(
        max_length=24, blank=True, help_text="routine, quarantine, hospital, breeding, outdoors …"
    )
    entered_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.CharField(max_length=40, blank=True)
    ended_entered_at = models.DateTimeField(null=True, blank=True, help_text="When its end was entered.")
    note = models.TextField(blank=True)

    objects = StayQuerySet.as_manager()

    class Meta:
        ordering = ("animal", "from_at")
        indexes = (models.Index(fields=["enclosure", "from_on"], name="stay_by_place"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["animal", "from_at"], name="one_stay_start"),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(to_at__isnull=True),
                name="one_open_stay",
                violation_error_message="The animal already has a place; end that stay first.",
            ),
            in_order("from_at", "to_at"),
        ]

    def __str__(self) -> str:
        return f"{self.animal_id} in {self.enclosure_id} from {self.from_on}"


class Measurement(LoggedRecord):
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="measurements")
    mass_g = models.FloatField("mass, g", null=True, blank=True)
    scl_mm = models.FloatField("straight carapace length, mm", null=True, blank=True)
    plastron_mm = models.FloatField("plastron, mm", null=True, blank=True)
    fed_state = models.CharField(max_length=8, blank=True, choices=[("fed", "fed"), ("fasted", "fasted")])
    method = models.CharField(max_length=40, blank=True)

    CONTENT = ("animal", "mass_g", "scl_mm", "plastron_mm", "fed_state", "method")

    class Meta(LoggedRecord.Meta):
        verbose_name = "weighing"
        indexes = (models.Index(fields=["animal", "-occurred_at"], name="measurement_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("mass_g", 0.3, 200_000),
            within("scl_mm", 10, 2500),
            within("plastron_mm", 5, 2500),
        ]
