"""Water tests: the raw reading, its kit, its basis and whether the kit ran out; the computed value stands beside it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from enclosures.models.constraints import one_of, within
from enclosures.models.places import Enclosure
from enclosures.models.record import LoggedRecord, RecordPart


class Analyte(models.TextChoices):
    TEMPERATURE = "temperature", "water temperature"
    PH = "ph", "pH"
    TAN = "tan", "TAN"
    NITRITE = "nitrite", "nitrite"
    NITRATE = "nitrate", "nitrate"
    KH = "kh", "carbonate hardness"
    DO = "do", "oxygen"
    CHLORINE = "chlorine", "chlorine"
    SALINITY = "salinity", "salinity"


class Place(models.TextChoices):
    TANK = "tank", "in the water"
    FILTER_OUTLET = "filter_outlet", "at the filter outlet"
    SOURCE = "source", "source water"


class Qualifier(models.TextChoices):
    EXACT = "", "as read"
    LESS = "<", "less than"
    MORE = ">", "more than"


class TestKit(models.Model):
    """`reports_as` is what the kit's figure is expressed as (N, NH3, NH4, NO2, NO3, CaCO3); kits of one maker differ."""

    __test__ = False  # not a test case, whatever its name begins with

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80, blank=True)
    analyte = models.CharField(max_length=12, choices=Analyte)
    reports_as = models.CharField(max_length=8, blank=True)
    unit = models.CharField(max_length=8, default="mg/L")
    steps = models.JSONField(default=list, blank=True, help_text="The colour steps of a drops kit.")
    lower = models.FloatField(null=True, blank=True)
    upper = models.FloatField(null=True, blank=True)
    is_retired = models.BooleanField("no longer used", default=False)

    class Meta:
        ordering = ("code",)

    def __str__(self) -> str:
        return self.name or self.code


class WaterTest(LoggedRecord):
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="water_tests")
    place = models.CharField(max_length=14, choices=Place, default=Place.TANK)

    CONTENT = ("enclosure", "place")
    PARTS: ClassVar[dict[str, tuple[str, ...]]] = {
        "readings": ("analyte", "value", "qualifier", "unit", "expressed_as", "kit"),
    }

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["enclosure", "-occurred_at"], name="watertest_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            one_of("place", Place.values),
        ]


class Reading(RecordPart):
    """`value` as read, in `unit`, as `expressed_as`. `canonical` is °C, pH, mg/L as N (TAN, nitrite), mg/L as NO3 (nitrate),
    mg/L as CaCO3 (kh), mg/L (do, chlorine), g/L (salinity); empty when the basis is not known."""

    test = models.ForeignKey(WaterTest, on_delete=models.PROTECT, related_name="readings")
    analyte = models.CharField(max_length=12, choices=Analyte)
    value = models.FloatField()
    qualifier = models.CharField(max_length=1, choices=Qualifier, blank=True)
    unit = models.CharField(max_length=8)
    expressed_as = models.CharField(max_length=8, blank=True)
    kit = models.CharField(max_length=40, blank=True)
    canonical = models.FloatField(null=True, blank=True)

    class Meta(RecordPart.Meta):
        indexes = (models.Index(fields=["analyte", "test"], name="reading_by_analyte"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["test", "position"], name="one_reading_a_place"),
            one_of("analyte", Analyte.values),
            one_of("qualifier", Qualifier.values),
            models.CheckConstraint(
                condition=~models.Q(analyte="ph") | models.Q(value__gte=3, value__lte=11),
                name="reading_ph_range",
                violation_error_message="pH: at least 3 and at most 11.",
            ),
            models.CheckConstraint(
                condition=~models.Q(analyte="temperature") | models.Q(canonical__gte=-2, canonical__lte=45),
                name="reading_temperature_range",
                violation_error_message="Water temperature: at least −2 and at most 45 °C.",
            ),
            models.CheckConstraint(
                condition=models.Q(analyte="temperature") | models.Q(value__gte=0),
                name="reading_not_negative",
                violation_error_message="A reading cannot be less than nothing.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_analyte_display()} {self.qualifier}{self.value:g} {self.unit}"


class WaterChange(LoggedRecord):
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="water_changes")
    volume_l = models.FloatField("changed, L")
    source = models.CharField(max_length=40, blank=True)
    conditioner = models.CharField(max_length=40, blank=True)
    temp_difference_c = models.FloatField(null=True, blank=True)
    cause = models.CharField("why", max_length=80, blank=True)

    CONTENT = ("enclosure", "volume_l", "source", "conditioner", "temp_difference_c", "cause")

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["enclosure", "-occurred_at"], name="waterchange_newest"),)
        constraints: ClassVar[list[models.BaseConstraint]] = [
            *LoggedRecord.Meta.constraints,
            within("volume_l", 0, 2_000_000),
            within("temp_difference_c", -40, 40),
        ]
